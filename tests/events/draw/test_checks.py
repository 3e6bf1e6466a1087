"""Rule checks on a finished sheet: one broken sheet for each rule, and a clean one."""

from dataclasses import replace

import pytest

from events.draw.candidates import Candidate
from events.draw.checks import Breach, Rule, Severity, SheetGroup, check_sheet
from events.draw.conflicts import Placed
from events.draw.grouping import draw_by_score
from events.draw.starts import TeePosition, place_shotgun


def player(key: int, division: str = "MA1", *, layout: int | None = 1, **more: object) -> Candidate:
    made = Candidate(key, division, division[1] == "P", surname=f"S{key}", given="G", layout=layout)
    return replace(made, **more)  # type: ignore[arg-type]


def group(number: int, *members: Candidate, **more: object) -> SheetGroup:
    made = SheetGroup(number, members, 1, "Long", tee=number, label=str(number))
    return replace(made, **more)  # type: ignore[arg-type]


def four(first: int, division: str = "MA1", **more: object) -> list[Candidate]:
    return [player(key, division, **more) for key in range(first, first + 4)]


def check(*groups: SheetGroup) -> tuple[Breach, ...]:
    return check_sheet(groups, [member for one in groups for member in one.members])


def test_a_clean_sheet_has_no_breach() -> None:
    assert check(group(1, *four(1)), group(2, *four(5, "MPO"))) == ()


def test_a_fresh_draw_on_fresh_starts_has_no_breach() -> None:
    players = [player(key, "MPO", totals=(50 + key,)) for key in range(1, 20)]
    draw = draw_by_score(players)
    tees = [TeePosition(1, n, str(n), n, 3) for n in range(1, 19)]
    starts = place_shotgun([one.layout for one in draw.groups], tees)
    groups = [
        SheetGroup(g.number, g.members, s.layout, tee=s.tee, label=s.label)
        for g, s in zip(draw.groups, starts, strict=True)
    ]
    assert check_sheet(groups, players) == ()


@pytest.mark.parametrize(
    ("members", "official", "text"),
    [
        (four(1)[:2], "", "Group 1 has 2, fewer than 3: needs a recorded reason and an official."),
        (four(1)[:2], "Ora Venn", "Group 1 has 2, fewer than 3: needs a recorded reason."),
        (four(1) + four(5)[:2], "", "Group 1 has 6, more than 5."),
    ],
)
def test_group_size(members: list[Candidate], official: str, text: str) -> None:
    breaches = check(group(1, *members, official=official))
    rule = Rule.SMALL if len(members) < 3 else Rule.LARGE
    assert breaches == (Breach(rule, "Competition Manual 2025, 1.06.G, H", text, 1, Severity.MUST),)


def test_professionals_with_amateurs() -> None:
    breaches = check(group(1, *four(1)[:3], player(9, "FPO")))
    text = "Group 1 has professionals and amateurs: FPO, MA1."
    assert breaches == (Breach(Rule.CLASSES, "Competition Manual 2025, 1.06.A", text, 1, Severity.SHOULD),)


def test_an_amateur_in_a_professional_division_is_of_its_class() -> None:
    assert check(group(1, *four(1, "MPO")[:3], player(9, "MPO", professional=False))) == ()


def test_divisions_mixed() -> None:
    breaches = check(group(1, *four(1)[:3], player(9, "MA2")))
    text = "Group 1 has several divisions: MA1, MA2."
    assert breaches == (Breach(Rule.DIVISIONS, "Competition Manual 2025, 1.06.A", text, 1, Severity.SHOULD),)


@pytest.mark.parametrize("guardian", ["", "  "])
def test_junior_without_guardian(guardian: str) -> None:
    child = player(9, "MJ12", junior=True, needs_guardian=True, guardian=guardian)
    others = [player(key, "MJ12", junior=True) for key in (7, 8)]
    text = "Group 1: no guardian on record for G S9 (MJ12)."
    assert check(group(1, child, *others)) == (
        Breach(Rule.GUARDIAN, "Competition Manual 2025, 1.13.B", text, 1, Severity.MUST, (9,)),
    )
    assert check(group(1, replace(child, guardian="Ora Venn"), *others)) == ()


