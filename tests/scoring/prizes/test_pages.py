"""The pages of the prizes as the director and the desk use them."""

from datetime import timedelta
from types import SimpleNamespace

import pytest
import time_machine
from django.urls import reverse

import build
import build_prizes
from events.setup.models import AddOn, Role
from scoring.prizes.models import DivisionPlan, HandOver, Payout, PrizePlan, TakenTable
from scoring.prizes.services import plan_prizes, post_payout

NOW, ACTOR = build.NOW, build.ACTOR


@pytest.fixture
def event(db):
    return build.make_event(divisions=("MPO", "MA1"), rounds=2)


@pytest.fixture(autouse=True)
def clock():
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def director(client_as):
    return client_as(Role.DIRECTOR)


@pytest.fixture
def placed(event, monkeypatch):
    """Eight professionals, placed in their order: four prizes of 122.40, 91.80, 61.20, 30.60."""
    people = [build.make_person(given=f"Pro{at}", playing_class="pro") for at in range(8)]
    entries = [build.make_entry(event, "MPO", person=person) for person in people]
    build_prizes.plan(event, "MPO", method="table", table=build_prizes.take(event))
    found = build_prizes.places(*entries)
    monkeypatch.setattr("scoring.prizes.awards.places_of", lambda divisions: found)
    monkeypatch.setattr("scoring.prizes.awards._not_yet", lambda division: "")
    return entries


def page(event, name, *args):
    return reverse(f"prizes:{name}", args=[event.slug, *args])


def text(answer):
    return " ".join(answer.content.decode().split())


# --- The purse --------------------------------------------------------------------------------------------


def test_the_overview_says_what_is_missing_and_offers_one_way_for_all(event, director):
    for code in ("MPO", "MA1"):
        for _ in range(5):
            build.make_entry(event, code)
    shown = text(director.get(page(event, "overview")))
    assert "2 divisions without a way to pay." in shown
    assert "Post the payout before the last round, Fri 12 June 13:00" in shown

    director.post(page(event, "the_rest"), {"by": "curve"})

    assert [plan.method for plan in DivisionPlan.objects.all()] == ["curve", "curve"]
    assert "without a way" not in text(director.get(page(event, "overview")))


def test_one_way_for_all_needs_a_way(event, director):
    build.make_entry(event, "MPO")

    answer = director.post(page(event, "the_rest"), {"by": "table:99"})

    assert answer.status_code == 422
    assert not DivisionPlan.objects.exists()


def test_added_cash_is_saved_and_a_stale_page_keeps_what_was_typed(event, director):
    director.post(page(event, "event_plan"), {"version": 0, "added_cents": "750.50", "how": "cash"})
    assert PrizePlan.objects.get().added_cents == 75_050

    answer = director.post(page(event, "event_plan"), {"version": 0, "added_cents": "900", "how": "cheques"})

    assert answer.status_code == 422
    assert "changed by somebody else" in text(answer)
    assert 'value="cheques"' in text(answer)
    assert PrizePlan.objects.get().added_cents == 75_050


def test_an_amount_that_is_none_is_refused_beside_its_field(event, director):
    answer = director.post(page(event, "event_plan"), {"version": 0, "added_cents": "lots", "how": ""})

    assert answer.status_code == 422
    assert "Write an amount as 45 or 45.50." in text(answer)


def test_when_the_fees_were_published(event, director):
    AddOn.objects.create(event=event, name="greens", kind="greens", fee_cents=200, included=True)
    later = director.post(page(event, "fees_published"), {"at": "2026-07-01T12:00"})
    assert "still to come" in text(later)

    director.post(page(event, "fees_published"), {"at": "2026-04-01T12:00"})

    assert "Published 1 April, 12:00." in text(director.get(page(event, "overview")))


def test_the_payout_is_posted_and_posted_again_only_after_a_change(event, director, placed):
    build_prizes.plan(event, "MA1")
    shown = text(director.post(page(event, "post"), follow=True))
    assert "Payout version 1 is posted" in shown
    assert "Post again" not in shown

    build_prizes.plan(event, "MPO", 1, method="table", places=3)
    shown = text(director.get(page(event, "overview")))
    assert "Changed since it was posted: MPO." in shown
    director.post(page(event, "post"))
    assert Payout.objects.count() == 2


