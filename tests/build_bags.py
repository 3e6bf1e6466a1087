"""Small worlds of discs: a list of four models, boxes and bags."""

from datetime import date
from decimal import Decimal
from typing import Any
from uuid import UUID, uuid4

from build import ACTOR, NOW
from events.bags.models import BagAct
from events.bags.services import ActIn, Applied, apply_acts
from events.entries.models import Entry
from players.approved import import_list
from players.models import ApprovedList, Disc

LIST = """Maker,Disc Model,Max Weight (g),Diameter (cm)
Ostwall,Plinthor,176.0,21.2
Ostwall,Gantrel,175.1,21.1
Fjøsdal,Ørnbue,180.9,21.8
Fjøsdal,Blankel,,21.2
Fjøsdal,Slipvek,176.3,21.2
"""


def make_list(text: str = LIST, *, as_of: date = date(2026, 6, 1)) -> ApprovedList:
    return import_list(content=text.encode(), file_name="list.csv", as_of=as_of, actor=ACTOR, now=NOW)


def act(kind: str, disc: UUID | None = None, round: int | None = None, **fields: Any) -> ActIn:
    return ActIn(uuid4(), kind, disc, round, fields)


def send(entry: Entry, *acts: ActIn, source: str = BagAct.Source.PHONE, **facts: Any) -> list[Applied]:
    facts.setdefault("now", NOW)
    return apply_acts(entry=entry, acts=acts, source=source, actor=ACTOR, **facts)


def make_disc(entry: Entry, model: str = "Ostwall Plinthor", *, round: int | None = 1, **fields: Any) -> Disc:
    """A piece in the box and, if a round is named, in its bag."""
    key = uuid4()
    (answer,) = send(entry, act("add", key, round, model=model, **fields))
    assert answer.refused == ""
    return Disc.objects.get(key=key)


def make_bag(entry: Entry, count: int, *, round: int = 1) -> list[Disc]:
    return [make_disc(entry, round=round, stamped_mass_g=Decimal(170 + n % 6)) for n in range(count)]
