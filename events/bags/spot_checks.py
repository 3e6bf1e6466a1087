"""Spot checks: the pool is frozen and committed to, public numbers come after, and no draw is ever made twice."""

import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.db.models import Max, QuerySet

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
from events.setup.queries import is_over
from events.sheets.cells import clean

MOST_NUMBERS = 200
LONGEST_SOURCE = 300
LONGEST_NUMBER = 15


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


def present(event: Event) -> QuerySet[Entry]:
    """Who can be drawn: everybody who is checked in."""
    return Entry.objects.filter(event=event, status=Status.CONFIRMED, checked_in_at__isnull=False)


def checks_of(event: Event) -> list[SpotCheck]:
    """Every spot check of the event in the order in which they were made, drawn or not (1 query)."""
    found = SpotCheck.objects.filter(round__event=event).select_related("round__event")
    return list(found.order_by("round__number", "number"))


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
    there are, no source or one that is too long, and once the event is over.
    """
    round = Round.objects.select_for_update(of=("self",)).select_related("event").get(pk=round.pk)
    event, source = round.event, clean(source)
    _refuse_over(event)
    _refuse_recipe(method, source)
    players = list(present(event).select_related("person").order_by("person__sort_name", "pk"))
    if not 0 < wanted <= len(players):
        raise SpotCheckRefused(f"{len(players)} players are checked in: {wanted} cannot be drawn.")
    spares = min(max(spares, 0), len(players) - wanted)
    secret = secrets.token_hex(16)
    check = SpotCheck.objects.create(
        round=round,
        number=(SpotCheck.objects.filter(round=round).aggregate(last=Max("number"))["last"] or 0) + 1,
        method=method,
        wanted=wanted,
        spares=spares,
        source=source,
        pool=_numbered(players),
        secret=secret,
        commitment=commitment(secret),
        frozen_at=now,
        frozen_by=actor.name[:150],
    )
    detail = {
        "round": round.number,
        "number": check.number,
        "method": check.get_method_display(),
        "pool": len(players),
        "wanted": wanted,
        "spares": spares,
        "source": check.source,
    }
    if method == SpotCheck.Method.KEYED:
        detail["commitment"] = check.commitment
    subject = str(round)
    record(
        chain=event.slug, action=Action.SPOT_POOL_FROZEN, subject=subject, actor=actor, now=now, detail=detail
    )
    return check


def _refuse_recipe(method: str, source: str) -> None:
    """What has to be said before a draw, so that anybody can follow it afterwards."""
    if method not in SpotCheck.Method.values:
        raise SpotCheckRefused("Choose how the draw is made.")
    if not source:
        raise SpotCheckRefused(
            "Say where the numbers will come from and when: nobody may pick them afterwards."
        )
    if len(source) > LONGEST_SOURCE:
        raise SpotCheckRefused(f"The source is longer than {LONGEST_SOURCE} letters: shorten it.")


def _numbered(players: Sequence[Entry]) -> list[list[object]]:
    """Number, entry and name of everybody in the pool, as the check keeps them."""
    digits = max(2, len(str(len(players))))
    return [[f"P{at:0{digits}}", entry.pk, entry.person.name] for at, entry in enumerate(players, start=1)]


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
        "drawn": check.result,
    }
    if check.method == SpotCheck.Method.KEYED:
        detail["revealed"] = revealed(check.secret)
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
    return _called(check, _still_here([check]))


def drawn_entries(round: Round) -> set[int]:
    """Entries that the draws of this round call (2 queries)."""
    checks = list(SpotCheck.objects.filter(round=round, result__isnull=False))
    here = _still_here(checks)
    return {each.entry_id for check in checks for each in _called(check, here) if each.called}


def _still_here(checks: Sequence[SpotCheck]) -> set[int]:
    ids = {
        player.entry_id
        for check in checks
        for player in pool_of(check)
        if player.label in (check.result or ())
    }
    return set(Entry.objects.filter(pk__in=ids, status=Status.CONFIRMED).values_list("pk", flat=True))


def _called(check: SpotCheck, here: set[int]) -> list[Drawn]:
    players = {player.label: player for player in pool_of(check)}
    places = check.wanted
    found = []
    for at, label in enumerate(check.result or []):
        player = players[label]
        gone = player.entry_id not in here
        called = not gone and places > 0
        places -= called
        found.append(Drawn(label, player.entry_id, player.name, at >= check.wanted, gone, called))
    return found


def read_numbers(text: str, *, single: bool = False) -> list[list[int]]:
    """One source a line; numbers apart by blanks or commas. `single`: each number is a source of its own, as throws
    of a die are, so that their order counts. Raises SpotCheckRefused, naming what is no number."""
    lines = [line.replace(",", " ").split() for line in clean_lines(text)]
    lines = [words for words in lines if words]
    if not lines:
        raise SpotCheckRefused("Write the announced numbers.")
    for word in (word for words in lines for word in words):
        if not (word.isdecimal() and word.isascii()):
            raise SpotCheckRefused(
                f"“{word[:20]}” is no whole number. Write digits, apart by blanks or commas."
            )
        if len(word) > LONGEST_NUMBER:
            raise SpotCheckRefused(f"A number has at most {LONGEST_NUMBER} digits.")
    numbers = [[int(word) for word in words] for words in lines]
    if sum(len(source) for source in numbers) > MOST_NUMBERS:
        raise SpotCheckRefused(f"At most {MOST_NUMBERS} numbers are taken.")
    return [[number] for source in numbers for number in source] if single else numbers


def clean_lines(text: str) -> list[str]:
    return [clean(line) for line in text.splitlines()]


def _refuse_over(event: Event) -> None:
    if is_over(event):
        raise SpotCheckRefused("The event is over: no more is drawn.")
