"""Places, tickets, marks, aces: who is in and what is in the pot."""

from uuid import uuid4

import pytest

import build
from build_money import CARD, CASH, WHO, addon, buys, game
from events.entries.models import Status
from events.log.models import Act
from scoring.games.aces import decide_ace, undo_ace
from scoring.games.measuring import measure, take_back_mark
from scoring.games.models import Game, PotLine
from scoring.games.queries import game_of
from scoring.games.services import (
    GameRefused,
    Terms,
    add_to_pot,
    change_game,
    make_game,
    remove_game,
    sell_place,
    sell_tickets,
    undo_pot_line,
)

pytestmark = pytest.mark.django_db


def test_who_bought_the_add_on_is_in_and_who_left_is_out(event):
    sold = addon(event, cents=500)
    stays, left, none = (build.make_entry(event) for _ in range(3))
    buys(stays, sold)
    buys(left, sold)
    left.status = Status.WITHDRAWN
    left.save()
    state = game_of(game(event, addon=sold))
    assert [player.entry for player in state.players] == [stays.pk]
    assert state.pot.total == 500
    assert none.pk not in {player.entry for player in state.players}


def test_a_place_by_hand_costs_the_stake_and_is_sold_once(event):
    entry = build.make_entry(event)
    pot = game(event, stake_cents=300)
    sell_place(game=pot, entry=entry, method=CARD, **WHO)
    with pytest.raises(GameRefused, match="is in already"):
        sell_place(game=pot, entry=entry, method=CASH, **WHO)
    state = game_of(pot)
    assert (state.pot.total, state.players[0].how) == (300, "by hand")


def test_a_place_that_was_undone_can_be_sold_again(event):
    entry = build.make_entry(event)
    pot = game(event, stake_cents=300)
    line = sell_place(game=pot, entry=entry, method=CASH, **WHO)
    undo_pot_line(line=line, **WHO)
    assert (game_of(pot).pot.total, game_of(pot).players) == (0, ())
    with pytest.raises(GameRefused, match="undone already"):
        undo_pot_line(line=line, **WHO)
    sell_place(game=pot, entry=entry, method=CASH, **WHO)
    assert game_of(pot).pot.total == 300


def test_only_the_divisions_of_a_game_play_it(event):
    entry = build.make_entry(event, "FA1")
    pot = game(event, stake_cents=300, divisions=("MA1",))
    with pytest.raises(GameRefused, match=r"is for MA1; .* plays FA1"):
        sell_place(game=pot, entry=entry, method=CASH, **WHO)


def test_a_game_for_each_division_has_a_pot_of_its_own(event):
    terms = Terms(kind="closest", name="Closest", divisions=("MA1", "FA1"))
    made = make_game(event=event, terms=terms, apart=True, **WHO)
    assert [(each.name, each.divisions) for each in made] == [
        ("Closest MA1", ["MA1"]),
        ("Closest FA1", ["FA1"]),
    ]


def test_money_from_a_former_event_and_gifts_are_in_the_pot(event):
    pot = game(event)
    kinds = PotLine.Kind
    add_to_pot(game=pot, kind=kinds.ROLLED_IN, who="Spring event", cents=12_050, method=CASH, **WHO)
    add_to_pot(game=pot, kind=kinds.GIVEN, who="Fern Print", cents=1_000, method=CASH, **WHO)
    state = game_of(pot)
    assert [(source.words, source.cents) for source in state.pot.sources] == [
        ("from a former event", 12_050),
        ("given to the pot", 1_000),
    ]
    with pytest.raises(GameRefused, match="from which event"):
        add_to_pot(game=pot, kind=kinds.GIVEN, who=" ", cents=5, method=CASH, **WHO)


def test_tickets_have_numbers_that_follow_each_other_and_are_not_sold_twice(event):
    raffle = game(event, "raffle", "Raffle", stake_cents=200)
    first = sell_tickets(game=raffle, name="Oda", entry=None, count=3, method=CASH, **WHO)
    undo_pot_line(line=first, **WHO)
    second = sell_tickets(game=raffle, name="Ivo", entry=None, count=2, method=CASH, **WHO)
    assert (first.first_ticket, second.first_ticket) == (1, 4)
    assert game_of(raffle).pot.total == 400


