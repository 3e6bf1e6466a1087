"""Small worlds for tests of side games and of the event's money."""

from typing import Any
from uuid import uuid4

import build
from events.entries.models import Entry, EntryAddOn, Payment
from events.setup.models import AddOn, Event
from scoring.games.models import Game
from scoring.games.services import Terms, make_game
from scoring.money.models import MoneyLine
from scoring.money.services import write_line

CASH, CARD = Payment.Method.CASH, Payment.Method.CARD
WHO = {"actor": build.ACTOR, "now": build.NOW}


def addon(event: Event, name: str = "Ace pot", cents: int = 500, **facts: Any) -> AddOn:
    return AddOn.objects.create(event=event, name=name, fee_cents=cents, **facts)


def buys(entry: Entry, sold: AddOn) -> None:
    EntryAddOn.objects.create(entry=entry, addon=sold)


def pays(entry: Entry, cents: int, method: Payment.Method = CASH) -> Payment:
    return Payment.objects.create(entry=entry, amount_cents=cents, method=method, at=build.NOW, by="Tester")


def game(event: Event, kind: str = "ace", name: str = "Ace pot", **terms: Any) -> Game:
    (made,) = make_game(event=event, terms=Terms(kind=kind, name=name, **terms), apart=False, **WHO)
    return made


def writes(event: Event, category: MoneyLine.Category, cents: int, **facts: Any) -> MoneyLine:
    facts = {"method": CASH, "on": event.starts_on, "who": "Fern Print", "submission": uuid4(), **facts}
    return write_line(event=event, category=category, cents=cents, **facts, **WHO)
