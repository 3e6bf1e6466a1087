"""A pot is always paid out or rolled over, whole."""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import build
from build_money import CASH, WHO, game
from scoring.games.aces import decide_ace
from scoring.games.measuring import measure
from scoring.games.models import Award, Game, PotLine
from scoring.games.queries import game_of, open_games
from scoring.games.raffling import close_sale, draw_tickets, drawn_from, open_sale
from scoring.games.services import GameRefused, add_to_pot, sell_place, sell_tickets, undo_pot_line
from scoring.games.settling import hand_out, settle_game, undo_hand_out, unsettle_game
from scoring.games.states import Winner

pytestmark = pytest.mark.django_db


def fill(pot, cents):
    return add_to_pot(game=pot, kind=PotLine.Kind.GIVEN, who="Fern Print", cents=cents, method=CASH, **WHO)


def ace(pot, entry, hole="7"):
    first = pot.event.rounds.get(number=1)
    return decide_ace(game=pot, entry=entry, round=first, hole_label=hole, counts=True, reason="", **WHO)


def test_aces_share_and_an_ace_is_a_part(event):
    one, two = build.make_entry(event), build.make_entry(event)
    pot = game(event)
    fill(pot, 10_000)
    for entry, hole in ((one, "7"), (one, "9"), (two, "7")):
        ace(pot, entry, hole)
    settle_game(game=pot, seen_cents=10_000, **WHO)
    assert [award.amount_cents for award in game_of(pot).awards] == [3334, 3333, 3333]
    assert game_of(pot).pot.rest == 0


def test_without_an_ace_the_pot_rolls_over_whole(event):
    pot = game(event)
    fill(pot, 4_201)
    settle_game(game=pot, seen_cents=4_201, **WHO)
    state = game_of(pot)
    assert (state.awards, state.pot.rest, state.pot.held) == ((), 4_201, 4_201)


def test_a_pot_that_pays_a_part_keeps_the_rest(event):
    pot = game(event, pays_percent=50)
    fill(pot, 4_201)
    ace(pot, build.make_entry(event))
    settle_game(game=pot, seen_cents=4_201, **WHO)
    state = game_of(pot)
    assert (state.pot.awarded, state.pot.rest) == (2_100, 2_101)


def test_equal_marks_share_the_pot_and_one_of_them_takes_the_thing(event):
    closest = game(event, "closest", "Closest", prize="bag")
    fill(closest, 501)
    entries = [build.make_entry(event) for _ in range(3)]
    for entry, cm in zip(entries, (120, 120, 340), strict=True):
        measure(game=closest, entry=entry, cm=cm, measured_by="Asta", **WHO)
    for nobody in (None, entries[2].pk):
        with pytest.raises(GameRefused, match=r"2 won equally, and there is one thing \(bag\)"):
            settle_game(game=closest, seen_cents=501, thing_to=nobody, **WHO)
    settle_game(game=closest, seen_cents=501, thing_to=entries[1].pk, **WHO)
    assert [(each.amount_cents, each.thing, each.why) for each in game_of(closest).awards] == [
        (251, "", "1.20 m"),
        (250, "bag", "1.20 m"),
    ]


def test_two_aces_of_one_player_win_one_thing(event):
    entry, pot = build.make_entry(event), game(event, prize="bag")
    fill(pot, 100)
    ace(pot, entry, "7")
    ace(pot, entry, "9")
    settle_game(game=pot, seen_cents=100, **WHO)
    assert [award.thing for award in game_of(pot).awards] == ["bag", ""]


def test_a_page_that_showed_another_pot_settles_nothing(event):
    pot = game(event, stake_cents=300)
    sell_place(game=pot, entry=build.make_entry(event), method=CASH, **WHO)
    with pytest.raises(GameRefused, match=r"The pot is \$3 now"):
        settle_game(game=pot, seen_cents=0, **WHO)


def test_a_settled_game_takes_nothing_until_the_settling_is_taken_back(event):
    pot = game(event)
    line = fill(pot, 900)
    ace(pot, build.make_entry(event))
    settle_game(game=pot, seen_cents=900, **WHO)
    for act in (lambda: fill(pot, 100), lambda: undo_pot_line(line=line, **WHO)):
        with pytest.raises(GameRefused, match="is settled"):
            act()
    award = Award.objects.get()
    hand_out(award=award, method=CASH, **WHO)
    with pytest.raises(GameRefused, match="has the prize already"):
        unsettle_game(game=pot, **WHO)
    undo_hand_out(award=award, **WHO)
    unsettle_game(game=pot, **WHO)
    assert game_of(pot).awards == ()
    with pytest.raises(GameRefused, match="taken back"):
        hand_out(award=award, method=CASH, **WHO)
    fill(pot, 100)
    settle_game(game=pot, seen_cents=1_000, **WHO)
    assert [each.amount_cents for each in game_of(pot).awards] == [1_000]


