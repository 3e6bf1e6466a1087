"""The pages of side games: who may do what, what a refusal keeps, how many queries they ask."""

from datetime import date

import pytest
from django.urls import reverse

import build
import build_cards
import pdf_pages
from build_money import CASH, WHO, addon, buys, game
from events.setup.models import Role
from scoring.cards.verifying import verify_card
from scoring.games.models import Ace, Award, Game, Mark, PotLine
from scoring.games.queries import game_of, games_of
from scoring.games.services import GameRefused, sell_place
from scoring.games.settling import hand_out

pytestmark = pytest.mark.django_db
SENT = {"tickets-submission": "1" * 32, "pot-submission": "2" * 32}
PLAIN, WITH_ONES = 9, 12  # queries of games_of: without a 1 on a card, and with one


def page(name, event, *args):
    return reverse(f"games:{name}", args=[event.slug, *args])


@pytest.fixture
def director(client_as):
    return client_as(Role.DIRECTOR)


@pytest.fixture
def desk(client_as):
    return client_as(Role.DESK)


def scored(event, entry, throws):
    """One card of round 1 with this player, as it came in."""
    first = event.rounds.get(number=1)
    build_cards.publish(first, [[entry]])
    build_cards.save(first, 1, [build_cards.line(entry, throws)])
    return first


@pytest.mark.parametrize("rows", [1, 3])
def test_games_are_read_with_as_many_queries_whatever_there_is(event, rows, django_assert_num_queries):
    sold = addon(event)
    for number in range(rows):
        entry = build.make_entry(event)
        buys(entry, sold)
        game(event, name=f"Pot {number}", addon=sold)
    with django_assert_num_queries(PLAIN):
        states = games_of(event)
    assert [len(state.players) for state in states] == [rows] * rows


def test_no_game_is_one_query(event, django_assert_num_queries):
    with django_assert_num_queries(1):
        assert games_of(event) == []


@pytest.mark.parametrize("rows", [1, 3])
def test_ones_are_read_with_as_many_queries_however_many(event, rows, django_assert_num_queries):
    entries = build_cards.make_field(event, rows)
    game(event)
    first = event.rounds.get(number=1)
    build_cards.publish(first, [entries])
    lines = [build_cards.line(entry, [3, 1, *[3] * 16]) for entry in entries]
    build_cards.save(first, 1, lines)
    with django_assert_num_queries(WITH_ONES):
        (state,) = games_of(event)
    assert [one.hole_label for one in state.waiting] == ["2"] * rows


def test_a_one_on_a_card_waits_for_the_director_and_counts_when_it_is_said(event, director):
    (entry,) = build_cards.make_field(event, 1)
    pot = game(event, stake_cents=500)
    sell_place(game=pot, entry=entry, method=CASH, **WHO)
    first = scored(event, entry, [3, 3, 1, *[3] * 15])
    assert "the card is not verified yet" in director.get(page("game", event, pot.pk)).content.decode()
    verify_card(round=first, group_number=1, why="", **WHO)
    (one,) = game_of(pot).waiting
    assert (one.name, one.hole_label, one.verified) == ("Ludvik Moravec", "3", True)
    said = {"entry": entry.pk, "round": first.pk, "hole": "3"}
    refused = director.post(page("answer_one", event, pot.pk), {**said, "counts": "no"})
    assert (refused.status_code, "Write why it does not count." in refused.content.decode()) == (422, True)
    director.post(page("answer_one", event, pot.pk), {**said, "counts": "yes"})
    assert (Ace.objects.get().counts, game_of(pot).waiting) == (True, ())


def test_a_one_of_somebody_outside_of_the_pot_is_nothing_to_it(event):
    (entry,) = build_cards.make_field(event, 1)
    pot = game(event, stake_cents=500)
    scored(event, entry, [1, *[3] * 17])
    assert game_of(pot).waiting == ()


def test_the_desk_sells_and_hands_out_and_only_the_director_settles(event, desk, director):
    entry = build.make_entry(event)
    closest = game(event, "closest", "Closest", stake_cents=200)
    desk.post(page("place", event, closest.pk), {"place-entry": entry.pk, "place-method": "cash"})
    desk.post(
        page("mark", event, closest.pk),
        {"mark-entry": entry.pk, "mark-cm": "3.42", "mark-measured_by": "Asta"},
    )
    assert Mark.objects.get().cm == 342
    assert desk.post(page("settle", event, closest.pk), {"seen": 200}).status_code == 403
    director.post(page("settle", event, closest.pk), {"seen": 200})
    award = Award.objects.get()
    desk.post(page("hand", event, closest.pk, award.pk), {"method": "transfer"})
    award.refresh_from_db()
    assert (award.method, award.handed_at is not None) == ("transfer", True)
    desk.post(page("unhand", event, closest.pk, award.pk))
    award.refresh_from_db()
    assert award.handed_at is None