def test_what_a_page_sends_twice_is_sold_once(event):
    raffle = game(event, "raffle", "Raffle", stake_cents=200)
    sale = {"game": raffle, "name": "Oda", "entry": None, "count": 3, "method": CASH, **WHO}
    key = uuid4()
    assert sell_tickets(**sale, submission=key) == sell_tickets(**sale, submission=key)
    gift = {
        "game": raffle,
        "kind": PotLine.Kind.GIVEN,
        "who": "Fern Print",
        "cents": 50,
        "method": CASH,
        **WHO,
    }
    key = uuid4()
    assert add_to_pot(**gift, submission=key) == add_to_pot(**gift, submission=key)
    assert game_of(raffle).pot.total == 650


def test_an_add_on_within_the_fee_lets_nobody_into_a_game(event):
    with pytest.raises(GameRefused, match=r"1\.10\.F"):
        game(event, addon=addon(event, included=True))


def test_a_game_with_history_stays(event):
    pot = game(event, stake_cents=300)
    line = sell_place(game=pot, entry=build.make_entry(event), method=CASH, **WHO)
    with pytest.raises(GameRefused, match="sold at this price"):
        change_game(game=pot, terms=Terms(kind="ace", name="Ace pot", stake_cents=400), **WHO)
    undo_pot_line(line=line, **WHO)
    with pytest.raises(GameRefused, match="stay to be read"):
        remove_game(game=pot, **WHO)


def test_a_game_without_history_goes(event):
    remove_game(game=game(event), **WHO)
    assert not Game.objects.exists()


def test_the_best_mark_leads_and_one_taken_back_stays_to_be_read(event):
    near, far = build.make_entry(event), build.make_entry(event)
    closest = game(event, "closest", "Closest")
    best = measure(game=closest, entry=near, cm=120, measured_by="Asta", **WHO)
    measure(game=closest, entry=far, cm=340, measured_by="Asta", **WHO)
    measure(game=closest, entry=near, cm=300, measured_by="Asta", **WHO)
    assert [mark.cm for mark in game_of(closest).marks] == [120, 340]
    with pytest.raises(GameRefused, match="Write why"):
        take_back_mark(mark=best, reason="", **WHO)
    take_back_mark(mark=best, reason="measured to the wrong pole", **WHO)
    state = game_of(closest)
    assert [mark.cm for mark in state.marks] == [300, 340]
    assert [mark.cm for mark in state.back] == [120]


def test_the_longest_drive_is_the_longest(event):
    one, two = build.make_entry(event), build.make_entry(event)
    longest = game(event, "longest", "Longest")
    measure(game=longest, entry=one, cm=9_000, measured_by="Asta", **WHO)
    measure(game=longest, entry=two, cm=9_500, measured_by="Asta", **WHO)
    assert [mark.entry_id for mark in game_of(longest).marks] == [two.pk, one.pk]


def test_a_mark_farther_than_the_hole_is_a_slip(event):
    hole = event.layouts.get(name="Upper").layout_holes.get(position=1)
    closest = game(event, "closest", "Closest", layout_hole=hole)
    with pytest.raises(GameRefused, match=r"200\.00 m cannot be on a hole of 151 m"):
        measure(game=closest, entry=build.make_entry(event), cm=20_000, measured_by="Asta", **WHO)


def test_an_ace_is_decided_once_and_a_refusal_says_why(event):
    entry, first = build.make_entry(event), event.rounds.get(number=1)
    pot = game(event)
    said = {"game": pot, "entry": entry, "round": first, "hole_label": "7", **WHO}
    ace = decide_ace(counts=True, reason="", **said)
    assert decide_ace(counts=True, reason="", **said).pk == ace.pk
    with pytest.raises(GameRefused, match="why it does not count"):
        decide_ace(counts=False, reason=" ", **said)
    decide_ace(counts=False, reason="thrown in practice", **said)
    (held,) = game_of(pot).aces
    assert (held.counts, held.reason) == (False, "thrown in practice")
    undo_ace(ace=held, **WHO)
    assert game_of(pot).aces == ()


def test_an_ace_of_another_round_is_not_of_a_pot_for_one_round(event):
    pot = game(event, round=event.rounds.get(number=1))
    with pytest.raises(GameRefused, match="for round 1 only"):
        decide_ace(
            game=pot, entry=build.make_entry(event), round=event.rounds.get(number=2), hole_label="7",
            counts=True, reason="", **WHO,
        )  # fmt: skip


def test_every_act_is_in_the_log(event):
    pot = game(event, stake_cents=300)
    line = sell_place(game=pot, entry=build.make_entry(event), method=CASH, **WHO)
    undo_pot_line(line=line, **WHO)
    assert list(Act.objects.order_by("number").values_list("action", flat=True)) == [
        "game.set",
        "game.money",
        "game.money_undone",
    ]
