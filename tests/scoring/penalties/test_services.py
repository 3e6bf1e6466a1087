"""Writing what was decided: rulings and warnings, once each, over a round; what is refused; taking back."""

import re
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.db import IntegrityError, transaction

import build
from build_cards import line, make_field, publish, save
from events.entries.models import Entry, Status
from events.log.models import Act
from events.log.services import verify
from events.setup.models import Event, Round
from scoring.cards.deciding import compared
from scoring.cards.live import Saying, enter_holes
from scoring.cards.models import Card, CardVersion, HoleEntry, Ruling, StandingLine
from scoring.cards.rulings import take_back_ruling, written_before
from scoring.penalties.absences import score_absence
from scoring.penalties.models import HoleNotPlayed, Warning
from scoring.penalties.queries import not_played_in
from scoring.penalties.refusals import ComesToSomethingElse, PenaltyRefused
from scoring.penalties.services import Told, Written, warn_instead, write_penalty
from scoring.penalties.warning_acts import take_back_warning, warn_for_event


def whole(sentence: str) -> str:
    return f"^{re.escape(sentence)}$"


@pytest.fixture
def round_(event: Event) -> Round:
    return event.rounds.get(number=1)


@pytest.fixture
def field(event: Event, round_: Round) -> list[Entry]:
    """Two groups of three: Moravec, Oyelaran, Pennock from hole 1; Eskola, Tindall, Varga from hole 2."""
    entries = make_field(event, 6)
    publish(round_, [entries[:3], entries[3:]])
    return entries


def write(entry: Entry, round_: Round, *ways: str, hole: str = "7", **facts: Any) -> Written:
    expected, submission = facts.pop("expected", None), facts.pop("submission", None)
    facts.setdefault("caller", "Hale Oyelaran")
    return write_penalty(
        entry=entry,
        round=round_,
        told=Told(ways=ways, hole=hole, **facts),
        expected=expected,
        submission=submission or uuid4(),
        actor=build.ACTOR,
        now=build.NOW,
    )


def total(entry: Entry) -> int | None:
    return StandingLine.objects.get(entry=entry).total


def test_throws_become_a_ruling_beside_the_card(field: list[Entry], round_: Round) -> None:
    save(round_, 1, [line(entry) for entry in field[:3]])

    write(field[0], round_, "mandatory-1", what="left side", confirmer="Dov Pennock")

    ruling = Ruling.objects.get()
    assert (ruling.entry, ruling.hole_label, ruling.throws) == (field[0], "7", 1)
    assert (ruling.rule, ruling.what) == ("Official Rules 2025, 804.01.C", "Missed mandatory: left side")
    assert (ruling.caller, ruling.confirmer, ruling.in_card) == ("Hale Oyelaran", "Dov Pennock", None)
    assert (total(field[0]), total(field[1])) == (55, 54)
    assert [act.action for act in Act.objects.order_by("number") if act.action.startswith("ruling")] == [
        "ruling.made"
    ]
    assert verify(round_.event.slug)[1] == []


def test_what_the_card_has_already_counts_once(field: list[Entry], round_: Round) -> None:
    save(round_, 1, [line(entry) for entry in field[:3]])

    write(field[0], round_, "ob-1", in_card=True)

    assert (Ruling.objects.get().in_card, total(field[0])) == (True, 54)


def test_parts_of_different_throws_are_rulings_of_their_own(field: list[Entry], round_: Round) -> None:
    written = write(field[0], round_, "mandatory-2")

    assert [(each.throws, each.rule) for each in written.rulings] == [
        (1, "Official Rules 2025, 804.01.C"),
        (1, "Official Rules 2025, 811.F (incorrect lie)"),
    ]


def test_a_warning_comes_first_in_each_round(event: Event, field: list[Entry], round_: Round) -> None:
    second = event.rounds.get(number=2)
    publish(second, [field[:3], field[3:]])

    first = write(field[0], round_, "courtesy-1")
    again = write(field[0], round_, "courtesy-1", hole="9")
    other_rule = write(field[0], round_, "time")
    other_player = write(field[1], round_, "courtesy-1")
    next_round = write(field[0], second, "courtesy-1")

    assert [len(each.warnings) for each in (first, again, other_rule, other_player, next_round)] == [
        1,
        0,
        1,
        1,
        1,
    ]
    assert [(each.hole_label, each.throws) for each in again.rulings] == [("9", 1)]
    assert Warning.objects.filter(round=second).count() == 1
    act = Act.objects.filter(action="warning.given").order_by("number").first()
    assert act is not None
    assert (act.subject, act.detail["rule"], act.detail["round"]) == (
        "Ludvik Moravec",
        "penalty.courtesy_distracting",
        1,
    )


