"""How a round stands: who has declared, what changed, what was weighed, what is open. A constant number of queries."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from events.bags.checking import Status
from events.bags.judging import Judged, ground_of, judge_on
from events.bags.models import Call
from events.bags.queries import BagView, bags_of
from events.bags.spot_checks import drawn_entries
from events.entries.models import Entry
from events.entries.models import Status as EntryStatus
from events.setup.models import Event, Round


@dataclass(frozen=True, slots=True)
class Standing:
    """One entrant's bag of the round. Counts are of the pieces carried; `pieces` None: nothing was said yet."""

    entry: Entry
    view: BagView
    pieces: int | None
    came_in: int
    went_out: int
    late: int
    weighed: int
    forbidden: tuple[Judged, ...]
    unproven: int
    not_listed: int
    questioned: int
    unchecked: int
    calls: int
    drawn: bool

    @property
    def declared_at(self) -> datetime | None:
        return self.view.declared_at

    @property
    def open_words(self) -> tuple[str, ...]:
        """What is not settled, in a few words each."""
        counted = (
            (len(self.forbidden), "not to throw"),
            (self.unproven, "not proven"),
            (self.not_listed, "not on the list"),
            (self.questioned, "questioned"),
            (self.unchecked, "weighed without a valid scale check"),
        )
        words = [f"{count} {what}" for count, what in counted if count]
        if self.drawn and self.weighed < (self.pieces or 0):
            words.append("drawn, not weighed whole")
        return tuple(words)


@dataclass(frozen=True, slots=True)
class RoundStanding:
    """The whole field of a round, by name."""

    round: Round
    rows: tuple[Standing, ...]

    @property
    def declared(self) -> int:
        return sum(row.declared_at is not None for row in self.rows)

    @property
    def weighed(self) -> int:
        return sum(row.weighed for row in self.rows)

    @property
    def open(self) -> tuple[Standing, ...]:
        return tuple(row for row in self.rows if row.open_words)


def field_of(event: Event) -> list[Entry]:
    """Who plays, by name (1 query)."""
    entries = Entry.objects.filter(event=event, status=EntryStatus.CONFIRMED)
    found = list(entries.select_related("person", "division").order_by("person__sort_name", "pk"))
    for entry in found:
        entry.event = event
    return found


def standing_of(event: Event, round: Round) -> RoundStanding:
    """Every bag of the round with what is known of its pieces (the same number of queries for any field)."""
    entries = field_of(event)
    bags = bags_of(entries, round)
    discs = [disc for view in bags.values() for disc in view.carried]
    judged = judge_on(ground_of(event), event, discs, round)
    drawn = drawn_entries(round)
    made = Call.objects.filter(round=round, taken_back_at=None).values_list("entry", flat=True)
    calls = Counter(made.order_by("pk"))
    rows = [
        _standing(entry, bags[entry.pk], judged, drawn=entry.pk in drawn, calls=calls[entry.pk])
        for entry in entries
    ]
    return RoundStanding(round, tuple(rows))


def _standing(entry: Entry, view: BagView, judged: dict[int, Judged], *, drawn: bool, calls: int) -> Standing:
    carried: Sequence[Judged] = [judged[disc.pk] for disc in view.carried]
    said = view.opened or bool(view.pieces)
    return Standing(
        entry=entry,
        view=view,
        pieces=len(carried) if said else None,
        came_in=len(view.came_in),
        went_out=len(view.went_out),
        late=sum(piece.late_at is not None for piece in view.pieces),
        weighed=sum(each.weighing is not None for each in carried),
        forbidden=tuple(each for each in carried if each.forbidden),
        unproven=sum(bool(each.unproven) for each in carried),
        not_listed=sum(_unlisted(each) for each in carried),
        questioned=sum(each.question is not None and each.question.approved is None for each in carried),
        unchecked=sum(each.weighing is not None and each.weighing.check_used_id is None for each in carried),
        calls=calls,
        drawn=drawn,
    )


def _unlisted(judged: Judged) -> bool:
    return any(check.key == "list" and check.status is Status.NOT_KNOWN for check in judged.checks)
