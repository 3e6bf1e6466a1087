"""What players are due, what they were handed, and what is open."""

from datetime import date, timedelta

import pytest

import build
import build_cards
import build_prizes
from events.entries.models import Entry, Status
from events.log.models import Act
from scoring.prizes.awards import awards_of
from scoring.prizes.handing import answer_prize, hand_over, take_back
from scoring.prizes.models import DivisionPlan, HandOver, PrizeAnswer
from scoring.prizes.queries import open_prizes, paid_out
from scoring.prizes.services import PrizesRefused, post_payout
from scoring.prizes.still_open import open_in

NOW, ACTOR = build.NOW, build.ACTOR


@pytest.fixture
def event(db):
    return build.make_event(divisions=("MPO", "MA1"))


def pros(event, count=8, **facts):
    """Professionals of a field whose purse is 306.00, four places by table: 122.40, 91.80, 61.20, 30.60."""
    people = [build.make_person(given=f"Pro{at}", playing_class="pro", **facts) for at in range(count)]
    entries = [build.make_entry(event, "MPO", person=person) for person in people]
    build_prizes.plan(event, "MPO", method="table", table=build_prizes.take(event))
    return entries


def dues(event, *entries, at=None):
    found = awards_of(event, places=build_prizes.places(*entries, at=at))
    return {due.award.entry_id: due for due in found.dues}


def give(entry, cents, method="cash", now=NOW):
    return hand_over(entry=entry, method=method, expected_cents=cents, note="", actor=ACTOR, now=now)


def say(entry, said, now=NOW):
    return answer_prize(entry=entry, said=said, reason="", actor=ACTOR, now=now)


@pytest.fixture
def placed(monkeypatch):
    """Places without cards: `placed(entries, at)` is the final order from then on."""

    def place(*entries, at=None):
        found = build_prizes.places(*entries, at=at)
        monkeypatch.setattr("scoring.prizes.awards.places_of", lambda divisions: found)
        monkeypatch.setattr("scoring.prizes.awards.too_early", lambda event, found: {})

    return place


def test_prizes_by_place(event):
    entries = pros(event)

    found = dues(event, *entries)

    assert [found[entry.pk].award.cents for entry in entries[:4]] == [12_240, 9_180, 6_120, 3_060]
    assert {due.award.kind.value for due in found.values()} == {"cash"}
    assert len(found) == 4


def test_a_tie_and_its_left_over_cents(event):
    entries = pros(event)

    found = dues(event, *entries, at=(1, 2, 2, 2, 2, 6, 7, 8))

    assert [found[entry.pk].award.cents for entry in entries[:5]] == [12_240, 4_590, 4_590, 4_590, 4_590]
    assert found[entries[1].pk].award.spans == (2, 3, 4)


def test_whoever_has_no_member_number_is_passed_and_one_more_place_is_paid(event):
    entries = pros(event)
    entries[1].person.member_number = None
    entries[1].person.save()

    found = dues(event, *entries)

    passed = found[entries[1].pk].award
    words = "no member number: no cash, and this place has no trophy"
    assert (passed.cents, passed.passed, passed.source) == (0, words, "1.10.A")
    assert [found[entry.pk].award.cents for entry in (entries[2], entries[4])] == [9_180, 3_060]


def test_whoever_is_passed_has_the_trophy_where_the_place_has_one(event):
    entries = pros(event)
    entries[1].person.member_number = None
    entries[1].person.save()
    build_prizes.plan(event, "MPO", version=1, method="curve", trophies=2)

    passed = dues(event, *entries)[entries[1].pk]

    assert (passed.award.passed, passed.owes_trophy) == ("no member number: trophy only", True)


def test_an_amateur_is_asked_and_takes_cash_only_when_that_is_said(event):
    entries = pros(event)
    entries[0].person.playing_class = "am"
    entries[0].person.save()

    assert dues(event, *entries)[entries[0].pk].award.asked.startswith(
        "an amateur: ask whether cash is taken"
    )
    say(entries[0], "cash")
    taken = dues(event, *entries)[entries[0].pk].award
    assert (taken.cents, taken.kind.value, taken.source) == (12_240, "cash", "2.04.B")
    say(entries[0], "merchandise", NOW + timedelta(minutes=1))
    assert dues(event, *entries)[entries[0].pk].award.kind.value == "merchandise"


