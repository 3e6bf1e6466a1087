"""Small worlds for tests of prizes: a division planned, played and placed."""

from collections.abc import Sequence
from datetime import timedelta
from typing import Any

from django.http import HttpResponse
from django.urls import reverse

import build
from events.entries.models import Entry
from events.setup.models import Event
from scoring.playoffs.queries import Placed
from scoring.prizes.models import DivisionPlan, TakenTable
from scoring.prizes.services import plan_division, take_table

TABLE = b"1,100\n2,60,40\n3,50,30,20\n4,40,30,20,10\n"
LATER = build.NOW + timedelta(days=1)


def take(event: Event, name: str = "own", data: bytes = TABLE) -> TakenTable:
    return take_table(
        event=event, name=name, source="typed by hand", data=data, actor=build.ACTOR, now=build.NOW
    )


def plan(event: Event, code: str, version: int = 0, **facts: Any) -> DivisionPlan:
    facts.setdefault("method", "curve")
    return plan_division(
        division=event.divisions.get(code=code),
        version=version,
        facts=facts,
        actor=build.ACTOR,
        now=build.NOW,
    )


def places(*entries: Entry, at: Sequence[int] | None = None) -> dict[str, list[Placed]]:
    """The entries as final places of their divisions, in the order given; `at` says otherwise for one division."""
    found: dict[str, list[Placed]] = {}
    for index, entry in enumerate(entries):
        code = entry.division.code
        place = at[index] if at is not None else len(found.get(code, [])) + 1
        found.setdefault(code, []).append(
            Placed(
                entry_id=entry.pk,
                name=entry.person.name,
                place=place,
                tied_with=0,
                decided="",
                to_par=0,
                total=50 + place,
                made_cut=None,
            )
        )
    return found


def page(event: Event, name: str, *args: Any) -> str:
    """The address of a page of the prizes."""
    return reverse(f"prizes:{name}", args=[event.slug, *args])


def text(answer: HttpResponse) -> str:
    """What an answer holds, without its line breaks."""
    return " ".join(answer.content.decode().split())