def test_two_rules_of_courtesy_are_two_warnings(field: list[Entry], round_: Round) -> None:
    """Official Rules 2025, 812.C: the same rule of courtesy in the same round."""
    distracted = write(field[0], round_, "courtesy-1")
    refused = write(field[0], round_, "courtesy-3")
    again = write(field[0], round_, "courtesy-1", hole="9")

    assert [len(each.warnings) for each in (distracted, refused, again)] == [1, 1, 0]
    assert [(each.throws, each.what) for each in again.rulings] == [(1, "Courtesy: distracting others")]


def test_a_warning_beside_the_heavier_rule_of_one_throw_is_written_too(
    field: list[Entry], round_: Round
) -> None:
    key = uuid4()
    first = write(field[0], round_, "marking", "ob-1", submission=key, expected=(1, True))
    sent_again = write(field[0], round_, "marking", "ob-1", submission=key)
    later = write(field[0], round_, "marking", hole="9")

    assert [(each.throws, each.what) for each in first.rulings] == [(1, "Out of bounds")]
    assert [each.rule for each in first.warnings] == ["penalty.marking"]
    assert sent_again == first
    assert [(each.throws, each.what) for each in later.rulings] == [(1, "Lie not marked as the rules ask")]


def test_a_warning_that_was_taken_back_does_not_count(field: list[Entry], round_: Round) -> None:
    warning = write(field[0], round_, "time").warnings[0]
    take_back_warning(warning=warning, reason="another player", actor=build.ACTOR, now=build.NOW)

    again = write(field[0], round_, "time")

    assert (len(again.warnings), again.rulings) == (1, ())
    assert Act.objects.filter(action="warning.taken_back").get().reason == "another player"


def test_of_several_rules_the_heaviest_is_written(field: list[Entry], round_: Round) -> None:
    written = write(field[0], round_, "stance-1", "ob-2")

    assert [(each.throws, each.what) for each in written.rulings] == [(2, "Drop zone straight away")]


def test_between_the_signals_a_warning_then_one_throw_once(field: list[Entry], round_: Round) -> None:
    save(round_, 1, [line(entry) for entry in field[:3]])
    write(field[0], round_, "signals-1", hole="")
    written = write(field[0], round_, "signals-1", hole="")
    with pytest.raises(PenaltyRefused, match="it counts once in a round, and stands already"):
        write(field[0], round_, "signals-1", hole="")

    ruling = written.rulings[0]
    assert (ruling.hole_label, ruling.throws, total(field[0])) == ("", 1, 55)
    take_back_ruling(ruling=ruling, reason="heard late", actor=build.ACTOR, now=build.NOW)
    assert write(field[0], round_, "signals-1", hole="").rulings[0].throws == 1


def test_the_starter_s_penalty_is_on_the_starting_hole(field: list[Entry], round_: Round) -> None:
    written = write(field[3], round_, "starter-1", hole="")

    assert (written.rulings[0].hole_label, written.rulings[0].throws) == ("2", 2)


def test_the_whole_group_is_written_at_once_each_by_what_was_said_before(
    field: list[Entry], round_: Round
) -> None:
    write(field[1], round_, "order", hole="")

    written = write(field[0], round_, "order", hole="", also=(field[1].pk, field[2].pk))

    assert [(each.entry, each.throws) for each in written.rulings] == [(field[0], 2), (field[2], 2)]
    assert Ruling.objects.count() == 3


def test_a_lost_disc_that_was_taken_comes_off_until_the_event_is_over(
    event: Event, field: list[Entry], round_: Round
) -> None:
    save(round_, 1, [line(field[0], [3] * 6 + [6] + [3] * 11), line(field[1]), line(field[2])])

    write(field[0], round_, "lost-2")

    assert total(field[0]) == 55
    event.over_at = build.NOW
    event.save()
    with pytest.raises(
        PenaltyRefused, match=whole("The event is over: cards and warnings stay as they are.")
    ):
        write(field[1], round_, "lost-2")


