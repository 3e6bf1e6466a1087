"""Everything that standings and ratings are worked out from, read once: 12 queries whatever the field."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Exists, OuterRef, Q, QuerySet

from events.course.models import LayoutUse
from events.course.queries import LayoutFacts, layouts_of
from events.draw.models import Seat, Sheet
from events.entries.models import Entry, Status
from events.safety.models import Completion
from events.setup.models import Division, Event, Round, StartType
from scoring.cards.models import Card, CardVersion, StandingLine
from scoring.standings.models import AFTER_LAST_ROUND, Cut, Placing

# Who may stand in a list of results. Somebody who withdrew stands in it only with a score.
LISTED = (Status.CONFIRMED, Status.DID_NOT_FINISH, Status.DISQUALIFIED, Status.WITHDRAWN)


@dataclass(frozen=True, slots=True)
class Place:
    """Where a player starts a round; `start_index` is the start hole's index within the layout, from 0."""

    group: int
    layout: int
    start_index: int
    starts_at: datetime
    tee_times: bool


@dataclass(frozen=True, slots=True)
class ScoreLine:
    """The line that counts: throws in layout order (None: blank) and penalties on the round's total. `called`: holes
    and score to par of the last radio call; 0 holes: none. `differs`: labels of holes that somebody has to decide."""

    throws: tuple[int | None, ...]
    additional: int
    additional_reason: str
    called: tuple[int, int] = (0, 0)
    differs: tuple[str, ...] = ()

    @property
    def begun(self) -> bool:
        return self.called[0] > 0 or any(score is not None for score in self.throws)


@dataclass(frozen=True, slots=True)
class Open:
    """What is to be decided of a player's card: holes on which its sources differ, or two versions that wait. `group`
    is None for somebody who is no longer on the tee sheet."""

    group: int | None
    holes: tuple[str, ...]
    card: bool


@dataclass(frozen=True, slots=True)
class Facts:
    """One event's rounds, players, starts and scores. Pairs are (round id, entry id); those of `chosen` are (round
    id, division id): what counts of a round that was not finished; those of `returned` and `undecided` (round id,
    group): cards that are in, and cards of which two versions wait for a decision."""

    event: Event
    today: date | None
    divisions: list[Division]
    rounds: list[Round]
    entries: list[Entry]
    layouts: dict[int, LayoutFacts]
    uses: dict[tuple[int, int], int]
    places: dict[tuple[int, int], Place]
    lines: dict[tuple[int, int], ScoreLine]
    returned: frozenset[tuple[int, int]]
    undecided: frozenset[tuple[int, int]]
    chosen: dict[tuple[int, int], Completion]
    cuts: tuple[Cut, ...] = ()
    placings: tuple[Placing, ...] = ()

    def rounds_of(self, division_id: int) -> list[Round]:
        """The rounds that count for a division: not those from one on after whose predecessor its results stand."""
        last = Completion.Option.LAST_ROUND
        stopped = [key[0] for key, row in self.chosen.items() if key[1] == division_id and row.option == last]
        ends = min((each.number for each in self.rounds if each.pk in stopped), default=None)
        return [each for each in self.rounds if ends is None or each.number < ends]

    def common_of(self, round_id: int, entry: Entry) -> frozenset[str] | None:
        """Labels of the holes that alone count of a stopped round; None: all count."""
        row = self.chosen.get((round_id, entry.division_id))
        if row is None or row.option != Completion.Option.COMMON_HOLES:
            return None
        return frozenset(row.common)

    def counts_of(self, round_id: int, entry: Entry) -> tuple[tuple[int | None, ...] | None, tuple[int, ...]]:
        """Throws (None: no card) and pars of the holes that count, in layout order."""
        layout, line = self.layout_for(round_id, entry), self.line_of(round_id, entry)
        pars = layout.pars if layout else ()
        common = self.common_of(round_id, entry)
        if common is None or layout is None:
            return (line.throws if line else None), pars
        kept = [index for index, hole in enumerate(layout.holes) if hole.label in common]
        throws = tuple(line.throws[index] for index in kept) if line else None
        return throws, tuple(pars[index] for index in kept)

    def layout_for(self, round_id: int, entry: Entry) -> LayoutFacts | None:
        """The layout of the group in which the player stands, else that of the division in this round."""
        place = self.places.get((round_id, entry.pk))
        layout = place.layout if place else self.uses.get((round_id, entry.division_id))
        return self.layouts.get(layout) if layout is not None else None

    def open_of(self, round_id: int, entry: Entry) -> Open | None:
        """What nobody has decided yet of a player's card; None once nothing is left, or can be: the event is over.

        Of a stopped round only the holes that count are asked about."""
        if self.event.over_at is not None:
            return None
        line, place = self.line_of(round_id, entry), self.places.get((round_id, entry.pk))
        common = self.common_of(round_id, entry)
        holes = tuple(label for label in (line.differs if line else ()) if common is None or label in common)
        waits = place is not None and (round_id, place.group) in self.undecided
        return Open(place.group if place else None, holes, waits) if holes or waits else None

    def line_of(self, round_id: int, entry: Entry) -> ScoreLine | None:
        """None for no card; a line written for a layout of another length says nothing about this one."""
        line, layout = self.lines.get((round_id, entry.pk)), self.layout_for(round_id, entry)
        if line is None or layout is None or len(line.throws) != len(layout.holes):
            return None
        return line


