"""The work of a hole: only what the hole has, and the same key for the same words."""

from events.course.hole_details import Area, DropZone, HoleDetails, Mandatory, OutOfBounds
from events.logistics.physical import PhysicalHole, add_details
from events.logistics.ready.preparing import OwnTask, tasks_of


def hole(*details: HoleDetails) -> PhysicalHole:
    made = PhysicalHole(1, "pad 1", "target 1", signs=["Upper 1", "Short 3"])
    for each in details:
        add_details(made, each)
    return made


def words(made: PhysicalHole, *own: OwnTask) -> list[str]:
    return [task.words for task in tasks_of(made, own)]


def test_a_plain_hole_asks_for_little() -> None:
    assert words(hole()) == [
        "Tee clear and marked",
        "Sign “Upper 1” there and right",
        "Sign “Short 3” there and right",
        "Chains and basket sound",
    ]


def test_a_hole_asks_for_what_its_layouts_describe_once() -> None:
    described = HoleDetails(
        tee_kind="pad",
        target_kind="object",
        spotter=True,
        mandatories=(Mandatory(marker="Twin birch", plane="right of the trunk"),),
        out_of_bounds=(OutOfBounds(boundary="Road", marking="white line"),),
        hazards=(Area("Sand pit"),),
        zones=(DropZone(name="A", place="by the bench"),),
    )
    again = HoleDetails(out_of_bounds=(OutOfBounds(boundary="Road"), OutOfBounds(boundary="Pond")))
    made = hole(described, again)
    assert words(made, OwnTask(4, "Bin emptied")) == [
        "Tee pad swept",
        "Sign “Upper 1” there and right",
        "Sign “Short 3” there and right",
        "Mandatory marked: Twin birch",
        "Out-of-bounds line seen and unbroken: Road",
        "Out-of-bounds line seen and unbroken: Pond",
        "Area marked: Sand pit",
        "Drop zone A marked",
        "Spotter post set up",
        "Target marked and clear",
        "Bin emptied",
    ]
    assert [task.how for task in tasks_of(made) if task.key.startswith("line")] == ["white line", ""]


def test_a_spotter_in_one_layout_is_a_spotter_of_the_hole() -> None:
    assert hole(HoleDetails(spotter=True), HoleDetails(spotter=False)).spotter is True
    assert hole(HoleDetails(spotter=False), HoleDetails()).spotter is False
    assert hole(HoleDetails()).spotter is None


def test_keys_are_short_stable_and_apart() -> None:
    names = [f"Line {number} {'x' * 100}" for number in range(12)]
    made = hole(HoleDetails(out_of_bounds=tuple(OutOfBounds(boundary=name) for name in names)))
    keys = [task.key for task in tasks_of(made)]
    assert len(set(keys)) == len(keys)
    assert max(map(len, keys)) <= 40
    assert keys == [task.key for task in tasks_of(made)]
