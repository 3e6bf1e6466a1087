"""Which shifts a round asks for: worked out from its holes, its start and what is dangerous beside it. Pure."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from events.logistics.crew.duties import DUTIES, Hours

CENTRAL = "tournament central"


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
    """What a round plays. `start_labels`: holes from which tee times go, none with a shotgun start."""

    id: int
    number: int
    holes: tuple[HoleFacts, ...]
    start_labels: tuple[str, ...] = ()
    first_of_event: bool = False


@dataclass(frozen=True, slots=True)
class Asked:
    """One shift as it is asked for. `key` is the same whenever the same thing asks for it, in any installation."""

    key: str
    duty: str
    place: str
    round_id: int
    people: int
    layout_hole: int | None = None
    task: str = ""

    @property
    def hours(self) -> Hours:
        return DUTIES[self.duty].hours

    @property
    def road(self) -> bool:
        return DUTIES[self.duty].road


def shifts_asked(rounds: Sequence[RoundFacts], *, holes_a_marshal: int) -> list[Asked]:
    """The shifts of all rounds: posts on the course by their holes, and those at tournament central.

    `holes_a_marshal`: how many holes one marshal walks, 1 or more. A hole that several layouts share, played the same
    way from the same tee, is one post.
    """
    return [each for round_ in rounds for each in _of_round(round_, holes_a_marshal)]


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
        duty=duty,
        place=place[:80],
        round_id=round_.id,
        people=DUTIES[duty].people,
        layout_hole=hole.layout_hole if hole else None,
        task=task[:400],
    )