def test_no_payout_while_a_division_has_no_way(event, director, placed):
    build.make_entry(event, "MA1")
    build.make_entry(event, "MA1")
    build.make_entry(event, "MA1")

    shown = text(director.post(page(event, "post"), follow=True))

    assert "Choose a table or a curve first: MA1." in shown


def test_a_payout_posted_after_the_last_round_began_is_said(event, director, placed):
    build_prizes.plan(event, "MA1")
    with time_machine.travel(NOW + timedelta(hours=8), tick=False):
        director.post(page(event, "post"))
        shown = text(director.get(page(event, "overview")))

    assert "was not posted before the last round began" in shown


def test_one_round_needs_no_posting(event, director, placed):
    event.rounds.filter(number=2).delete()

    assert "before the last round" not in text(director.get(page(event, "overview")))


# --- One division ------------------------------------------------------------------------------------------


def test_a_division_shows_its_working_from_the_fee_to_the_last_cent(event, director, placed):
    AddOn.objects.create(event=event, name="greens", kind="greens", fee_cents=200, included=True)
    plan_prizes(event=event, version=0, added_cents=10_000, how="", actor=ACTOR, now=NOW)
    build_prizes.plan(
        event, "MPO", 1, method="table", extra_cents=1_000, extra_note="a sponsor", pack_cents=500
    )

    shown = text(director.get(page(event, "division", "MPO")))

    for words in (
        "8 × entry fee 45.00",
        "passed through: greens 2.00",
        "344.00",
        "85 % returned",
        "of 100.00 added cash, by the entry fees of the pro divisions",
        "added to this division: a sponsor",
        "packs beside it, 8 × 5.00: extra, not purse",
        "40 % of 8, rounded up, is 4",
        "own, row for 4 places. typed by hand",
        "paid to players",
    ):
        assert words in shown, words


def test_a_tie_and_a_declined_prize_are_shown_where_they_fall(event, director, monkeypatch, placed):
    found = build_prizes.places(*placed, at=(1, 2, 2, 2, 5, 6, 7, 8))
    monkeypatch.setattr("scoring.prizes.awards.places_of", lambda divisions: found)
    monkeypatch.setattr("scoring.prizes.awards._not_yet", lambda division: "")
    director.post(page(event, "said", placed[0].pk), {"said": "declined"})

    shown = text(director.get(page(event, "division", "MPO")))

    assert "declined: moves up to the next (1.10.E)" in shown
    assert "3 tied: 122.40 + 91.80 + 61.20 = 275.40, divided by 3" in shown
    assert "<b>91.80</b>" in shown


PLAN = {
    "version": 1, "by": "curve", "curve_first_percent": "", "curve_last_cents": "", "unit_cents": "500", "places": "5",
    "share_percent": "", "extra_cents": "", "extra_note": "", "fixed_cents": "", "pack_cents": "", "trophies": "",
}  # fmt: skip


def test_a_division_is_planned_by_its_form(event, director, placed):
    answer = director.post(page(event, "division", "MPO"), PLAN)

    assert answer.status_code == 302
    plan = DivisionPlan.objects.get(division__code="MPO")
    assert (plan.method, plan.table, plan.unit_cents, plan.places, plan.version) == ("curve", None, 500, 5, 2)
    shown = text(director.get(page(event, "division", "MPO")))
    assert "Paid in fives, after the ties are shared." in shown


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"version": 0}, "changed by somebody else"),
        ({"places": "0"}, "greater than or equal to 1"),
        ({"extra_cents": "5"}, "Say where it comes from."),
        ({"by": "table:77"}, "Select a valid choice"),
    ],
)
def test_a_plan_that_cannot_be_is_refused_and_kept_in_the_form(event, director, placed, changed, words):
    answer = director.post(page(event, "division", "MPO"), PLAN | {"extra_note": ""} | changed)

    assert answer.status_code == 422
    assert words in text(answer)
    assert DivisionPlan.objects.get(division__code="MPO").version == 1


def test_amateurs_choose_goods_and_true_amateurs_trophies(event, director):
    for _ in range(5):
        build.make_entry(event, "MA1")

    director.post(
        page(event, "division", "MA1"),
        PLAN | {"version": 0, "by": "", "places": "", "true_amateur": "on", "amateur_kind": "voucher"},
    )

    assert DivisionPlan.objects.get().true_amateur
    shown = text(director.get(page(event, "division", "MA1")))
    assert "<h2>Trophies</h2>" in shown
    assert "2 trophies" in text(director.get(page(event, "overview")))


