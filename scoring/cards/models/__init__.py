"""Cards as versions, what comes from the course, rulings, evidence, and what counts of all that."""

from scoring.cards.models.cards import Card, CardLine, CardVersion
from scoring.cards.models.live import Device, GroupMessage, HoleEntry, RadioCall
from scoring.cards.models.rulings import Ruling
from scoring.cards.models.signed import CardPhoto, Confirmation
from scoring.cards.models.standing import StandingLine

__all__ = [
    "Card",
    "CardLine",
    "CardPhoto",
    "CardVersion",
    "Confirmation",
    "Device",
    "GroupMessage",
    "HoleEntry",
    "RadioCall",
    "Ruling",
    "StandingLine",
]
