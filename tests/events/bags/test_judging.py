from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest

from build import ACTOR, NOW, make_entry
from build_bags import make_disc, make_list
from events.bags.checking import Status
from events.bags.judging import judge
from events.bags.lists import choose_list, decide_model
from events.bags.models import Scale, Weighing
from events.bags.scales import DeskRefused, check_scale, register_scale
from events.bags.weighings import decide_question, examine, question_disc, weigh
from events.entries.models import Entry
from events.setup.models import Event
from players.models import ApprovedList, Disc

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.fixture
def approved(event: Event) -> ApprovedList:
    return make_list()


@pytest.fixture
def entry(event: Event, approved: ApprovedList) -> Entry:
    return make_entry(event)


def scale_of(event: Event, step: str = "0.1", kind: str = "class_iii", name: str = "fine") -> Scale:
    return register_scale(event=event, name=name, kind=kind, resolution_g=D(step), actor=ACTOR, now=NOW)


def put_on(entry: Entry, disc: Disc, scale: Scale, reading: str, **facts: object) -> Weighing:
    facts = {"submission": uuid4(), "now": NOW, **facts}
    return weigh(entry=entry, disc=disc, round=None, scale=scale, reading_g=D(reading), actor=ACTOR, **facts)  # type: ignore[arg-type]


def check_of(entry: Entry, disc: Disc, key: str) -> tuple[Status, str]:
    judged = judge(entry.event, [disc], None)[disc.pk]
    (check,) = [check for check in judged.checks if check.key == key]
    return check.status, check.sentence


def test_a_listed_model_names_its_snapshot(entry: Entry) -> None:
    disc = make_disc(entry)
    assert check_of(entry, disc, "list") == (Status.PASS, "On the list of 1 June 2026.")


def test_a_model_not_on_the_list_is_not_illegal_until_the_director_has_decided(entry: Entry) -> None:
    disc = make_disc(entry, "Homemade Thing")
    assert check_of(entry, disc, "list") == (
        Status.NOT_KNOWN,
        "Not on the list of 1 June 2026. The director decides.",
    )
    for allowed, status in ((False, Status.FAIL), (True, Status.PASS)):
        decide_model(
            event=entry.event,
            maker="",
            model="Homemade Thing",
            allowed=allowed,
            reason="seen",
            actor=ACTOR,
            now=NOW,
        )
        assert check_of(entry, disc, "list")[0] is status


def test_a_model_is_found_by_its_name_alone_if_one_maker_has_it(entry: Entry) -> None:
    disc = make_disc(entry, "plinthor")
    assert check_of(entry, disc, "list")[0] is Status.PASS


def test_a_stamp_is_a_claim_and_a_blank_maximum_no_pass(entry: Entry) -> None:
    disc = make_disc(entry, stamped_mass_g="177")
    assert check_of(entry, disc, "mass") == (
        Status.NOT_KNOWN,
        "Not weighed; its limit is 176.0 g. Stamped 177.0 g, which is a claim, not a weighing."
        " That is over the limit: weigh it.",
    )
    blank = make_disc(entry, "Fjøsdal Blankel")
    weighing = put_on(entry, blank, scale_of(entry.event), "150.0")
    assert (weighing.zone, weighing.limit_g, weighing.probability) == ("not_known", None, None)
    assert check_of(entry, blank, "mass") == (Status.NOT_KNOWN, "The list gives no maximum for it.")


def test_two_stages_not_proven_on_one_gram_then_accepted_on_the_finer_scale(entry: Entry) -> None:
    disc = make_disc(entry)
    coarse, fine = scale_of(entry.event, "1", "household", "kitchen"), scale_of(entry.event)
    first = put_on(entry, disc, coarse, "175")
    assert (first.zone, first.probability) == ("not_proven", D("0.9214"))
    assert check_of(entry, disc, "mass")[0] is Status.NOT_PROVEN
    second = put_on(entry, disc, fine, "175.2")
    assert second.zone == "accept"
    assert check_of(entry, disc, "mass")[0] is Status.PASS
    assert Weighing.objects.count() == 2


