"""Who plays, what they own, and the list of approved discs."""

from players.models.discs import ApprovedList, ApprovedModel, Disc
from players.models.people import Contact, Membership, Person, PlayingClass

__all__ = [
    "ApprovedList",
    "ApprovedModel",
    "Contact",
    "Disc",
    "Membership",
    "Person",
    "PlayingClass",
]
