"""Each check of a piece: its status, its sentence and its source."""

from dataclasses import replace
from decimal import Decimal

import pytest

from events.bags.checking import (
    Check,
    Condition,
    Facts,
    Sources,
    Status,
    check_piece,
    gravest,
    in_words,
)
from events.bags.limits import Limit
from events.bags.weighing import Decision, ScaleFacts, decide

D = Decimal
SOURCES = Sources(
    listed="813.01.A",
    mass="the standards",
    no_minimum="none found",
    changes="813.01.B",
    forbidden="813.01.C",
    devices="813.01.D",
    broken="813.01.E",
    questioned="813.01.F",
    mark="813.01.H",
)
LIMIT = Limit(D("176.0"), D("176.0"), differs=False)
SOUND = Condition(True, False, False, False, False, False, False, False)


def weighed(reading: str, limit: str | None = "176.0") -> Decision:
    scale = ScaleFacts(D("0.1"), D("0.2"))
    return decide(D(reading), None if limit is None else D(limit), scale, D("1.645"))


GOOD = Facts(
    model="Plinthor",
    snapshot="list of 1 June 2026",
    on_list=True,
    limit=LIMIT,
    decision=weighed("175.0"),
    stamped_g=D(175),
    condition=SOUND,
    scale_checked=True,
)


def check_of(facts: Facts, key: str) -> Check:
    (found,) = [check for check in check_piece(facts, SOURCES) if check.key == key]
    return found


def seen(**answers: bool | None) -> Facts:
    return replace(GOOD, condition=replace(SOUND, **answers))  # type: ignore[arg-type]


def test_a_sound_piece_has_every_check_in_the_order_of_the_desk() -> None:
    checks = check_piece(GOOD, SOURCES)
    assert [(check.key, check.status, check.source) for check in checks] == [
        ("list", Status.PASS, "813.01.A"),
        ("mass", Status.PASS, "the standards"),
        ("mark", Status.PASS, "813.01.H"),
        ("crack", Status.PASS, "813.01.E"),
        ("hole", Status.PASS, "813.01.E"),
        ("carving", Status.PASS, "813.01.C"),
        ("added material", Status.PASS, "813.01.C"),
        ("sanding", Status.PASS, "813.01.C"),
        ("shape", Status.PASS, "813.01.C"),
        ("lights or tape", Status.PASS, "813.01.D"),
    ]
    assert [check.remarks for check in checks] == [()] * 10
    assert in_words(gravest(checks)) == "nothing found"


# ------------------------------------------------------------------ on the list


@pytest.mark.parametrize(
    ("facts", "status", "sentence"),
    [
        ({}, Status.PASS, "On the list of 1 June 2026."),
        ({"on_list": False}, Status.NOT_KNOWN, "Not on the list of 1 June 2026. The director decides."),
        (
            {"on_list": False, "snapshot": ""},
            Status.NOT_KNOWN,
            "No list of approved discs has been imported.",
        ),
        (
            {"on_list": False, "model_allowed": True, "model_reason": "papers seen"},
            Status.PASS,
            "Not on the list of 1 June 2026; allowed by the director: papers seen",
        ),
        (
            {"on_list": False, "model_allowed": False, "model_reason": "homemade"},
            Status.FAIL,
            "Not on the list of 1 June 2026; not allowed by the director: homemade",
        ),
        (
            {"on_list": False, "snapshot": "", "model_allowed": False, "model_reason": "homemade"},
            Status.FAIL,
            "Not on the list; not allowed by the director: homemade",
        ),
    ],
)
def test_a_model_by_the_list_and_by_the_director(
    facts: dict[str, object], status: Status, sentence: str
) -> None:
    found = check_of(replace(GOOD, **facts), "list")  # type: ignore[arg-type]
    assert (found.status, found.sentence) == (status, sentence)


def test_not_on_the_list_is_said_not_to_be_illegal_yet() -> None:
    assert check_of(replace(GOOD, on_list=False), "list").remarks == ("Not on the list is not yet illegal.",)


# ------------------------------------------------------------------------- mass