def test_a_coarse_scale_does_not_lift_what_a_finer_one_has_rejected(entry: Entry) -> None:
    disc = make_disc(entry)
    put_on(entry, disc, scale_of(entry.event), "176.3")
    put_on(entry, disc, scale_of(entry.event, "1", "household", "kitchen"), "176")
    assert check_of(entry, disc, "mass")[0] is Status.FAIL
    put_on(entry, disc, Scale.objects.get(name="fine"), "175.2")
    assert check_of(entry, disc, "mass")[0] is Status.PASS


def test_a_rejected_piece_is_not_to_be_thrown_and_a_light_one_is_nothing_wrong(entry: Entry) -> None:
    heavy, light = make_disc(entry), make_disc(entry)
    scale = scale_of(entry.event)
    put_on(entry, heavy, scale, "176.3")
    put_on(entry, light, scale, "139.0")
    assert check_of(entry, heavy, "mass")[0] is Status.FAIL
    assert check_of(entry, light, "mass")[0] is Status.PASS


def test_a_listed_limit_that_differs_from_the_formula_is_pointed_out(entry: Entry) -> None:
    disc = make_disc(entry, "Fjøsdal Slipvek")
    (check,) = [c for c in judge(entry.event, [disc], None)[disc.pk].checks if c.key == "mass"]
    assert check.remarks == (
        "Listed 176.3 g, formula 176.0 g: they differ. Judged by the listed one; the director decides.",
    )


def test_a_weighing_without_a_valid_check_says_so(entry: Entry) -> None:
    disc, scale = make_disc(entry), scale_of(entry.event)
    assert put_on(entry, disc, scale, "170.0").check_used is None
    (check,) = [c for c in judge(entry.event, [disc], None)[disc.pk].checks if c.key == "mass"]
    assert check.remarks == ("Weighed without a valid check of the scale.",)
    passed = check_scale(scale=scale, reference_g=D(200), reading_g=D("200.1"), actor=ACTOR, now=NOW)
    assert passed.passed
    assert put_on(entry, disc, scale, "170.0").check_used == passed
    assert put_on(entry, disc, scale, "170.0", now=NOW + timedelta(hours=6)).check_used is None
    failed = check_scale(scale=scale, reference_g=D(200), reading_g=D("200.3"), actor=ACTOR, now=NOW)
    assert not failed.passed
    assert put_on(entry, disc, scale, "170.0").check_used is None


@pytest.mark.parametrize(
    ("reading", "sentence"),
    [
        ("17.0", "17.0 g is no disc: a reading lies between 20 and 400 g."),
        ("176.05", "fine shows steps of 0.1 g: 176.05 is not one of them."),
    ],
)
def test_a_reading_that_cannot_be_is_refused(entry: Entry, reading: str, sentence: str) -> None:
    disc = make_disc(entry)
    scale_of(entry.event)
    with pytest.raises(DeskRefused) as refused:
        put_on(entry, disc, Scale.objects.get(), reading)
    assert str(refused.value) == sentence
    assert not Weighing.objects.exists()


def test_the_same_reading_sent_twice_is_one_weighing(entry: Entry) -> None:
    disc, scale, key = make_disc(entry), scale_of(entry.event), uuid4()
    assert put_on(entry, disc, scale, "170.0", submission=key) == put_on(
        entry, disc, scale, "170.0", submission=key
    )
    assert Weighing.objects.count() == 1


def test_what_was_seen_last_of_each_thing_counts(entry: Entry) -> None:
    disc = make_disc(entry, marked="yes")

    def look(**seen: bool) -> None:
        examine(
            entry=entry, disc=disc, round=None, seen=seen, note="", submission=uuid4(), actor=ACTOR, now=NOW
        )

    assert check_of(entry, disc, "mark")[0] is Status.PASS
    look(cracked=True, holed=False)
    look(marked=False)
    assert check_of(entry, disc, "crack") == (Status.FAIL, "Cracked.")
    assert check_of(entry, disc, "hole") == (Status.PASS, "No hole found.")
    assert check_of(entry, disc, "mark")[0] is Status.FAIL
    assert check_of(entry, disc, "sanding") == (Status.NOT_KNOWN, "Not looked at.")


