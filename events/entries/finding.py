"""The desk's search: three letters of a name, a member number, or a scanned code."""

import re
from dataclasses import dataclass

from django.db.models import Case, Q, QuerySet, Value, When

from events.entries.asking import Asks, asks_of
from events.entries.models import CODE_ALPHABET, IN_THE_FIELD, Entry, Status
from events.entries.queries import entries_to_ask, pools_of
from events.rulebook.loader import Rulebook
from events.setup.models import Event
from players.names import fold

ROWS = 6  # what a laptop's screen shows at once, with the keys below
READ_AT_MOST = 100
FEWEST_LETTERS = 2  # whole family names of two letters exist
CODE_LENGTH = 8
_ON_SLIP = re.compile(
    r"/bag/(\w+)~"
)  # the address that a slip's code opens on a phone holds the entry's code
HIGHEST_NUMBER = 2**31 - 1  # of a member number, as the database keeps it


@dataclass(frozen=True, slots=True)
class DeskRow:
    """One entrant at the desk. `asks` says what is open; `pool` is empty while it is not known."""

    entry: Entry
    pool: str
    asks: Asks

    @property
    def state(self) -> str:
        """come (still to come), waits, in or left."""
        if self.entry.checked_in_at is not None:
            return "in"
        if self.entry.status in {Status.CONFIRMED, Status.APPLIED}:
            return "come"
        return "waits" if self.entry.status == Status.WAITLISTED else "left"

    @property
    def open_words(self) -> tuple[str, ...]:
        return self.asks.words(self.entry.event.currency)


@dataclass(frozen=True, slots=True)
class Found:
    """`exact`: the text is somebody's whole number or code, and only they are in `rows`."""

    rows: tuple[DeskRow, ...]
    exact: bool = False
    more: bool = False


def find(event: Event, text: str, rulebook: Rulebook, *, keep: int | None = None) -> Found:
    """Who is meant: a whole code or member number finds one, else every word starts a word of name or number.

    Those still to come stand first, those who are in last. `keep`: the entry in hand, which stays among the rows
    although it may now belong further down. 3 queries; 1 where nobody is found, none for less than two letters.
    """
    exact, words = _exact(text), name_words(text)
    if exact is None and words is None:
        return Found(())
    wanted = Q(pk__in=[])
    for condition in (exact, words):
        if condition is not None:
            wanted |= condition
    entries = list(_ordered(entries_to_ask(event).filter(wanted), exact)[:READ_AT_MOST])
    hits = [entry for entry in entries if entry.is_exact]  # type: ignore[attr-defined]  # annotated
    kept = [entry for entry in entries[ROWS:] if entry.pk == keep]
    shown = hits or [*entries[: ROWS - len(kept)], *kept]
    pools = pools_of(event, shown) if shown else {}
    for entry in shown:
        entry.event = event
    rows = tuple(DeskRow(entry, pools.get(entry.pk, ""), asks_of(entry, event, rulebook)) for entry in shown)
    return Found(rows, bool(hits), not hits and len(entries) > ROWS)


def _exact(text: str) -> Q | None:
    """A whole code, in either case and with the blanks of somebody who reads it out; a whole member number."""
    slip = _ON_SLIP.search(text)
    squeezed = "".join((slip[1] if slip else text).split()).upper().lstrip("#")
    wanted = None
    if len(squeezed) == CODE_LENGTH and set(squeezed) <= set(CODE_ALPHABET):
        wanted = Q(code=squeezed)
    if squeezed.isascii() and squeezed.isdigit() and int(squeezed) <= HIGHEST_NUMBER:
        number = Q(person__member_number=int(squeezed))
        wanted = number if wanted is None else wanted | number
    return wanted


def name_words(text: str, path: str = "person__") -> Q | None:
    """Every word starts a word of name or number; None for less than two letters. `path` leads to the person."""
    parts = fold(text).split()
    if len("".join(parts)) < FEWEST_LETTERS:
        return None
    wanted = Q()
    for part in parts:
        first, later = f"{path}search_text__startswith", f"{path}search_text__contains"
        wanted &= Q(**{first: part}) | Q(**{later: f" {part}"})
    return wanted


def _ordered(entries: "QuerySet[Entry]", exact: Q | None) -> "QuerySet[Entry]":
    turn = Case(
        When(checked_in_at__isnull=False, then=Value(2)),
        When(status__in=[*IN_THE_FIELD, Status.APPLIED], then=Value(0)),
        When(status=Status.WAITLISTED, then=Value(1)),
        default=Value(3),
    )
    is_exact = Case(When(exact, then=Value(True)), default=Value(False)) if exact else Value(False)
    found = entries.annotate(is_exact=is_exact, turn=turn)
    return found.order_by("-is_exact", "turn", "person__sort_name", "pk")