def test_player_twice_missing_and_unknown() -> None:
    first, second = group(1, *four(1)), group(2, *four(5)[:3], player(4))
    expected = [*four(1), *four(5)]
    stranger = group(3, *four(20, "MA1")[:3])
    breaches = check_sheet([first, second, stranger], expected)
    assert [(b.rule, b.group, b.severity, b.players) for b in breaches] == [
        (Rule.TWICE, 2, Severity.IMPOSSIBLE, (4,)),
        (Rule.MISSING, None, Severity.MUST, (8,)),
        (Rule.STRANGER, 3, Severity.MUST, (20,)),
        (Rule.STRANGER, 3, Severity.MUST, (21,)),
        (Rule.STRANGER, 3, Severity.MUST, (22,)),
    ]
    assert [b.text for b in breaches[:3]] == [
        "G S4 is in groups 1 and 2.",
        "G S8 (MA1) is in no group.",
        "G S20 is in group 3 but does not play this round.",
    ]


def test_layouts_mixed_in_a_group() -> None:
    breaches = check(group(1, *four(1)[:3], player(9, layout=2)))
    text = "Group 1: not the layout of G S9 (MA1)."
    source = "Competition Manual 2025, 1.06.B"
    assert breaches == (Breach(Rule.LAYOUTS, source, text, 1, Severity.IMPOSSIBLE, (9,)),)


def test_layouts_mixed_in_a_group_without_a_start() -> None:
    members = [*four(1)[:3], player(9, "MA1", layout=2)]
    breaches = check(group(1, *members, layout=None, tee=None))
    assert [(b.rule, b.players) for b in breaches] == [(Rule.LAYOUTS, (9,))]


def test_a_division_on_two_layouts() -> None:
    short = [player(key, layout=2) for key in range(9, 12)]
    breaches = check(group(1, *four(1)), group(2, *four(5)), group(3, *short, layout=2, layout_name="Short"))
    text = "Group 3: MA1 plays Short here, Long elsewhere."
    source = "Competition Manual 2025, 1.06.B"
    assert breaches == (Breach(Rule.DIVISION_LAYOUT, source, text, 3, Severity.MUST, (9, 10, 11)),)


def test_two_layouts_on_one_physical_tee() -> None:
    short = [player(key, "MA3", layout=2) for key in (9, 10, 11)]
    breaches = check(
        group(1, *four(1), tee=17, tee_name="T17", label="17"),
        group(2, *short, layout=2, layout_name="Short", tee=17, tee_name="T17", label="5S"),
    )
    text = "7 people on tee T17 at the same time: group 1 (Long, hole 17), group 2 (Short, hole 5S)."
    assert breaches == (Breach(Rule.TEE, "Competition Manual 2025, 1.06.I", text, 2, Severity.MUST),)


def test_a_start_of_another_sheet_on_our_tee() -> None:
    other = Placed("B4", "Short", "4S", 1, 0, 3, tee_name="T1")
    breaches = check_sheet([group(1, *four(1))], four(1), elsewhere=[other])
    assert [(b.rule, b.group) for b in breaches] == [(Rule.TEE, 1)]


def test_a_meeting_of_two_other_sheets_is_not_ours() -> None:
    others = [Placed("B4", "Short", "4S", 9, 0, 3), Placed("C1", "Long", "9", 9, 0, 4)]
    assert check_sheet([group(1, *four(1))], four(1), elsewhere=others) == ()


def test_a_marked_second_group_is_told_once() -> None:
    breaches = check(group(1, *four(1)), group(2, *four(5), tee=1, label="1", second=True))
    text = "Group 2 is a second group on hole 1: emergency only."
    assert breaches == (Breach(Rule.SECOND, "Competition Manual 2025, 1.06.I", text, 2, Severity.MUST),)
