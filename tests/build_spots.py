"""Spot checks for tests: players who are checked in, and draws whose outcome is known beforehand."""

from typing import Any

from build import ACTOR, NOW, make_entry, make_person
from events.bags.models import SpotCheck
from events.bags.spot_checks import freeze_pool
from events.bags.spot_draw import commitment
from events.entries.models import Entry
from events.setup.models import Event

DICE = [[3, 17, 22, 40, 41], [1, 2, 2, 4, 6, 6]]
SECRET = "director secret, round 2"


def make_players(event: Event, count: int, *, family: str = "Player") -> list[Entry]:
    """So many who are checked in; their names sort in the order in which they are made."""
    return [
        make_entry(event, person=make_person(f"{family} {number:03}", "Ada"), checked_in_at=NOW)
        for number in range(1, count + 1)
    ]


def freeze(event: Event, *, secret: str | None = None, round: int = 1, **facts: Any) -> SpotCheck:
    """A frozen pool; with `secret`, as if that had been the one that was made up."""
    facts = {"method": SpotCheck.Method.KEYED, "wanted": 2, "spares": 1, "source": "dice, 08:40"} | facts
    check = freeze_pool(round=event.rounds.get(number=round), actor=ACTOR, now=NOW, **facts)
    if secret is not None:
        SpotCheck.objects.filter(pk=check.pk).update(secret=secret, commitment=commitment(secret))
        check.refresh_from_db()
    return check


def leave(entry_id: int, status: str = "withdrawn") -> None:
    Entry.objects.filter(pk=entry_id).update(status=status, checked_in_at=None)
