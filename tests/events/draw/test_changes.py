"""Two versions of a sheet compared."""

from dataclasses import replace

from events.draw.changes import Change, Kind, SheetLine, compare

SHEET = [
    SheetLine(1, "Ines Halvorsen", 3, "5", order=1),
    SheetLine(2, "Bo Quill", 3, "5", order=2),
    SheetLine(3, "Cato Wren", 3, "5", order=3),
    SheetLine(4, "Dag Yarrow", 4, "6", order=1),
    SheetLine(5, "Eli Zorn", 4, "6", order=2),
]


def edited(**by_key: dict[str, object]) -> list[SheetLine]:
    return [replace(line, **by_key.get(f"k{line.key}", {})) for line in SHEET]  # type: ignore[arg-type]


def texts(changes: tuple[Change, ...]) -> list[str]:
    return [change.text for change in changes]


def test_the_same_sheet_in_another_order_has_no_change() -> None:
    assert compare(SHEET, list(reversed(SHEET))) == ()


def test_a_player_who_moved() -> None:
    changes = compare(SHEET, edited(k1={"group": 4, "hole": "6", "order": 3}))
    assert changes == (
        Change(
            Kind.MOVED,
            (1,),
            "group 3 hole 5",
            "group 4 hole 6",
            "Ines Halvorsen: group 3 hole 5 → group 4 hole 6",
        ),
    )


def test_players_exchanged_are_told_by_name() -> None:
    changes = compare(SHEET, edited(k1={"group": 4, "hole": "6"}, k5={"group": 3, "hole": "5"}))
    assert texts(changes) == [
        "Eli Zorn: group 4 hole 6 → group 3 hole 5",
        "Ines Halvorsen: group 3 hole 5 → group 4 hole 6",
    ]


def test_added_and_removed() -> None:
    newcomer = SheetLine(6, "Ada Moss", 4, "6", order=3)
    changes = compare(SHEET, [*SHEET[1:], newcomer])
    assert [(change.kind, change.text) for change in changes] == [
        (Kind.ADDED, "Ada Moss: new in group 4 hole 6"),
        (Kind.REMOVED, "Ines Halvorsen: out of group 3 hole 5"),
    ]


def test_a_whole_group_on_another_start_is_told_once() -> None:
    moved: dict[str, object] = {"hole": "12B", "layout": "Short", "time": "09:10"}
    changes = compare(SHEET, edited(k4=moved, k5=moved))
    assert changes == (
        Change(
            Kind.START,
            (4, 5),
            "hole 6",
            "09:10 hole 12B of Short",
            "Group 4: hole 6 → 09:10 hole 12B of Short",
        ),
    )


def test_another_throwing_order() -> None:
    changes = compare(SHEET, edited(k4={"order": 2}, k5={"order": 1}))
    assert [(change.kind, change.keys, change.text) for change in changes] == [
        (Kind.ORDER, (5, 4), "Group 4 throws in the order Eli Zorn, Dag Yarrow")
    ]