def test_the_desk_reads_and_does_not_plan(event, client_as, placed):
    desk = client_as(Role.DESK)

    shown = text(desk.get(page(event, "division", "MPO")))

    assert "<h2>Plan</h2>" not in shown
    assert desk.post(page(event, "division", "MPO"), PLAN).status_code == 403
    assert desk.post(page(event, "post")).status_code == 403


@pytest.mark.parametrize("name", ["event_plan", "fees_published", "the_rest"])
def test_addresses_of_forms_lead_back(event, director, name):
    assert director.get(page(event, name)).url == page(event, "overview")


def test_a_division_that_is_not_offered_is_not_found(event, director):
    assert director.get(page(event, "division", "FPO")).status_code == 404


# --- Tables ------------------------------------------------------------------------------------------------


def table(**facts):
    return {"name": "own", "source": "typed", "text": "1,100\r\n2,60,40\r\n"} | facts


def test_a_table_is_looked_at_before_it_is_taken(event, director):
    shown = text(director.post(page(event, "tables"), table(look="")))
    assert "As it would be taken" in shown
    assert "60 · 40" in shown
    assert not TakenTable.objects.exists()

    shown = text(director.post(page(event, "tables"), table(take=""), follow=True))

    assert "own is here, with 2 rows." in shown
    assert TakenTable.objects.get().rows == {"1": ["100"], "2": ["60", "40"]}


def test_a_file_is_shown_and_can_be_mended_in_the_box(event, director, tmp_path):
    file = tmp_path / "own.csv"
    file.write_bytes(b"\xef\xbb\xbf1,100\n2,60,30\n")
    with file.open("rb") as sent:
        shown = text(director.post(page(event, "tables"), table(text="", file=sent, take="")))

    assert "The percentages do not sum to 100." in shown
    assert "Nothing was taken." in shown
    assert "2,60,30" in shown
    assert not TakenTable.objects.exists()


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({"source": ""}, "This field is required"),
        ({"text": "\x01\x02\x03\x04\x05"}, "binary"),
        ({"text": "1,100\n" * 50_000}, "too large"),
    ],
)
def test_a_table_that_cannot_be_read_is_refused(event, director, facts, words):
    answer = director.post(page(event, "tables"), table(take="") | facts)

    assert answer.status_code == 422
    assert words in text(answer)


def test_a_name_is_taken_once(event, director):
    build_prizes.take(event)

    answer = director.post(page(event, "tables"), table(take=""))

    assert answer.status_code == 422
    assert "give it another one" in text(answer)


def test_an_example_fills_the_form_and_says_what_it_is(event, director):
    shown = text(director.get(page(event, "tables") + "?example=sevenths"))

    assert "No table of the sport." in shown
    assert "30,21,16,12,9,6,4,2" in shown


def test_the_desk_sees_the_tables(event, client_as):
    build_prizes.take(event)

    shown = text(client_as(Role.DESK).get(page(event, "tables")))

    assert "typed by hand" in shown
    assert "Look at it" not in shown


# --- Handing out ------------------------------------------------------------------------------------------


def test_a_prize_is_handed_out_and_undone(event, client_as, placed):
    desk = client_as(Role.DESK)
    first = placed[0]

    shown = text(desk.post(page(event, "give", first.pk), {"method": "cheque", "cents": 12_240}, follow=True))

    assert f"{first.person.name} has 122.40, cheque." in shown
    row = HandOver.objects.get()
    shown = text(desk.post(page(event, "take_back", row.pk), follow=True))
    assert f"Undone: {first.person.name} has not got it." in shown
    shown = text(desk.post(page(event, "take_back", row.pk), follow=True))
    assert "undone already" in shown


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ({"method": "cash", "cents": "1"}, "is another by now: look again"),
        ({"method": "goods", "cents": "12240"}, "handed out as cash or cheque"),
        ({"method": "cash"}, "The way or the amount is missing"),
    ],
)
def test_a_prize_that_cannot_be_handed_out_so_says_why(event, director, placed, data, words):
    shown = text(director.post(page(event, "give", placed[0].pk), data, follow=True))

    assert words in shown
    assert not HandOver.objects.exists()


