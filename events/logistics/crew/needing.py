"""Which shifts a round asks for: worked out from its holes, its start and what is dangerous beside it. Pure."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

from events.logistics.crew.duties import DUTIES, Hours

CENTRAL = "tournament central"
ONE_MINUTE = timedelta(minutes=1)
PART, ROOM = ", part ", 100  # what a key says of a part, and the letters left for the post before it
WHOLE = 5  # parts of a shift change at whole five minutes


@dataclass(frozen=True, slots=True)
class HoleFacts:
    """A physical hole as a round plays it; `layout_hole` is its first use, `label` says "Upper 7"."""

    physical: int
    layout_hole: int
    label: str
    position: int
    layout: str
    spotter: bool = False
    public: str = ""  # what endangers passers-by there, "" for nothing


@dataclass(frozen=True, slots=True)
class RoundFacts:
    """What a round plays. `start_labels`: holes from which tee times go, none with a shotgun start. `moments`: those
    that shifts hang on, as far as they are known."""

    id: int
    number: int
    holes: tuple[HoleFacts, ...]
    start_labels: tuple[str, ...] = ()
    first_of_event: bool = False
    moments: Mapping[str, datetime | None] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Asked:
    """One shift as it is asked for. `key` is the same whenever the same thing asks for it, in any installation."""

    key: str
    duty: str
    place: str
    round_id: int
    people: int
    hours: Hours
    layout_hole: int | None = None
    task: str = ""

    @property
    def road(self) -> bool:
        return DUTIES[self.duty].road


def shifts_asked(
    rounds: Sequence[RoundFacts], *, holes_a_marshal: int, most_minutes: int | None = None
) -> list[Asked]:
    """The shifts of all rounds: posts on the course by their holes, and those at tournament central.

    `holes_a_marshal`: how many holes one marshal walks, 1 or more. A hole that several layouts share, played the same
    way from the same tee, is one post. A post that takes longer than `most_minutes` is parted into equal shifts.
    """
    return [
        part
        for round_ in rounds
        for each in _of_round(round_, holes_a_marshal)
        for part in _parts(each, round_.moments, most_minutes)
    ]


def _parts(asked: Asked, moments: Mapping[str, datetime | None], most_minutes: int | None) -> Iterator[Asked]:
    """Each part begins where the one before ends, so many minutes after the first moment of the shift; only the last
    ends with its round, and is longer where the round is."""
    hours = asked.hours
    first, last = moments.get(hours.from_anchor), moments.get(hours.to_anchor)
    if most_minutes is None or first is None or last is None:
        yield asked
        return
    minutes = (last - first) // ONE_MINUTE + hours.to_minutes - hours.from_minutes
    count = -(-minutes // most_minutes)
    if count < 2:
        yield asked
        return
    cuts = [hours.from_minutes + minutes * part // count // WHOLE * WHOLE for part in range(1, count)]
    begins = [hours.from_minutes, *cuts]
    for number, begin in enumerate(begins, start=1):
        to = Hours(hours.from_anchor, begin, hours.to_anchor, hours.to_minutes)
        if number < count:
            to = Hours(hours.from_anchor, begin, hours.from_anchor, begins[number])
        yield replace(asked, key=f"{asked.key[:ROOM]}{PART}{number} of {count}", hours=to)


def split_of(key: str) -> tuple[str, int]:
    """The post that a key belongs to, and into how many shifts it was parted."""
    post, part, which = key.partition(PART)
    return post[:ROOM], int(which.rpartition(" of ")[2]) if part else 1


def _of_round(round_: RoundFacts, holes_a_marshal: int) -> Iterator[Asked]:
    if round_.first_of_event:
        yield _central(round_, "check_in")
    for place in round_.start_labels or (CENTRAL,):
        yield _asked(round_, "starter", f"hole {place}" if round_.start_labels else place)
    yield from _marshals(round_, holes_a_marshal)
    seen: set[int] = set()
    for hole in round_.holes:
        if hole.physical in seen:
            continue
        seen.add(hole.physical)
        if hole.spotter:
            yield _asked(round_, "spotter", hole.label, hole)
        if hole.public:
            task = f"{hole.public}. {DUTIES['steward'].task}"
            yield _asked(round_, "steward", hole.label, hole, task)
    for duty in ("card_room", "equipment", "weather", "medical", "parking", "water"):
        yield _central(round_, duty)


def _marshals(round_: RoundFacts, holes_a_marshal: int) -> Iterator[Asked]:
    """A zone is so many holes that follow each other in one layout; the last zone takes what is left."""
    by_layout: dict[str, list[HoleFacts]] = {}
    for hole in round_.holes:
        by_layout.setdefault(hole.layout, []).append(hole)
    walked: set[int] = set()
    for layout in sorted(by_layout):
        holes = [hole for hole in by_layout[layout] if hole.physical not in walked]
        walked |= {hole.physical for hole in holes}
        zones = max(1, round(len(holes) / holes_a_marshal)) if holes else 0
        for zone in range(zones):
            part = holes[len(holes) * zone // zones : len(holes) * (zone + 1) // zones]
            yield _asked(round_, "marshal", f"{layout} {_from_to(part)}")


def _from_to(holes: Sequence[HoleFacts]) -> str:
    labels = [hole.label.removeprefix(f"{hole.layout} ") for hole in holes]
    return labels[0] if len(labels) == 1 else f"{labels[0]} to {labels[-1]}"


def _central(round_: RoundFacts, duty: str) -> Asked:
    place = {"parking": "car park and ambulance gate", "water": "water points"}.get(duty, CENTRAL)
    return _asked(round_, duty, place)


def _asked(round_: RoundFacts, duty: str, place: str, hole: HoleFacts | None = None, task: str = "") -> Asked:
    return Asked(
        key=f"round {round_.number}, {duty}, {place}"[:120],
        hours=DUTIES[duty].hours,
        duty=duty,
        place=place[:80],
        round_id=round_.id,
        people=DUTIES[duty].people,
        layout_hole=hole.layout_hole if hole else None,
        task=task[:400],
    )