def test_what_is_open_is_said_and_goes_when_it_is_done(event):
    pot = game(event)
    fill(pot, 900)
    ace(pot, build.make_entry(event, person=build.make_person("Quist", "Ivo")))
    assert open_games(event) == ["Ace pot is not settled: $9 in the pot."]
    settle_game(game=pot, seen_cents=900, **WHO)
    assert open_games(event) == ["Ace pot: not handed out to Ivo Quist."]
    hand_out(award=Award.objects.get(), method=CASH, **WHO)
    assert open_games(event) == []


def test_a_game_that_nobody_can_win_anything_in_is_nothing_to_do(event):
    closest = game(event, "closest", "Closest")
    entry = build.make_entry(event)
    measure(game=closest, entry=entry, cm=300, measured_by="Asta", **WHO)
    assert open_games(event) == []
    Game.objects.update(prize="a bag")
    assert open_games(event) == ["Closest is not settled: its prize is a bag."]
    fill(closest, 501)
    assert open_games(event) == ["Closest is not settled: $5.01 in the pot, and its prize is a bag."]


def test_a_game_of_another_kind_shares_by_the_parts_that_are_typed(event):
    putting = game(event, "other", "Putting")
    fill(putting, 1_001)
    typed = [Winner("Ivo", "first", parts=2), Winner("Oda", "second", parts=1)]
    settle_game(game=putting, seen_cents=1_001, typed=typed, **WHO)
    assert [award.amount_cents for award in game_of(putting).awards] == [667, 334]


def test_a_raffle_is_drawn_by_a_promise_and_words_from_the_hall(event):
    raffle = game(event, "raffle", "Raffle", stake_cents=200, winners=2)
    with pytest.raises(GameRefused, match="No ticket"):
        close_sale(game=raffle, **WHO)
    sell_tickets(game=raffle, name="Oda", entry=None, count=3, method=CASH, **WHO)
    line = sell_tickets(game=raffle, name="Ivo", entry=None, count=2, method=CASH, **WHO)
    with pytest.raises(GameRefused, match="Close the sale first"):
        draw_tickets(game=raffle, called_out="owl 7", **WHO)
    draw = close_sale(game=raffle, secret="s", **WHO)
    assert draw.tickets == [1, 2, 3, 4, 5]
    for act in (
        lambda: sell_tickets(game=raffle, name="Late", entry=None, count=1, method=CASH, **WHO),
        lambda: undo_pot_line(line=line, **WHO),
    ):
        with pytest.raises(GameRefused, match="open"):
            act()
    with pytest.raises(GameRefused, match="call out"):
        draw_tickets(game=raffle, called_out="  ", **WHO)
    drawn = draw_tickets(game=raffle, called_out="owl  7", **WHO)
    assert drawn.drawn == drawn_from([1, 2, 3, 4, 5], "s", "owl 7", 2)
    with pytest.raises(GameRefused, match="drawn already"):
        draw_tickets(game=raffle, called_out="again", **WHO)
    with pytest.raises(GameRefused, match="stays closed"):
        open_sale(game=raffle, **WHO)
    settle_game(game=raffle, seen_cents=1_000, **WHO)
    names = ["Oda" if number <= 3 else "Ivo" for number in drawn.drawn]
    assert [(each.name, each.amount_cents) for each in game_of(raffle).awards] == [
        (names[0], 500),
        (names[1], 500),
    ]


def test_a_sale_that_was_closed_too_early_goes_on(event):
    raffle = game(event, "raffle", "Raffle", stake_cents=200)
    sell_tickets(game=raffle, name="Oda", entry=None, count=1, method=CASH, **WHO)
    close_sale(game=raffle, **WHO)
    with pytest.raises(GameRefused, match="not drawn yet"):
        settle_game(game=raffle, seen_cents=200, **WHO)
    open_sale(game=raffle, **WHO)
    sell_tickets(game=raffle, name="Ivo", entry=None, count=1, method=CASH, **WHO)
    with pytest.raises(GameRefused, match="close the sale and draw"):
        settle_game(game=raffle, seen_cents=400, **WHO)


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    gifts=st.lists(st.integers(1, 99_999), min_size=1, max_size=5),
    undone=st.sets(st.integers(0, 4)),
    aces=st.integers(0, 4),
    percent=st.integers(0, 100),
    handed=st.sets(st.integers(0, 3)),
)
def test_a_pot_is_paid_out_or_kept_to_the_cent(event, gifts, undone, aces, percent, handed):
    pot = game(event, name=f"Pot {event.games.count()}", pays_percent=percent)
    lines = [fill(pot, cents) for cents in gifts]
    for index in undone & set(range(len(lines))):
        undo_pot_line(line=lines[index], **WHO)
    inside = sum(cents for index, cents in enumerate(gifts) if index not in undone)
    entry = build.make_entry(event)
    for hole in range(aces):
        ace(pot, entry, str(hole + 1))
    settle_game(game=pot, seen_cents=inside, **WHO)
    for index, award in enumerate(game_of(pot).awards):
        if index in handed:
            hand_out(award=award, method=CASH, **WHO)
    state = game_of(pot)
    assert state.pot.total == inside
    assert state.pot.awarded + state.pot.rest == inside
    assert state.pot.awarded == (inside * percent // 100 if aces else 0)
    assert state.pot.held == inside - sum(a.amount_cents for a in state.awards if a.handed_at)
