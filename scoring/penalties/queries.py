"""Reading warnings and rulings: of a round, of a player, and what stands under one rule."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.db.models import QuerySet

from events.bags.models import Call
from events.course.models import LayoutHole
from events.draw.models import Seat, Sheet
from events.entries.models import Entry
from events.setup.models import Event, Round
from scoring.cards.models import Ruling, StandingLine
from scoring.penalties.catalogue import Penalty
from scoring.penalties.counting import Earlier
from scoring.penalties.models import HoleNotPlayed, Warning


@dataclass(frozen=True, slots=True)
class Where:
    """Where a player plays a round: holes as (label, par) in layout order, the label of the first hole of the group,
    the others of the group as (entry id, name) in card order."""

    group: int
    holes: tuple[tuple[str, int], ...]
    start: str
    company: tuple[tuple[int, str], ...]

    @property
    def labels(self) -> tuple[str, ...]:
        return tuple(label for label, _ in self.holes)


def where(entry: Entry, round: Round) -> Where | None:
    """The player's place on the published tee sheet, None without one (2 queries)."""
    published = Seat.objects.filter(sheet__round=round, sheet__state=Sheet.State.PUBLISHED)
    seats = list(
        published.filter(group__seats__entry=entry)
        .select_related("group__start", "entry__person")
        .order_by("order")
    )
    if not seats:
        return None
    group = seats[0].group
    holes = LayoutHole.objects.filter(layout=group.layout_id).order_by("position")
    return Where(
        group=group.number,
        holes=tuple(holes.values_list("label", "par")),
        start=group.start.label,
        company=tuple((seat.entry_id, seat.entry.person.name) for seat in seats if seat.entry_id != entry.pk),
    )


def earlier(entry: Entry, round: Round, rows: Iterable[Penalty]) -> Mapping[str, Earlier]:
    """Rule → what was said to the player in this round and stands (2 queries). Rulings are told by their source."""
    warned = Counter(
        Warning.objects.filter(entry=entry, round=round, taken_back_at=None).values_list("rule", flat=True)
    )
    ruled = Counter(
        Ruling.objects.filter(entry=entry, round=round, taken_back_at=None).values_list("rule", flat=True)
    )
    return {row.key: Earlier(warned[row.key], ruled[row.source]) for row in rows}


def rulings_on(entry: Entry, round: Round, holes: Sequence[str]) -> list[Ruling]:
    """Rulings that stand on some holes of the player, "" for the round's total (1 query)."""
    standing = Ruling.objects.filter(entry=entry, round=round, hole_label__in=holes, taken_back_at=None)
    return list(standing.order_by("pk"))


def rulings_in(round: Round) -> list[Ruling]:
    """Every ruling of the round, newest first, those taken back too (1 query)."""
    rulings = Ruling.objects.filter(round=round).select_related("entry__person", "entry__division")
    return list(rulings.order_by("-pk"))


def warnings_in(round: Round) -> list[Warning]:
    """Every warning of the round, newest first, those taken back too (1 query)."""
    return list(_with_names(Warning.objects.filter(round=round)))


def event_warnings(event: Event) -> list[Warning]:
    """The director's warnings that hold for the whole event, newest first, those taken back too (1 query)."""
    return list(_with_names(Warning.objects.filter(entry__event=event, round=None)))


def event_warnings_of(entry: Entry) -> list[Warning]:
    """Those of one player that stand (1 query)."""
    return list(Warning.objects.filter(entry=entry, round=None, taken_back_at=None).order_by("pk"))


def event_warnings_among(entries: Sequence[int]) -> list[Warning]:
    """Those of some players, by entry id, that stand: they hold in playoffs too (1 query)."""
    return list(_with_names(Warning.objects.filter(entry__in=entries, round=None, taken_back_at=None)))


def disc_calls_in_playoffs(entries: Sequence[int]) -> list[Call]:
    """Calls about discs thrown in playoffs by some players, by entry id, that stand (1 query)."""
    calls = Call.objects.filter(entry__in=entries, playoff=True, taken_back_at=None)
    return list(calls.select_related("entry__person").order_by("pk"))


def _with_names(warnings: QuerySet[Warning]) -> QuerySet[Warning]:
    return warnings.select_related("entry__person", "entry__division").order_by("-pk")


def disc_warnings_in(round: Round) -> list[Call]:
    """Warnings for unmarked discs, which are kept with the calls about discs and stand (1 query)."""
    calls = Call.objects.filter(round=round, warning=True, playoff=False, taken_back_at=None)
    return list(calls.select_related("entry__person", "entry__division").order_by("-pk"))


def hole_scores(entry: Entry, round: Round, holes: int) -> tuple[int | None, ...]:
    """The player's score of each hole as it is written; None: blank (1 query)."""
    line = StandingLine.objects.filter(entry=entry, round=round).first()
    if line is None or len(line.throws) != holes:
        return (None,) * holes
    return tuple(line.throws)


def not_played_in(event: Event) -> Mapping[tuple[int, int], Mapping[str, int]]:
    """(round id, entry id) → label of each hole that was not played, and what that was scored (1 query)."""
    found: dict[tuple[int, int], dict[str, int]] = {}
    for row in HoleNotPlayed.objects.filter(round__event=event):
        found.setdefault((row.round_id, row.entry_id), {})[row.hole_label] = row.score
    return found