@pytest.mark.parametrize(
    ("reading", "status", "sentence"),
    [
        ("175.7", Status.PASS, "175.7 g for a limit of 176.0 g: nothing over the limit found."),
        (
            "176.3",
            Status.FAIL,
            "176.3 g for a limit of 176.0 g: over it beyond what the scale can be wrong by.",
        ),
        (
            "176.0",
            Status.NOT_PROVEN,
            "176.0 g for a limit of 176.0 g: too near to decide on this scale. Weigh it on a finer scale, if"
            " there is one; it is not restricted, and the director is told.",
        ),
    ],
)
def test_a_mass_by_its_zone(reading: str, status: Status, sentence: str) -> None:
    found = check_of(replace(GOOD, decision=weighed(reading)), "mass")
    assert (found.status, found.sentence, found.remarks) == (status, sentence, ())


@pytest.mark.parametrize(
    ("stamped", "sentence"),
    [
        (None, "Not weighed; its limit is 176.0 g."),
        (
            D(176),
            "Not weighed; its limit is 176.0 g. Stamped 176 g, which is a claim, not a weighing.",
        ),
        (
            D(177),
            "Not weighed; its limit is 176.0 g. Stamped 177 g, which is a claim, not a weighing."
            " That is over the limit: weigh it.",
        ),
    ],
)
def test_a_stamp_proves_nothing_either_way(stamped: Decimal | None, sentence: str) -> None:
    found = check_of(replace(GOOD, decision=None, stamped_g=stamped), "mass")
    assert (found.status, found.sentence) == (Status.NOT_KNOWN, sentence)


@pytest.mark.parametrize(
    ("on_list", "sentence"),
    [
        (True, "The list gives no maximum for it."),
        (False, "Without a list entry there is no limit to judge by."),
    ],
)
def test_without_a_limit_no_reading_passes(on_list: bool, sentence: str) -> None:
    """The formula's figure is known, and does not stand in."""
    blank = Limit(None, D("176.0"), differs=False)
    facts = replace(GOOD, on_list=on_list, limit=blank, decision=weighed("170.0", None))
    found = check_of(facts, "mass")
    assert (found.status, found.sentence) == (Status.NOT_KNOWN, sentence)


def test_the_listed_limit_judges_and_the_formula_stands_beside_it() -> None:
    """Listed 176.3, formula 176.0: 176.0 is below the guard band of the listed one."""
    slip = Limit(D("176.3"), D("176.0"), differs=True)
    found = check_of(replace(GOOD, limit=slip, decision=weighed("176.0", "176.3")), "mass")
    assert found.status is Status.PASS
    assert found.remarks == (
        "Listed 176.3 g, formula 176.0 g: they differ. Judged by the listed one; the director decides.",
    )


@pytest.mark.parametrize(
    ("reading", "remarks"),
    [
        ("166.1", ()),
        ("166.0", ("Light, and not illegal for it: no minimum mass is known (none found).",)),
        ("99.0", ("Light, and not illegal for it: no minimum mass is known (none found).",)),
    ],
)
def test_a_light_piece_passes_and_is_said_to_be_none_the_worse(
    reading: str, remarks: tuple[str, ...]
) -> None:
    found = check_of(replace(GOOD, decision=weighed(reading)), "mass")
    assert (found.status, found.remarks) == (Status.PASS, remarks)


@pytest.mark.parametrize(
    ("checked", "remarks"),
    [(True, ()), (None, ()), (False, ("Weighed without a valid check of the scale.",))],
)
def test_a_weighing_on_an_unchecked_scale_says_so(checked: bool | None, remarks: tuple[str, ...]) -> None:
    assert check_of(replace(GOOD, scale_checked=checked), "mass").remarks == remarks


# -------------------------------------------------------------- mark, condition


@pytest.mark.parametrize(
    ("marked", "status", "sentence"),
    [
        (True, Status.PASS, "Bears the owner's mark."),
        (False, Status.FAIL, "Bears no owner's mark: mark it before it is thrown."),
        (None, Status.NOT_KNOWN, "Not said whether it bears the owner's mark."),
    ],
)
def test_the_owners_mark(marked: bool | None, status: Status, sentence: str) -> None:
    found = check_of(seen(marked=marked), "mark")
    assert (found.status, found.sentence, found.remarks) == (status, sentence, ())


