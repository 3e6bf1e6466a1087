"""Reading the shifts with their hours as they stand now, and who stands them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Prefetch

from events.logistics.crew.duties import DUTIES, label_of
from events.logistics.crew.models import Need, Post
from events.logistics.crew.windows import span_from
from events.logistics.play import RoundTimes, Span
from events.logistics.playing_times import playing_times
from events.setup.models import Event


@dataclass(frozen=True, slots=True)
class Stands:
    """Somebody on a shift, without anything personal."""

    post_id: int
    helper_id: int
    name: str
    channel: str
    there_at: datetime | None


@dataclass(frozen=True, slots=True)
class Shift:
    """A shift with its hours as they are now. `span` None: a moment that it hangs on is not known."""

    id: int
    duty: str
    place: str
    hole_id: int | None  # of a layout
    round_id: int | None
    round_number: int | None
    span: Span | None
    people: int
    channel: str
    task: str
    road: bool
    stands: tuple[Stands, ...]

    @property
    def label(self) -> str:
        return label_of(self.duty)

    @property
    def names(self) -> tuple[str, ...]:
        return tuple(each.name for each in self.stands)

    @property
    def missing(self) -> int:
        return max(0, self.people - len(self.stands))

    @property
    def certificate(self) -> str:
        return DUTIES[self.duty].certificate


def shifts_of(
    event: Event, now: datetime | None = None, *, times: Mapping[int, RoundTimes] | None = None
) -> list[Shift]:
    """Every shift of the event in the order of the day; those without hours last (12 queries).

    With `now`, a stop of play that lasts moves rounds as its restart stands.
    """
    clocks = playing_times(event, now).rounds if times is None else times
    here = Post.objects.filter(helper__left_at__isnull=True).select_related("helper").order_by("helper__name")
    needs = (
        Need.objects.filter(event=event, dropped_at__isnull=True)
        .select_related("round")
        .prefetch_related(Prefetch("posts", queryset=here, to_attr="held"))
    )
    return sorted((_shift(need, clocks) for need in needs), key=_by_hours)


def shifts_between(
    event: Event, start: datetime, end: datetime, *, times: Mapping[int, RoundTimes] | None = None
) -> list[Shift]:
    """The shifts that share some time with the hours from `start` to `end` (12 queries; 2 with `times` in hand)."""
    asked = Span(start, end)
    found = shifts_of(event, times=times)
    return [shift for shift in found if shift.span is not None and shift.span.meets(asked)]


def _by_hours(shift: Shift) -> tuple[object, ...]:
    order = list(DUTIES).index(shift.duty)
    if shift.span is None:
        return (1, 0.0, 0.0, order, shift.place, shift.id)
    span = shift.span
    return (0, span.starts.timestamp(), span.ends.timestamp(), order, shift.place, shift.id)


def _shift(need: Need, times: Mapping[int, RoundTimes]) -> Shift:
    held: Sequence[Post] = need.held  # type: ignore[attr-defined]  # prefetched above
    return Shift(
        id=need.pk,
        duty=need.duty,
        place=need.place,
        hole_id=need.layout_hole_id,
        round_id=need.round_id,
        round_number=need.round.number if need.round else None,
        span=hours_of(need, times),
        people=need.people,
        channel=need.channel,
        task=need.task or DUTIES[need.duty].task,
        road=need.road,
        stands=tuple(
            Stands(post.pk, post.helper_id, post.helper.name, post.helper.channel, post.there_at)
            for post in held
        ),
    )


def hours_of(need: Need, times: Mapping[int, RoundTimes]) -> Span | None:
    """A shift of a round moves with it; one with its own hours stays."""
    if need.round_id is None:
        assert need.starts_at is not None
        assert need.ends_at is not None
        return Span(need.starts_at, need.ends_at)
    clock = times.get(need.round_id)
    if clock is None:
        return None
    return span_from(clock, need.from_anchor, need.from_minutes, need.to_anchor, need.to_minutes)