def test_lights_are_for_rounds_that_were_announced(entry: Entry) -> None:
    disc = make_disc(entry)
    seen = {"lights_or_tape": True}
    examine(entry=entry, disc=disc, round=None, seen=seen, note="", submission=uuid4(), actor=ACTOR, now=NOW)
    round_ = entry.event.rounds.get(number=1)

    def status() -> Status:
        judged = judge(entry.event, [disc], round_)[disc.pk]
        return next(c.status for c in judged.checks if c.key == "lights or tape")

    assert status() is Status.FAIL
    round_.night_or_snow = True
    assert status() is Status.PASS


def test_a_questioned_disc_is_illegal_until_the_director_approves(entry: Entry) -> None:
    disc = make_disc(entry)
    facts = {"entry": entry, "disc": disc, "round": None, "actor": ACTOR, "now": NOW}
    question = question_disc(asked_by="R. Moravec", reason="feels thick", **facts)  # type: ignore[arg-type]
    assert question_disc(asked_by="R. Moravec", reason="feels thick", **facts) == question  # type: ignore[arg-type]
    with pytest.raises(DeskRefused):
        question_disc(asked_by="Another", reason="again", **facts)  # type: ignore[arg-type]
    judged = judge(entry.event, [disc], None)[disc.pk]
    assert judged.words == "do not throw"
    assert [c.sentence for c in judged.forbidden] == [
        "Questioned by R. Moravec: illegal until the director approves it."
    ]
    with pytest.raises(DeskRefused):
        decide_question(question=question, approved=True, reason=" ", actor=ACTOR, now=NOW)
    decide_question(question=question, approved=True, reason="as moulded", actor=ACTOR, now=NOW)
    assert check_of(entry, disc, "questioned")[0] is Status.PASS
    with pytest.raises(DeskRefused):
        decide_question(question=question, approved=False, reason="no", actor=ACTOR, now=NOW)


@pytest.mark.parametrize(
    ("reading", "newer", "status", "words"),
    [
        # guard band of this scale: 0.2015 g, so rejected from 175.3015 g and accepted up to 174.8985 g
        ("175.8", "175.1", Status.FAIL, "over it beyond what the scale can be wrong by."),
        ("180.0", "175.1", Status.FAIL, "over it beyond what the scale can be wrong by."),
        ("175.5", "175.9", Status.PASS, "nothing over the limit found."),
    ],
)
def test_a_newer_list_decides_the_same_reading_by_its_own_limit(
    entry: Entry, reading: str, newer: str, status: Status, words: str
) -> None:
    disc = make_disc(entry)
    put_on(entry, disc, scale_of(entry.event), reading)
    listed = make_list(f"Maker,Disc Model,Max Weight (g),Diameter (cm)\nOstwall,Plinthor,{newer},21.2\n")
    choose_list(event=entry.event, approved=listed, actor=ACTOR, now=NOW)
    assert check_of(entry, disc, "mass") == (status, f"{reading} g for a limit of {newer} g: {words}")
    (mass,) = [c for c in judge(entry.event, [disc], None)[disc.pk].checks if c.key == "mass"]
    assert "It was weighed when its listed limit was 176.0 g." in mass.remarks


def test_a_model_that_left_the_list_has_no_limit_to_judge_a_reading_by(entry: Entry) -> None:
    disc = make_disc(entry)
    put_on(entry, disc, scale_of(entry.event), "180.0")
    listed = make_list("Maker,Disc Model,Max Weight (g),Diameter (cm)\nOstwall,Another,175.1,21.1\n")
    choose_list(event=entry.event, approved=listed, actor=ACTOR, now=NOW)
    status, sentence = check_of(entry, disc, "mass")
    assert (status, sentence) == (
        Status.NOT_KNOWN,
        "Without a list entry there is no limit to judge by.",
    )


def test_nothing_changes_once_the_event_is_over(entry: Entry) -> None:
    disc, scale = make_disc(entry), scale_of(entry.event)
    Event.objects.filter(pk=entry.event_id).update(over_at=NOW)
    with pytest.raises(DeskRefused):
        put_on(entry, disc, scale, "170.0")


@pytest.mark.parametrize("count", [1, 3])
def test_judging_takes_eight_queries(entry: Entry, count: int, django_assert_num_queries) -> None:
    discs = [make_disc(entry) for _ in range(count)]
    with django_assert_num_queries(8):
        assert len(judge(entry.event, discs, None)) == count