def test_more_throws_off_than_are_written_are_refused_and_nothing_is_kept(
    field: list[Entry], round_: Round
) -> None:
    save(round_, 1, [line(entry, 2) for entry in field[:3]])

    with pytest.raises(PenaltyRefused, match="takes off more throws than are written"):
        write(field[0], round_, "lost-2")

    assert (Ruling.objects.count(), total(field[0])) == (0, 36)


def test_sent_twice_it_is_written_once(field: list[Entry], round_: Round) -> None:
    key = uuid4()
    first = write(field[0], round_, "mandatory-2", submission=key)
    again = write(field[0], round_, "mandatory-2", submission=key)
    warned = write(field[1], round_, "time", submission=key)

    assert again == first
    assert write(field[1], round_, "time", submission=key) == warned
    assert (Ruling.objects.count(), Warning.objects.count()) == (2, 1)


@pytest.mark.parametrize(
    ("ways", "hole", "caller"),
    [
        (("ob-1",), "7", "Hale Oyelaran"),
        (("mandatory-1",), "8", "Hale Oyelaran"),
        (("mandatory-1",), "7", "Dov Pennock"),
    ],
)
def test_a_page_that_has_written_something_else_says_so(
    field: list[Entry], round_: Round, ways: tuple[str, ...], hole: str, caller: str
) -> None:
    key = uuid4()
    write(field[0], round_, "mandatory-1", submission=key)

    with pytest.raises(PenaltyRefused, match=whole(written_before("ruling"))):
        write(field[0], round_, *ways, hole=hole, caller=caller, submission=key)


def test_a_warning_sent_again_with_other_words_is_refused(field: list[Entry], round_: Round) -> None:
    key = uuid4()
    write(field[0], round_, "time", submission=key)

    with pytest.raises(PenaltyRefused, match=whole(written_before("warning"))):
        write(field[0], round_, "time", what="at the drop zone", submission=key)


def test_what_was_shown_no_longer_holds(field: list[Entry], round_: Round) -> None:
    write(field[0], round_, "time")

    with pytest.raises(ComesToSomethingElse):
        write(field[0], round_, "time", expected=(0, True))

    assert write(field[0], round_, "time", expected=(1, False)).rulings[0].throws == 1