def load(
    event: Event,
    *,
    through_round: int | None = None,
    divisions: Collection[str] | None = None,
    now: datetime | None = None,
) -> Facts:
    """Read one event (12 queries); with `through_round` only its rounds up to that number, with `divisions` only the
    players and scores of those codes.

    `now` only says which starts are today's, so that their weekday is left out.
    """
    lines = StandingLine.objects.filter(round__event=event)
    entries = Entry.objects.filter(event=event, status__in=LISTED)
    if divisions is not None:
        lines = lines.filter(entry__division__code__in=divisions)
        entries = entries.filter(division__code__in=divisions)
    cards = _cards(event)
    return Facts(
        event=event,
        today=event.local(now).date() if now is not None else None,
        divisions=list(Division.objects.filter(event=event).order_by("order", "code")),
        rounds=_rounds(event, through_round),
        entries=list(entries.select_related("person", "division").order_by("person__sort_name", "pk")),
        layouts=layouts_of(event),
        uses=_uses(event),
        places=_places(event),
        lines={(line.round_id, line.entry_id): _score_line(line) for line in lines},
        returned=frozenset(key for key, (returned, _) in cards.items() if returned),
        undecided=frozenset(key for key, (_, waits) in cards.items() if waits),
        chosen=_chosen(event),
        cuts=tuple(_cuts(event)),
        placings=tuple(_placings(event, through_round)),
    )


def _rounds(event: Event, through_round: int | None) -> list[Round]:
    rounds = Round.objects.filter(event=event).order_by("number")
    return [each for each in rounds if through_round is None or each.number <= through_round]


def _uses(event: Event) -> dict[tuple[int, int], int]:
    uses = LayoutUse.objects.filter(round__event=event)
    return {(use.round_id, use.division_id): use.layout_id for use in uses}


def _score_line(line: StandingLine) -> ScoreLine:
    counts, called = line.counted, (line.called_through, line.called_to_par)
    return ScoreLine(counts.throws, counts.additional, counts.reason, called, tuple(line.differs))


def _cards(event: Event) -> dict[tuple[int, int], tuple[bool, bool]]:
    """(round id, group) → whether the card is in, and whether two versions of it wait for a decision; others are left
    out."""
    waits = CardVersion.objects.filter(card=OuterRef("pk"), state=CardVersion.State.DIFFERS)
    cards = Card.objects.filter(round__event=event).annotate(waits=Exists(waits))
    told = cards.filter(Q(returned_at__isnull=False) | Q(waits=True))
    rows = told.values_list("round_id", "group_number", "returned_at", "waits")
    return {(round_id, group): (at is not None, waiting) for round_id, group, at, waiting in rows}


def _chosen(event: Event) -> dict[tuple[int, int], Completion]:
    """The newest choice for each round and division."""
    rows = Completion.objects.filter(event=event).order_by("pk")
    return {(row.round_id, row.division_id): row for row in rows}


def _cuts(event: Event) -> QuerySet[Cut]:
    cuts = Cut.objects.filter(division__event=event)
    return cuts.select_related("division").order_by("division", "after_round")


def _placings(event: Event, through_round: int | None) -> QuerySet[Placing]:
    """What was decided up to a round: what broke the tie for first place came after the last."""
    found = Placing.objects.filter(entry__event=event).order_by("pk")
    if through_round is None:
        return found
    return found.filter(after_round__range=(AFTER_LAST_ROUND + 1, through_round))


def _places(event: Event) -> dict[tuple[int, int], Place]:
    rows = Seat.objects.filter(sheet__round__event=event, sheet__state=Sheet.State.PUBLISHED).values_list(
        "sheet__round_id",
        "entry_id",
        "group__number",
        "group__layout_id",
        "group__start__position",
        "group__starts_at",
        "group__pool__start_type",
    )
    return {
        (round_id, entry): Place(group, layout, position - 1, starts_at, kind == StartType.TEE_TIMES)
        for round_id, entry, group, layout, position, starts_at, kind in rows
    }