def test_a_refused_mark_keeps_what_was_typed(event, desk):
    entry = build.make_entry(event)
    closest = game(event, "closest", "Closest")
    typed = {"mark-entry": entry.pk, "mark-cm": "very near", "mark-measured_by": "Asta Stroud"}
    answer = desk.post(page("mark", event, closest.pk), typed)
    text = answer.content.decode()
    assert answer.status_code == 422
    for words in ("Write the distance as 3.42.", 'value="very near"', 'value="Asta Stroud"'):
        assert words in text


def test_a_game_is_set_up_for_each_division_and_a_raffle_without_a_price_is_refused(event, director):
    terms = {"kind": "closest", "name": "Hole 7", "divisions": ["MA1", "FA1"], "apart": "on"}
    director.post(page("overview", event), terms)
    assert list(Game.objects.values_list("name", flat=True)) == ["Hole 7 MA1", "Hole 7 FA1"]
    answer = director.post(page("overview", event), {"kind": "raffle", "name": "Raffle"})
    assert (answer.status_code, "Write the price of a ticket." in answer.content.decode()) == (422, True)


def test_a_game_is_changed_and_its_kind_stays(event, director):
    pot = game(event, prize="bag")
    director.post(page("change", event, pot.pk), {"kind": "ace", "name": "Aces", "pays_percent": "50"})
    pot.refresh_from_db()
    assert (pot.name, pot.pays_percent, pot.prize) == ("Aces", 50, "")
    answer = director.post(page("change", event, pot.pk), {"kind": "raffle", "name": "Aces"})
    assert answer.status_code == 422


def test_a_raffle_from_the_first_ticket_to_the_winner(event, desk, director):
    raffle = game(event, "raffle", "Raffle", stake_cents=200)
    answer = desk.post(
        page("tickets", event, raffle.pk),
        {**SENT, "tickets-name": "Oda Fenwick", "tickets-count": 3, "tickets-method": "cash"},
        follow=True,
    )
    assert "Oda Fenwick: tickets 1 to 3, $6." in answer.content.decode()
    director.post(page("close", event, raffle.pk))
    director.post(page("reopen", event, raffle.pk))
    director.post(page("close", event, raffle.pk))
    director.post(page("call", event, raffle.pk), {"called-called_out": "green owl"})
    text = director.get(page("game", event, raffle.pk)).content.decode()
    assert "green owl" in text
    director.post(page("settle", event, raffle.pk), {"seen": 600})
    assert Award.objects.get().amount_cents == 600


def test_a_putting_game_is_shared_by_what_is_typed(event, director):
    entry = build.make_entry(event, person=build.make_person("Quist", "Ivo"))
    putting = game(event, "other", "Putting", stake_cents=300)
    sell_place(game=putting, entry=entry, method=CASH, **WHO)
    typed = {"seen": 300, "winners-who1": "Ivo Quist", "winners-parts1": "2", "winners-who2": "Guest"}
    director.post(page("settle", event, putting.pk), typed)
    awards = [(award.name, award.entry_id, award.amount_cents) for award in Award.objects.all()]
    assert awards == [("Ivo Quist", entry.pk, 200), ("Guest", None, 100)]
    director.post(page("unsettle", event, putting.pk))
    wrong = director.post(page("settle", event, putting.pk), {**typed, "winners-parts1": "many"})
    assert (wrong.status_code, 'value="many"' in wrong.content.decode()) == (422, True)


def test_money_into_a_pot_is_undone_and_a_game_with_lines_stays(event, director):
    pot = game(event)
    money = {
        **SENT,
        "pot-kind": "rolled_in",
        "pot-who": "Spring event",
        "pot-cents": "120.50",
        "pot-method": "cash",
    }
    director.post(page("pot", event, pot.pk), money)
    line = PotLine.objects.get()
    assert line.amount_cents == 12_050
    director.post(page("undo_line", event, pot.pk, line.pk))
    assert game_of(pot).pot.total == 0
    answer = director.post(page("remove", event, pot.pk))
    assert "has lines that stay to be read" in answer.content.decode()


def test_a_line_of_another_game_is_not_found(event, director):
    one, other = game(event), game(event, name="Other", stake_cents=100)
    line = sell_place(game=other, entry=build.make_entry(event), method=CASH, **WHO)
    assert director.post(page("undo_line", event, one.pk, line.pk)).status_code == 404


def test_the_law_comes_first_and_minors_are_named_at_the_desk(event, desk):
    year = date(2026, 6, 12).year
    young = build.make_entry(event, person=build.make_person("Quist", "Ivo", birth_year=year - 17))
    build.make_entry(event, person=build.make_person("Eskola", "Niko", birth_year=year - 18))
    pot = game(event)
    text = desk.get(page("game", event, pot.pk)).content.decode()
    assert "Ask the local authority" in text
    assert "in this game: Ivo Quist." in text
    assert [player.entry for player in game_of(pot).minors] == [young.pk]


