"""Spot checks: the pool is frozen and committed to, public numbers come after, and no draw is ever made twice."""

import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.db.models import Max

from events.bags.models import SpotCheck
from events.bags.spot_draw import (
    BadDraw,
    Ranked,
    Taken,
    commitment,
    ranking,
    revealed,
    rfc3797,
    seed_string,
)
from events.entries.models import Entry, Status
from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.models import Event, Round

MOST_NUMBERS = 200


class SpotCheckRefused(Exception):
    """The draw cannot be made; the message is a sentence."""


@dataclass(frozen=True, slots=True)
class InPool:
    """One player of the frozen pool: label, entry and name as they were published."""

    label: str
    entry_id: int
    name: str


@dataclass(frozen=True, slots=True)
class Drawn:
    """A label that was drawn: `spare` steps in for somebody who is gone; `gone`: out of the event since."""

    label: str
    entry_id: int
    name: str
    spare: bool
    gone: bool
    called: bool


def pool_of(check: SpotCheck) -> list[InPool]:
    return [InPool(*row) for row in check.pool]


@transaction.atomic
def freeze_pool(
    *,
    round: Round,
    method: str,
    wanted: int,
    spares: int,
    source: str,
    actor: Actor,
    now: datetime,
) -> SpotCheck:
    """Publish who can be drawn, and a commitment to the secret; the numbers must not be known yet.

    The pool is everybody who is checked in, by name. Raises SpotCheckRefused for an empty pool, more wanted than
    there are, no source, and once the event is over.
    """
    event = round.event
    _refuse_over(event)
    if method not in SpotCheck.Method.values:
        raise SpotCheckRefused("Choose how the draw is made.")
    if not source.strip():
        raise SpotCheckRefused(
            "Say where the numbers will come from and when: nobody may pick them afterwards."
        )
    present = Entry.objects.filter(event=event, status=Status.CONFIRMED, checked_in_at__isnull=False)
    players = list(present.select_related("person").order_by("person__sort_name", "pk"))
    if not 0 < wanted <= len(players):
        raise SpotCheckRefused(f"{len(players)} players are checked in: {wanted} cannot be drawn.")
    spares = min(max(spares, 0), len(players) - wanted)
    digits = max(2, len(str(len(players))))
    secret = secrets.token_hex(16)
    number = (SpotCheck.objects.filter(round=round).aggregate(last=Max("number"))["last"] or 0) + 1
    check = SpotCheck.objects.create(
        round=round,
        number=number,
        method=method,
        wanted=wanted,
        spares=spares,
        source=source.strip()[:300],
        pool=[[f"P{at:0{digits}}", entry.pk, entry.person.name] for at, entry in enumerate(players, start=1)],
        secret=secret,
        commitment=commitment(secret),
        frozen_at=now,
        frozen_by=actor.name[:150],
    )
    detail = {
        "round": round.number,
        "number": number,
        "method": check.get_method_display(),
        "pool": len(players),
        "wanted": wanted,
        "spares": spares,
        "source": check.source,
        "commitment": check.commitment,
    }
    record(
        chain=event.slug,
        action=Action.SPOT_POOL_FROZEN,
        subject=str(round),
        actor=actor,
        now=now,
        detail=detail,
    )
    return check


@transaction.atomic
def draw(*, check: SpotCheck, numbers: Sequence[Sequence[int]], actor: Actor, now: datetime) -> SpotCheck:
    """Draw with the public numbers, one list for each source. Raises SpotCheckRefused a second time: another draw
    is another numbered check."""
    check = SpotCheck.objects.select_for_update(of=("self",)).select_related("round__event").get(pk=check.pk)
    _refuse_over(check.round.event)
    if check.result is not None:
        raise SpotCheckRefused("This draw is made. Freeze another pool for another draw.")
    if sum(len(source) for source in numbers) > MOST_NUMBERS:
        raise SpotCheckRefused(f"At most {MOST_NUMBERS} numbers are taken.")
    try:
        check.numbers = [list(source) for source in numbers]
        check.result = [label for label, _ in _order(check)][: check.wanted + check.spares]
    except BadDraw as bad:
        raise SpotCheckRefused(str(bad)) from bad
    check.drawn_at, check.drawn_by = now, actor.name[:150]
    check.save(update_fields=["numbers", "result", "drawn_at", "drawn_by"])
    detail = {
        "round": check.round.number,
        "number": check.number,
        "numbers": check.numbers,
        "revealed": revealed(check.secret),
        "drawn": check.result,
    }
    record(
        chain=check.round.event.slug,
        action=Action.SPOT_DRAWN,
        subject=str(check.round),
        actor=actor,
        now=now,
        detail=detail,
    )
    return check


def seed_of(check: SpotCheck) -> str:
    """The public numbers as one text. Raises BadDraw before they are known."""
    return seed_string(check.numbers or [])


def ranks_of(check: SpotCheck) -> tuple[Ranked, ...]:
    """Every label of a keyed draw with its hash, lowest first."""
    return ranking([player.label for player in pool_of(check)], revealed(check.secret), seed_of(check))


def rows_of(check: SpotCheck) -> tuple[Taken, ...]:
    """The working of a draw by RFC 3797."""
    return rfc3797(seed_of(check), len(check.pool), check.wanted + check.spares)


def _order(check: SpotCheck) -> list[tuple[str, str]]:
    """(label, hash) in the order drawn."""
    if check.method == SpotCheck.Method.KEYED:
        return [(each.label, each.digest) for each in ranks_of(check)]
    labels = [player.label for player in pool_of(check)]
    return [(labels[row.number - 1], row.digest) for row in rows_of(check)]


def drawn(check: SpotCheck) -> list[Drawn]:
    """Who was drawn, spares last; for each one who has left the event the next spare is called (1 query)."""
    players = {player.label: player for player in pool_of(check)}
    labels = list(check.result or [])
    ids = [players[label].entry_id for label in labels]
    here = set(Entry.objects.filter(pk__in=ids, status=Status.CONFIRMED).values_list("pk", flat=True))
    places = check.wanted
    found = []
    for at, label in enumerate(labels):
        player = players[label]
        gone = player.entry_id not in here
        called = not gone and places > 0
        places -= called
        found.append(Drawn(label, player.entry_id, player.name, at >= check.wanted, gone, called))
    return found


def drawn_entries(round: Round) -> set[int]:
    """Entries that a draw of this round calls (2 queries for one draw)."""
    checks = SpotCheck.objects.filter(round=round, result__isnull=False)
    return {each.entry_id for check in checks for each in drawn(check) if each.called}


def read_numbers(text: str) -> list[list[int]]:
    """One source a line; numbers apart by anything that is no digit. Raises SpotCheckRefused."""
    lines = [line for line in text.splitlines() if line.strip()]
    numbers = [
        [int(word) for word in "".join(c if c.isdecimal() and c.isascii() else " " for c in line).split()]
        for line in lines
    ]
    if not numbers or not all(numbers):
        raise SpotCheckRefused("Write the announced numbers, one source a line.")
    if any(number >= 10**15 for source in numbers for number in source):
        raise SpotCheckRefused("A number has at most 15 digits.")
    return numbers


def _refuse_over(event: Event) -> None:
    if Event.objects.filter(pk=event.pk, over_at__isnull=False).exists():
        raise SpotCheckRefused("The event is over: no more is drawn.")
