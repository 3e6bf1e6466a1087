"""Handing out: found, out, undone, answered."""

from datetime import timedelta
from types import SimpleNamespace

import pytest
import time_machine

import build
import build_prizes
from build_prizes import page, text
from events.setup.models import Role
from scoring.prizes.models import HandOver
from scoring.prizes.services import post_payout

NOW, ACTOR = build.NOW, build.ACTOR


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

    assert "not claimed until 13 July" in shown


def test_nobody_has_a_place_yet(event, director):
    assert "Nobody has a place yet" in text(director.get(page(event, "hand_out")))


def test_before_the_places_are_final_only_the_director_hands_out_and_no_key_does_it_at_once(
    event, director, client_as, placed, monkeypatch
):
    """Competition Manual 2025, 1.10.G: after the results are verified, earlier at the director's discretion."""
    build_prizes.plan(event, "MA1")
    post_payout(event=event, actor=ACTOR, now=NOW)
    monkeypatch.setattr(
        "scoring.prizes.awards.too_early",
        lambda event, found: {each.code: "cards are still out" for each in found},
    )
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


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_takes_a_known_number_of_queries(event, director, handed, count, django_assert_num_queries):
    handed(count)
    with django_assert_num_queries(27):
        director.get(page(event, "hand_out"))
