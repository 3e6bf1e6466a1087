"""What the demo's holes are like: descriptions and sketches, the same for a seed. Pure."""

import random

from events.course.hole_details import Area, DropZone, HoleDetails, Mandatory, OutOfBounds
from events.course.sketch import Item, Point

SHELTERS = (("Boat house by the car park", 3), ("Barn behind hole 9", 8), ("School hall", 12))
NEAR_WATER = frozenset({4, 11, 15})
BESIDE_ROAD = frozenset({2, 9})
SPOTTED = frozenset({2, 7, 15})


def details_of(position: int, *, seed: int) -> HoleDetails:
    """A description of the hole at this position of a layout, counted from 1."""
    rng = random.Random(f"hole {seed} {position}")  # noqa: S311  an invented course
    shelter, minutes = SHELTERS[position % len(SHELTERS)]
    zones: list[DropZone] = []
    mandatories: list[Mandatory] = []
    if position % 5 == 2:
        zones.append(DropZone("A", "mandatory", "beside the path, 20 m short of the marker", False, 1))
        mandatories.append(
            Mandatory(
                "Twin birch", "left", "from the trunk to the right, square to the line of play", "A", 800
            )
        )
    bounds = []
    if position in NEAR_WATER:
        zones.append(DropZone("B", "out_of_bounds", "on the near bank, by the bench", False, 1))
        bounds.append(OutOfBounds("Pond", "the water's edge", "usual_or_zone", "B"))
    if position in BESIDE_ROAD:
        bounds.append(OutOfBounds("Gravel road and beyond", "the near edge of the gravel"))
    notes = (
        "Wait for the spotter's flag: the landing zone cannot be seen from the tee."
        if position in SPOTTED
        else ""
    )
    return HoleDetails(
        tee_kind="pad",
        target_kind="standard",
        elevation_m=rng.randint(-12, 9),
        spotter=position in SPOTTED,
        shelter=shelter,
        shelter_minutes=minutes + position % 4,
        ambulance="Gate B on the gravel road" if position < 10 else "Gate C by the boat house",
        notes=notes,
        mandatories=tuple(mandatories),
        out_of_bounds=tuple(bounds),
        hazards=(Area("Sand pit left of the target", "its edge"),) if position == 6 else (),
        zones=tuple(zones),
    )


def sketch_of(position: int, *, seed: int) -> tuple[Item, ...]:
    """A sketch of the same hole: from left to right, bent one way or the other."""
    rng = random.Random(f"sketch {seed} {position}")  # noqa: S311  an invented course
    tee = (90, rng.randint(330, 560))
    target = (900, rng.randint(140, 420))
    bend = (rng.randint(430, 600), rng.randint(180, 560))
    items = [
        Item("tee", (tee,)),
        Item("target", (target,)),
        Item("flight", (tee, bend, target)),
        Item("trees", tuple(_near(rng, bend) for _ in range(rng.randint(3, 7)))),
        Item("path", ((20, 660), (bend[0], 640), (980, 600))),
    ]
    if position % 5 == 2:
        marker = (bend[0] - 60, max(bend[1] - 90, 40))
        items.append(Item("mandatory", (marker, (marker[0], min(marker[1] + 70, 690))), "birch"))
        items.append(Item("drop_zone", ((bend[0] - 120, min(bend[1] + 90, 660)),), "A"))
    if position in NEAR_WATER:
        x = bend[0] + 60
        items.append(Item("water", ((x, 440), (x + 160, 430), (x + 210, 520), (x + 60, 580)), "pond"))
        items.append(Item("drop_zone", ((x - 30, 600),), "B"))
    if position in BESIDE_ROAD:
        items.append(Item("out_of_bounds", ((40, 90), (480, 60), (980, 80)), "road side"))
        items.append(Item("road", ((0, 50), (480, 20), (1000, 40))))
    if position == 6:
        items.append(Item("hazard", ((820, 470), (880, 460), (890, 520), (830, 530))))
    return tuple(items)


def _near(rng: random.Random, point: Point) -> Point:
    x, y = point
    return min(max(x + rng.randint(-220, 220), 0), 1000), min(
        max(y + rng.choice((-1, 1)) * rng.randint(60, 150), 0), 620
    )