def test_the_print_has_each_pot_its_winners_and_what_stays(event, desk, director):
    pot = game(event, pays_percent=50)
    money = {**SENT, "pot-kind": "given", "pot-who": "Fern Print", "pot-cents": "31", "pot-method": "cash"}
    director.post(page("pot", event, pot.pk), money)
    entry = build.make_entry(event, person=build.make_person("Quist", "Ivo"))
    director.post(
        page("ace", event, pot.pk),
        {"ace-entry": entry.pk, "ace-round": event.rounds.get(number=1).pk, "ace-hole_label": "7"},
    )
    director.post(page("settle", event, pot.pk), {"seen": 3_100})
    (sheet,) = pdf_pages.read(desk.get(page("paper", event)).content)
    for words in ("Ivo Quist · ace, round 1, hole 7", "not handed out", "stays for the next event", "$15.50"):
        assert words in sheet.text


def test_an_ace_that_is_no_longer_on_the_card_is_asked_about_before_the_pot_is_settled(event, director):
    entry = build.make_entry(event)
    pot = game(event, prize="bag")
    first = scored(event, entry, [3, 1, *[3] * 16])
    about = {"entry": entry.pk, "round": first.pk, "hole": "2"}
    director.post(page("answer_one", event, pot.pk), {**about, "counts": "yes", "reason": "typed by mistake"})
    assert game_of(pot).lost == ()

    build_cards.save(first, 1, [build_cards.line(entry, [3, 2, *[3] * 16])], base=1)

    (ace,) = game_of(pot).lost
    assert (ace.entry, ace.hole_label) == (entry, "2")
    shown = director.get(page("game", event, pot.pk)).content.decode()
    assert "no longer a 1 on the card" in shown
    refused = director.post(page("settle", event, pot.pk), {"seen": "0"})
    assert "say first whether the ace still counts" in refused.content.decode()
    refused = director.post(page("answer_one", event, pot.pk), {**about, "counts": "still"})
    assert "Write why it still counts" in refused.content.decode()
    assert len(game_of(pot).lost) == 1

    director.post(page("answer_one", event, pot.pk), {**about, "counts": "still", "reason": "a penalty"})
    assert (game_of(pot).lost, Ace.objects.get(taken_back_at=None).reason) == ((), "a penalty")
    director.post(page("settle", event, pot.pk), {"seen": "0"})
    assert Award.objects.get().thing == "bag"


def test_an_ace_that_left_the_card_after_the_settling_is_not_paid(event, director):
    entry = build.make_entry(event)
    pot = game(event, prize="bag")
    first = scored(event, entry, [3, 1, *[3] * 16])
    about = {"entry": entry.pk, "round": first.pk, "hole": "2"}
    director.post(page("answer_one", event, pot.pk), {**about, "counts": "yes"})
    director.post(page("settle", event, pot.pk), {"seen": "0"})
    build_cards.save(first, 1, [build_cards.line(entry, 3)], base=1)

    with pytest.raises(GameRefused, match="not on the card any more"):
        hand_out(award=Award.objects.get(), method="cash", actor=build.ACTOR, now=build.NOW)
    assert Award.objects.get().handed_at is None


def test_an_ace_that_is_no_longer_on_the_card_is_refused_with_its_reason(event, director):
    entry = build.make_entry(event)
    pot = game(event)
    first = scored(event, entry, [3, 1, *[3] * 16])
    about = {"entry": entry.pk, "round": first.pk, "hole": "2"}
    director.post(page("answer_one", event, pot.pk), {**about, "counts": "yes"})
    build_cards.save(first, 1, [build_cards.line(entry, [3, None, *[3] * 16])], base=1)
    assert game_of(pot).lost == ()  # a figure that is missing says nothing

    build_cards.save(first, 1, [build_cards.line(entry, 3)], base=2)
    director.post(page("answer_one", event, pot.pk), {**about, "counts": "no", "reason": "a 3 in truth"})

    state = game_of(pot)
    assert (state.lost, [ace.counts for ace in state.aces]) == ((), [False])


def test_the_page_asks_which_of_those_who_are_equal_takes_the_thing(event, director):
    pot = game(event, prize="bag")
    first = event.rounds.get(number=1)
    entries = [build.make_entry(event) for _ in range(2)]
    for entry in entries:
        Ace.objects.create(
            game=pot, entry=entry, round=first, hole_label="7", counts=True, at=build.NOW, by="Tester"
        )
    assert 'name="thing_to"' in director.get(page("game", event, pot.pk)).content.decode()
    refused = director.post(page("settle", event, pot.pk), {"seen": "0"})
    assert "say who takes it" in refused.content.decode()
    director.post(page("settle", event, pot.pk), {"seen": "0", "thing_to": entries[1].pk})
    assert Award.objects.get().entry == entries[1]