def test_trophies_go_to_the_first_places_also_without_money(event):
    entries = [build.make_entry(event, "MA1") for _ in range(5)]
    build_prizes.plan(event, "MA1", method="", true_amateur=True)

    found = dues(event, *entries)

    assert [found[entry.pk].owes_trophy for entry in entries[:2]] == [True, True]
    assert len(found) == 2


def test_the_posted_payout_is_paid_also_where_the_plan_has_no_way_any_more(event, placed):
    entries = pros(event)
    placed(*entries)
    post_payout(event=event, actor=ACTOR, now=NOW)
    give(entries[0], 12_240)
    DivisionPlan.objects.update(method="", table=None)

    found = awards_of(event)

    assert {due.award.entry_id: due.open for due in found.dues} == {
        entries[0].pk: 0,
        entries[1].pk: 9_180,
        entries[2].pk: 6_120,
        entries[3].pk: 3_060,
    }
    assert found.without == ()
    assert "MPO" in found.changed


def test_the_posted_payout_is_paid_until_another_is_posted(event, placed):
    entries = pros(event)
    build_prizes.plan(event, "MA1")
    post_payout(event=event, actor=ACTOR, now=NOW)
    build.make_entry(event, "MPO")

    found = awards_of(event, places=build_prizes.places(*entries))

    assert found.changed == ("MPO",)
    assert found.due_of(entries[0].pk).award.cents == 12_240
    assert "Post it again" in open_in(found)[0]
    post_payout(event=event, actor=ACTOR, now=NOW)
    assert awards_of(event, places=build_prizes.places(*entries)).due_of(entries[0].pk).award.cents == 13_770


def test_a_prize_is_handed_out_once(event, placed):
    entries = pros(event)
    placed(*entries)

    give(entries[0], 12_240)

    assert [(each.name, each.cents, each.method, each.kind, each.place) for each in paid_out(event)] == [
        (entries[0].person.name, 12_240, "cash", "cash", 1)
    ]
    with pytest.raises(PrizesRefused, match="handed out already"):
        give(entries[0], 12_240)
    with pytest.raises(PrizesRefused, match="Nothing is open"):
        give(entries[7], 0)
    act = Act.objects.get(action="prize.handed_out")
    assert (act.subject, act.detail["prize_cents"]) == (entries[0].person.name, 12_240)


def test_an_amount_that_changed_or_a_way_that_does_not_fit_is_refused(event, placed):
    entries = pros(event)
    placed(*entries)

    with pytest.raises(PrizesRefused, match="is another by now"):
        give(entries[0], 12_000)
    with pytest.raises(PrizesRefused, match="handed out as cash or cheque or electronic payment"):
        give(entries[0], 12_240, "goods")
    assert not HandOver.objects.exists()


def test_handing_out_is_undone_by_a_mark(event, placed):
    entries = pros(event)
    placed(*entries)
    row = give(entries[0], 12_240)

    take_back(row=row, actor=ACTOR, now=NOW)

    assert (paid_out(event), HandOver.objects.get().taken_back_by) == ([], "Tester")
    with pytest.raises(PrizesRefused, match="undone already"):
        take_back(row=row, actor=ACTOR, now=NOW)
    assert give(entries[0], 12_240).cents == 12_240


def test_a_change_after_the_handing_out_is_shown_as_a_difference(event, placed):
    entries = pros(event)
    placed(*entries)
    give(entries[0], 12_240)
    give(entries[1], 9_180)

    placed(entries[1], entries[0], *entries[2:])

    first, second = (awards_of(event).due_of(entry.pk) for entry in entries[:2])
    assert (first.open, second.open) == (-3_060, 3_060)
    said = open_prizes(event)
    assert any("30.60 too much was handed out: take it back" in line for line in said)
    assert any("30.60 more is due" in line for line in said)
    assert give(entries[1], 3_060).cents == 3_060


def test_whoever_lost_the_place_still_holds_the_prize(event, placed):
    entries = pros(event)
    placed(*entries)
    give(entries[0], 12_240)

    placed(*entries[1:])

    due = awards_of(event).due_of(entries[0].pk)
    assert (due.award.cents, due.open) == (0, -12_240)