def test_answers_are_kept_and_taken_back(event, director, placed):
    first = placed[0]
    shown = text(director.post(page(event, "said", first.pk), {"said": "declined"}, follow=True))
    assert f"{first.person.name}: declines the prize." in shown
    assert "take the answer back" in shown
    shown = text(director.post(page(event, "said", first.pk), {"said": "perhaps"}, follow=True))
    assert "Choose one of the answers." in shown
    shown = text(director.post(page(event, "said", first.pk), {"said": "x" * 40}, follow=True))
    assert "Choose one of the answers." in shown

    director.post(page(event, "said", first.pk), {"said": ""})

    assert "122.40 cash" in text(director.get(page(event, "hand_out")))


@pytest.mark.parametrize(("tier", "merchandise"), [("C", True), ("A", False)])
def test_an_amateur_among_professionals_is_asked_first(event, director, placed, tier, merchandise):
    event.tier = tier
    event.save()
    person = placed[3].person
    person.playing_class = "am"
    person.save()

    rows = director.get(page(event, "hand_out")).context["rows"]
    shown = text(director.get(page(event, "hand_out")))

    assert (rows[0].name, rows[0].state) == (person.name, "asked")
    assert "takes cash, turns professional" in shown
    assert ("</kbd> merchandise" in shown) is merchandise


def test_search_finds_by_name_and_division(event, director, placed):
    name = placed[2].person.name
    url = page(event, "hand_out")

    fragment = text(director.get(url, {"q": name}, headers={"HX-Request": "true"}))

    assert name in fragment
    assert "<html" not in fragment
    assert placed[0].person.name not in fragment
    assert len(director.get(url, {"q": "mpo"}).context["rows"]) == 4
    assert "Nobody with a prize is found" in text(director.get(url, {"q": "zzz"}))


@pytest.mark.parametrize(("q", "kept"), [("mpo", True), ("Pro1", False)])
def test_a_division_stays_searched_for_while_it_is_worked_through(event, director, placed, q, kept):
    answer = director.post(page(event, "give", placed[0].pk), {"method": "cash", "cents": 12_240, "q": q})

    assert (f"q={q}" in answer.url) is kept


def test_after_thirty_days_the_unclaimed_are_named(event, client_as, placed):
    with time_machine.travel(NOW + timedelta(days=40), tick=False):
        shown = text(client_as(Role.DIRECTOR).get(page(event, "hand_out")))

    assert "unclaimed and forfeited since 13 July" in shown


def test_nobody_has_a_place_yet(event, director):
    assert "Nobody has a place yet" in text(director.get(page(event, "hand_out")))


@pytest.mark.parametrize("count", [1, 3])
def test_the_pages_take_a_known_number_of_queries(event, director, placed, count, django_assert_num_queries):
    build_prizes.plan(event, "MA1")
    post_payout(event=event, actor=ACTOR, now=NOW)
    for entry, cents in list(zip(placed, (12_240, 9_180, 6_120), strict=False))[:count]:
        director.post(page(event, "give", entry.pk), {"method": "cash", "cents": cents})
    for name, args, queries in (
        ("overview", (), 13),
        ("division", ("MPO",), 29),
        ("hand_out", (), 26),
        ("tables", (), 5),
    ):
        with django_assert_num_queries(queries):
            director.get(page(event, name, *args))


def test_before_the_places_are_final_only_the_director_hands_out_and_no_key_does_it_at_once(
    event, director, client_as, placed, monkeypatch
):
    """Competition Manual 2025, 1.10.G: after the results are verified, earlier at the director's discretion."""
    build_prizes.plan(event, "MA1")
    post_payout(event=event, actor=ACTOR, now=NOW)
    monkeypatch.setattr("scoring.prizes.awards._not_yet", lambda division: "cards are still out")
    monkeypatch.setattr("scoring.prizes.awards.standings", lambda event: [SimpleNamespace(code="MPO")])
    shown = director.get(page(event, "hand_out")).content.decode()
    assert "not yet: cards are still out (1.10.G)" in shown
    assert "data-primary" not in shown

    form = {"method": "cash", "cents": 12_240}
    answer = client_as(Role.DESK).post(page(event, "give", placed[0].pk), form, follow=True).content.decode()
    assert "only the director may hand one out earlier" in answer
    assert not HandOver.objects.exists()

    director.post(page(event, "give", placed[0].pk), form)
    assert HandOver.objects.count() == 1