@pytest.mark.parametrize(
    ("facts", "sentence"),
    [
        ({"caller": ""}, "Write who made the call."),
        ({"hole": ""}, "Choose the hole on which it happened."),
        ({"hole": "19"}, "The layout of Ludvik Moravec has no hole 19."),
        ({"also": (0,)}, "One of the others is not in the group of Ludvik Moravec."),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(
    field: list[Entry], round_: Round, facts: dict[str, Any], sentence: str
) -> None:
    with pytest.raises(PenaltyRefused, match=whole(sentence)):
        write(field[0], round_, "mandatory-1", **facts)

    assert Ruling.objects.count() == 0


@pytest.mark.parametrize(
    ("way", "sentence"),
    [
        ("lost", "Answer the questions to their end."),
        ("practice-2-1", "Answer the questions to their end."),
        ("lost-9", "Answer the questions again: one of the answers is none."),
        ("checkin", "The rules of this event have no such penalty: it holds at other tiers only."),
    ],
)
def test_answers_that_lead_to_no_row_are_refused(
    field: list[Entry], round_: Round, way: str, sentence: str
) -> None:
    with pytest.raises(PenaltyRefused, match=whole(sentence)):
        write(field[0], round_, way)


def test_who_does_not_play_has_no_penalty(event: Event, field: list[Entry], round_: Round) -> None:
    late = build.make_entry(event)
    field[0].status = Status.WITHDRAWN
    field[0].save()

    with pytest.raises(PenaltyRefused, match=whole("Ludvik Moravec is not playing.")):
        write(field[0], round_, "time")
    with pytest.raises(PenaltyRefused, match="is in no group of the tee sheet of round 1"):
        write(late, round_, "time")


def test_throws_follow_what_the_event_set(event: Event, field: list[Entry], round_: Round) -> None:
    event.rule_overrides.create(
        key="penalty.practice_throw", value=2, reason="agreed", at=build.NOW, by="Tester"
    )

    assert write(field[0], round_, "practice-1").rulings[0].throws == 2


def test_the_director_warns_in_place_of_throws(field: list[Entry], round_: Round) -> None:
    write(field[0], round_, "courtesy-1")
    facts: dict[str, Any] = {"entry": field[0], "round": round_, "actor": build.ACTOR, "now": build.NOW}
    told = Told(ways=("courtesy-1",), hole="9", caller="Hale Oyelaran")
    key = uuid4()

    warned = warn_instead(told=told, submission=key, **facts)

    assert warn_instead(told=told, submission=key, **facts) == warned
    assert (Warning.objects.count(), Ruling.objects.count(), warned.hole_label) == (2, 0, "9")
    with pytest.raises(PenaltyRefused, match=whole("Missed mandatory: this rule knows no warning.")):
        warn_instead(told=Told(("mandatory-1",), "9", caller="x"), submission=uuid4(), **facts)


def test_a_warning_for_the_event_has_no_round(field: list[Entry]) -> None:
    facts: dict[str, Any] = {"entry": field[0], "actor": build.ACTOR, "now": build.NOW}
    key = uuid4()

    warning = warn_for_event(what="threw a bag", submission=key, **facts)

    assert warn_for_event(what="threw a bag ", submission=key, **facts) == warning
    assert (warning.round, warning.rule, warning.what) == (None, "", "threw a bag")
    assert Act.objects.get(action="warning.given").detail["round"] == "whole event"
    with pytest.raises(PenaltyRefused, match=whole(written_before("warning"))):
        warn_for_event(what="other", submission=key, **facts)
    with pytest.raises(PenaltyRefused, match="Write what the warning is for"):
        warn_for_event(what=" ", submission=uuid4(), **facts)


def test_taking_back_needs_a_reason_and_stays_readable(field: list[Entry], round_: Round) -> None:
    warning = write(field[0], round_, "time").warnings[0]
    with pytest.raises(PenaltyRefused, match="Write why the warning is taken back"):
        take_back_warning(warning=warning, reason=" ", actor=build.ACTOR, now=build.NOW)

    take_back_warning(warning=warning, reason="heard wrongly", actor=build.ACTOR, now=build.NOW)
    take_back_warning(warning=warning, reason="twice", actor=build.ACTOR, now=build.NOW)

    assert Warning.objects.get().taken_back_reason == "heard wrongly"
    assert Act.objects.filter(action="warning.taken_back").count() == 1


def absent(entry: Entry, round_: Round, *labels: str, **facts: Any) -> Any:
    facts.setdefault("submission", uuid4())
    return score_absence(
        entry=entry, round=round_, labels=labels, reason="late", actor=build.ACTOR, now=build.NOW, **facts
    )


def test_holes_not_played_are_written_into_the_card(field: list[Entry], round_: Round) -> None:
    """Par 3, 3, 4 at the start of the layout."""
    save(round_, 1, [line(field[0], [None, None, None] + [3] * 15), line(field[1]), line(field[2])])

    saved = absent(field[0], round_, "1", "2", "3")

    standing = StandingLine.objects.get(entry=field[0])
    assert (standing.throws[:4], standing.total, standing.complete) == ([7, 7, 8, 3], 67, True)
    assert saved.version.source == CardVersion.Source.DESK
    assert saved.version.reason == "Ludvik Moravec: holes not played, Competition Manual 2025, 1.05.E. late"
    assert total(field[1]) == 54


def test_throws_that_are_void_give_way_and_penalties_on_the_hole_with_them(
    field: list[Entry], round_: Round
) -> None:
    penalties = [1] + [0] * 17
    save(round_, 1, [line(field[0], penalties=penalties, written_total=54), line(field[1]), line(field[2])])

    absent(field[0], round_, "1")

    standing = StandingLine.objects.get(entry=field[0])
    assert (standing.throws[0], sum(standing.penalties), standing.written_total, standing.total) == (
        7,
        0,
        54,
        58,
    )


def test_what_phones_said_of_a_hole_not_played_is_overruled_and_kept(
    event: Event, field: list[Entry], round_: Round
) -> None:
    """A phone wrote 4 before the director decided the absence: nobody is asked again. What it says later is."""

    def phone(seq: int, throws: int) -> None:
        enter_holes(
            round=round_, group_number=1, device_key=UUID(int=1), device_name="Ines’s phone",
            sayings=[Saying(uuid4(), seq, field[0].pk, "2", throws)], actor=build.ACTOR, now=build.NOW,
        )  # fmt: skip

    phone(1, 4)
    key = uuid4()

    for _ in range(2):  # the same page again changes nothing
        absent(field[0], round_, "2", "3", submission=key)

    standing = StandingLine.objects.get(entry=field[0])
    assert (compared(round_, 1).cells, standing.differs, standing.throws[:3]) == ((), [], [None, 7, 8])
    said = HoleEntry.objects.order_by("pk").values_list("device__kind", "hole", "throws")
    assert list(said) == [("phone", "2", 4), ("desk", "2", 7)]
    assert verify(event.slug)[1] == []

    phone(2, 5)
    assert [(each.cell, [claim.throws for claim in each.claims]) for each in compared(round_, 1).cells] == [
        ("2", [7, 5])
    ]


def test_an_absence_before_any_score_waits_for_the_others(field: list[Entry], round_: Round) -> None:
    absent(field[3], round_, "2")

    standing = StandingLine.objects.get(entry=field[3])
    assert (standing.throws[:3], standing.total, standing.played) == ([None, 7, None], 7, 1)


def test_on_a_verified_card_the_difference_is_ruled_once(field: list[Entry], round_: Round) -> None:
    save(round_, 1, [line(entry) for entry in field[:3]])
    Card.objects.update(verified_at=build.NOW, verified_by="Tester")
    key = uuid4()

    assert absent(field[0], round_, "1", "2", submission=key) is None
    assert absent(field[0], round_, "1", "2", submission=key) is None

    standing = StandingLine.objects.get(entry=field[0])
    assert (standing.throws[:2], standing.counted.throws[:2], standing.total) == ([3, 3], (7, 7), 62)
    ruled = Ruling.objects.filter(what__startswith="hole not played, par + 4")
    assert [(each.hole_label, each.throws, each.in_card) for each in ruled] == [
        ("1", 4, False),
        ("2", 4, False),
    ]


@pytest.mark.parametrize("verified", [True, False])
def test_what_is_added_for_being_late_is_dropped_where_the_player_was_absent(
    event: Event, field: list[Entry], round_: Round, verified: bool
) -> None:
    """Competition Manual 2025, 1.04.E. Par 3 on the group's first hole: 7 either way, and the log says why."""
    save(round_, 1, [line(entry) for entry in field[:3]])
    write(field[0], round_, "starter-1")
    assert total(field[0]) == 56
    if verified:
        Card.objects.update(verified_at=build.NOW, verified_by="Tester")

    absent(field[0], round_, "1")

    assert StandingLine.objects.get(entry=field[0]).counted.throws[0] == 7
    assert total(field[0]) == 58
    late = Ruling.objects.get(rule="Competition Manual 2025, 1.04.E")
    assert late.taken_back_reason == "absent there: nothing is added for being late"
    act = Act.objects.get(action="ruling.changed", reason=late.taken_back_reason)
    assert (act.subject, act.detail["throws"]) == ("Ludvik Moravec", 2)
    assert verify(event.slug)[1] == []


@pytest.mark.parametrize("verified", [True, False])
@pytest.mark.parametrize(("answer", "hole", "whole_round"), [("void", 7, 58), ("stay", 8, 59)])
def test_of_other_rulings_on_the_hole_it_is_asked_what_becomes_of_them(
    field: list[Entry], round_: Round, answer: str, hole: int, whole_round: int, verified: bool
) -> None:
    save(round_, 1, [line(entry) for entry in field[:3]])
    ruling = write(field[0], round_, "ob-1", hole="2").rulings[0]
    elsewhere = write(field[0], round_, "ob-1", hole="9").rulings[0]
    if verified:
        Card.objects.update(verified_at=build.NOW, verified_by="Tester")
    with pytest.raises(
        PenaltyRefused, match=r"whether it is void with its throw: hole 2, \+1, Out of bounds\.$"
    ):
        absent(field[0], round_, "2")

    absent(field[0], round_, "2", **{answer: [ruling.pk]})

    stands = StandingLine.objects.get(entry=field[0])
    assert (stands.counted.throws[1], stands.total) == (hole, whole_round + 1)
    ruling.refresh_from_db()
    elsewhere.refresh_from_db()
    assert (ruling.taken_back_at is not None, elsewhere.taken_back_at) == (answer == "void", None)


def test_an_absence_that_was_ruled_on_a_card_opened_again_is_scored_anew(
    field: list[Entry], round_: Round
) -> None:
    save(round_, 1, [line(entry) for entry in field[:3]])
    Card.objects.update(verified_at=build.NOW, verified_by="Tester")
    absent(field[0], round_, "1")
    Card.objects.update(verified_at=None, verified_by="")

    absent(field[0], round_, "1")

    stands = StandingLine.objects.get(entry=field[0])
    assert (stands.throws[0], stands.counted.throws[0], stands.total) == (7, 7, 58)


@pytest.mark.parametrize("verified", [True, False])
def test_it_is_kept_which_holes_were_not_played(
    event: Event, field: list[Entry], round_: Round, verified: bool
) -> None:
    """Said twice, on a locked card too, each hole is kept once with what it was scored."""
    save(round_, 1, [line(entry) for entry in field[:3]])
    if verified:
        Card.objects.update(verified_at=build.NOW, verified_by="Tester")

    absent(field[0], round_, "1", "3")
    absent(field[0], round_, "3")

    assert not_played_in(event) == {(round_.pk, field[0].pk): {"1": 7, "3": 8}}
    assert {row.by for row in HoleNotPlayed.objects.all()} == {"Tester"}


def test_nothing_is_kept_of_an_absence_that_is_refused(
    event: Event, field: list[Entry], round_: Round
) -> None:
    with pytest.raises(PenaltyRefused):
        absent(field[0], round_, "99")

    assert not_played_in(event) == {}


@pytest.mark.parametrize("facts", [{"hole_label": "", "score": 7}, {"hole_label": "1", "score": 0}])
def test_the_database_refuses_a_hole_not_played_without_label_or_score(
    field: list[Entry], round_: Round, facts: dict[str, Any]
) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        HoleNotPlayed.objects.create(round=round_, entry=field[0], at=build.NOW, by="Tester", **facts)


def test_on_a_verified_card_a_blank_hole_cannot_be_ruled_on(field: list[Entry], round_: Round) -> None:
    save(round_, 1, [line(field[0], [None] + [3] * 17), line(field[1]), line(field[2])])
    Card.objects.update(verified_at=build.NOW, verified_by="Tester")

    with pytest.raises(PenaltyRefused, match="one of these holes has no score that could be ruled on"):
        absent(field[0], round_, "1")


def test_an_absence_without_holes_or_place_is_refused(
    event: Event, field: list[Entry], round_: Round
) -> None:
    nobody = build.make_entry(event)
    with pytest.raises(PenaltyRefused, match=whole("Choose the holes that were not played.")):
        absent(field[0], round_)
    with pytest.raises(PenaltyRefused, match=whole("Choose the holes that were not played.")):
        absent(field[0], round_, "19")
    with pytest.raises(PenaltyRefused, match="is in no group"):
        absent(nobody, round_, "1")


@pytest.mark.parametrize(
    "facts",
    [
        {"rule": "", "round": True},
        {"rule": "", "what": ""},
        {"rule": "penalty.courtesy"},
        {"what": "x", "hole_label": "7"},
        {"what": "x", "taken_back_reason": "no time"},
        {"what": "x", "taken_back_at": build.NOW},
    ],
)
def test_the_database_refuses_warnings_that_cannot_be(
    field: list[Entry], round_: Round, facts: dict[str, Any]
) -> None:
    if facts.get("round"):
        facts = facts | {"round": round_}
    with pytest.raises(IntegrityError), transaction.atomic():
        Warning.objects.create(entry=field[0], caller="x", submission=uuid4(), at=build.NOW, by="x", **facts)