def test_answers_are_rows_and_the_newest_counts(event, placed):
    entries = pros(event)
    placed(*entries)
    say(entries[2], "declined")

    assert awards_of(event).due_of(entries[4].pk).award.cents == 3_060
    with pytest.raises(PrizesRefused, match="already"):
        say(entries[2], "declined")
    say(entries[2], "", NOW + timedelta(minutes=1))
    assert awards_of(event).due_of(entries[2].pk).award.cents == 6_120
    assert PrizeAnswer.objects.count() == 2
    with pytest.raises(PrizesRefused, match="Choose one"):
        say(entries[2], "perhaps")
    give(entries[2], 6_120)
    with pytest.raises(PrizesRefused, match="undo the handing out first"):
        say(entries[2], "declined")


def test_what_is_open_in_words(event, placed):
    entries = pros(event)
    placed(*entries)
    give(entries[0], 12_240)
    names = ", ".join(entry.person.name for entry in entries[1:4])

    found = awards_of(event)

    assert found.without == ()
    assert open_in(found) == [f"MPO: not handed out yet, to be claimed until 13 July: {names}."]
    assert open_in(found, today=date(2026, 7, 14)) == [
        f"MPO: not claimed until 13 July: {names}. Write to them, then hand out or forfeit (1.10.G)."
    ]
    assert (found.pay_until, found.forfeited_after) == (date(2026, 6, 16), date(2026, 7, 13))


def test_a_division_without_a_way_is_open(event):
    build.make_entry(event, "MA1")
    build.make_entry(event, "MA1")
    build.make_entry(event, "MA1")

    assert open_prizes(event) == ["MA1: Choose a table or a curve: none is chosen."]


def test_cards_make_the_places_and_the_disqualified_stay_in_the_count(event):
    entries = pros(event)
    round_ = event.rounds.get(number=1)
    event.rounds.filter(number=2).delete()
    build_cards.publish(round_, [entries[:4], entries[4:]])
    for number, group in ((1, entries[:4]), (2, entries[4:])):
        lines = [build_cards.line(entry, [3] * 17 + [3 + entries.index(entry)]) for entry in group]
        build_cards.save(round_, number, lines)
    entries[0].status, entries[0].left_reason = Status.DISQUALIFIED, "cheated"
    entries[0].save()

    found = awards_of(event)

    assert found.purse.of("MPO").money.players == 8
    assert [found.due_of(entry.pk).award.cents for entry in entries[1:5]] == [12_240, 9_180, 6_120, 3_060]
    assert found.due_of(entries[0].pk) is None


@pytest.mark.parametrize("count", [1, 3])
def test_awards_take_a_known_number_of_queries(event, placed, count, django_assert_num_queries):
    entries = pros(event)
    placed(*entries)
    for entry, cents in list(zip(entries, (12_240, 9_180, 6_120), strict=False))[:count]:
        give(entry, cents)

    with django_assert_num_queries(22):
        awards_of(event)
    with django_assert_num_queries(1):
        paid_out(event)


def test_why_it_is_too_early_to_hand_out(event):
    """Prizes follow the verified results (Competition Manual 2025, 1.10.G)."""
    event.rounds.exclude(number=1).delete()
    one, two, three = pros(event)[:3]
    Entry.objects.exclude(pk__in=[one.pk, two.pk, three.pk]).delete()
    round_ = event.rounds.get(number=1)
    build_cards.publish(round_, [[one, two], [three]])
    early = lambda: awards_of(event).not_yet  # noqa: E731  the same question after each act
    assert early() == {"MPO": "cards are still out"}

    build_cards.save(round_, 1, [build_cards.line(one, 3), build_cards.line(two, 4)])
    assert early() == {"MPO": f"no place yet for {three.person.name}"}
    assert any(due.waits for due in awards_of(event).dues)
    assert "not handed out" not in " ".join(open_prizes(event))

    build_cards.save(round_, 2, [build_cards.line(three, 3)])
    round_.cards.filter(group_number=1).update(verified_at=NOW)
    assert early() == {"MPO": "1 card is not verified"}

    round_.cards.update(verified_at=NOW)
    assert early() == {"MPO": "a tie for first place is not played off"}
    Entry.objects.filter(pk=three.pk).update(status=Status.DID_NOT_FINISH)
    assert early() == {}
    assert f"MPO: not handed out yet, to be claimed until 13 July: {one.person.name}" in " ".join(
        open_prizes(event)
    )
    Entry.objects.update(status=Status.DID_NOT_FINISH)
    assert early() == {"MPO": "nobody finished"}