@pytest.mark.parametrize("marked", [True, False, None])
def test_signatures_are_no_mark_and_their_ink_is_fine(marked: bool | None) -> None:
    facts = seen(marked=marked, signed=True)
    remarks = ("Signatures are not the owner's mark unless they name who throws it.",)
    assert check_of(facts, "mark") == replace(check_of(seen(marked=marked), "mark"), remarks=remarks)
    assert check_of(facts, "ink") == Check(
        "ink", Status.PASS, "Signed: permanent ink is an allowed change.", "813.01.B"
    )


@pytest.mark.parametrize(
    ("answer", "key", "fault"),
    [
        ("cracked", "crack", "Cracked."),
        ("holed", "hole", "Has a hole."),
        ("carved", "carving", "Etched, carved or engraved."),
        ("added_material", "added material", "Bears material of a thickness to feel."),
        ("over_sanded", "sanding", "Sanded beyond wear and small flaws."),
        ("out_of_shape", "shape", "No longer a circular saucer."),
    ],
)
def test_a_fault_fails_its_own_check_alone_and_what_nobody_looked_at_is_not_known(
    answer: str, key: str, fault: str
) -> None:
    bad = check_piece(seen(**{answer: True}), SOURCES)
    assert [(check.key, check.sentence) for check in bad if check.status is Status.FAIL] == [(key, fault)]
    assert in_words(gravest(bad)) == "do not throw"
    unseen = check_piece(seen(**{answer: None}), SOURCES)
    assert [check.key for check in unseen if check.status is not Status.PASS] == [key]
    assert (check_of(seen(**{answer: None}), key).sentence, in_words(gravest(unseen))) == (
        "Not looked at.",
        "not known yet",
    )


BARE = "No lights or tape on it."


@pytest.mark.parametrize(
    ("on_it", "night_or_snow", "status", "sentence"),
    [
        (
            True,
            False,
            Status.FAIL,
            "Lights or tape, and the round is not announced as night or snow: take them off.",
        ),
        (True, True, Status.PASS, "Lights or tape, in a round announced as night or snow."),
        (False, False, Status.PASS, BARE),
        (False, True, Status.PASS, BARE),
        (None, False, Status.NOT_KNOWN, "Not looked at."),
        (None, True, Status.NOT_KNOWN, "Not looked at."),
    ],
)
def test_lights_and_tape_only_by_night_or_snow(
    on_it: bool | None, night_or_snow: bool, status: Status, sentence: str
) -> None:
    found = check_of(replace(seen(lights_or_tape=on_it), night_or_snow=night_or_snow), "lights or tape")
    assert (found.status, found.sentence) == (status, sentence)


# ------------------------------------------------------------------- questioned


@pytest.mark.parametrize(
    ("by", "approved", "status", "sentence"),
    [
        ("", None, Status.FAIL, "Questioned: illegal until the director approves it."),
        (
            "another player",
            None,
            Status.FAIL,
            "Questioned by another player: illegal until the director approves it.",
        ),
        ("", True, Status.PASS, "Questioned; approved by the director."),
        ("", False, Status.FAIL, "Questioned; not approved by the director."),
    ],
)
def test_a_questioned_piece_is_illegal_until_approved(
    by: str, approved: bool | None, status: Status, sentence: str
) -> None:
    facts = replace(GOOD, questioned=True, questioned_by=by, questioned_approved=approved)
    assert check_of(facts, "questioned") == Check("questioned", status, sentence, "813.01.F")


def test_approval_of_a_questioned_piece_does_not_mend_a_crack() -> None:
    facts = replace(seen(cracked=True), questioned=True, questioned_approved=True)
    assert gravest(check_piece(facts, SOURCES)) is Status.FAIL


# ---------------------------------------------------------------------- overall


@pytest.mark.parametrize(
    ("found", "words"),
    [
        ([], "not known yet"),
        ([Status.PASS], "nothing found"),
        ([Status.PASS, Status.NOT_KNOWN], "not known yet"),
        ([Status.NOT_KNOWN, Status.NOT_PROVEN, Status.PASS], "not proven"),
        ([Status.NOT_PROVEN, Status.FAIL, Status.NOT_KNOWN], "do not throw"),
    ],
)
def test_the_gravest_check_decides_and_missing_is_no_pass(found: list[Status], words: str) -> None:
    assert in_words(gravest(Check("any", status, "", "") for status in found)) == words
