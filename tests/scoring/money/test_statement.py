"""The statement adds up to the cent, whatever happened before."""

import contextlib
import itertools
from uuid import uuid4

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import build
from build_money import CARD, CASH, WHO, addon, buys, game, pays, writes
from events.entries.leaving import pay_back
from events.entries.models import IN_THE_FIELD, Entry, Payment, Status
from events.entries.services import EntryRefused, take_payment, undo_payment
from scoring.games.aces import decide_ace
from scoring.games.models import Award, PotLine
from scoring.games.queries import game_of
from scoring.games.services import GameRefused, add_to_pot, sell_place
from scoring.games.settling import hand_out, settle_game
from scoring.money.models import MoneyLine
from scoring.money.queries import facts_of, statement
from scoring.money.services import MoneyRefused, reverse_line

pytestmark = pytest.mark.django_db
Category = MoneyLine.Category


def totals(event):
    return {section.key: section.total for section in statement(event).sections}


def test_an_event_without_money_is_all_noughts_but_for_the_fees(event):
    found = totals(event)
    assert found.pop("others") == 5000
    assert found.pop("left") == -5000
    assert set(found.values()) == {0}


def test_what_is_left_is_what_came_in_less_what_belongs_to_others(event):
    """Two players at $45, one of them in an ace pot for $5, $100 given, $20 printed; C-tier in North America, where
    85 % of the net entry go to amateurs in things."""
    one, two = build.make_entry(event), build.make_entry(event)
    buys(two, addon(event))
    game(event, addon=event.addons.get())
    pays(two, 500)
    writes(event, Category.ADDED_CASH, 10_000)
    writes(event, Category.PRINTING, 2_000, method=CARD)
    found = totals(event)
    assert found == {
        "purposes": 9_500,
        "ways": 9_500,
        "income": 10_000,
        "expenses": -2_000,
        "games": 0,
        "held": 17_500,
        "others": 5_000 + 2 * 300 + 500,
        "left": 17_500 - 6_100 - 7_650,
    }
    assert one.paid_elsewhere_cents == 4_500


def test_who_owes_and_who_paid_too_much_stand_apart(event):
    build.make_entry(event, paid_elsewhere_cents=4_000)
    build.make_entry(event, paid_elsewhere_cents=5_000)
    build.make_entry(event, status=Status.WAITLISTED, paid_elsewhere_cents=4_500)
    build.make_entry(event, status=Status.WITHDRAWN, paid_elsewhere_cents=2_250)
    found = statement(event)
    assert {line.label: line.cents for line in found.section("purposes").lines} == {
        "fees MA1, 2 players": 9_000,
        "not paid yet": -500,
        "paid too much": 500,
        "of players who wait": 4_500,
        "of players who left": 2_250,
    }
    assert {"paid too much: give back", "of players who wait: give back or let in"} <= {
        line.label for line in found.section("others").lines
    }


def test_a_reversed_line_leaves_nothing_and_both_stay(event):
    line = writes(event, Category.PRINTING, 2_000)
    back = reverse_line(line=line, reason="written twice", submission="0" * 32, **WHO)
    assert reverse_line(line=line, reason="written twice", submission="0" * 32, **WHO) == back
    assert totals(event)["expenses"] == 0
    assert MoneyLine.objects.count() == 2
    with pytest.raises(MoneyRefused, match="reversed already"):
        reverse_line(line=line, reason="again", submission="1" * 32, **WHO)


def test_a_line_that_is_sent_twice_is_written_once(event):
    key = "2" * 32
    first = writes(event, Category.PRINTING, 2_000, submission=key)
    assert writes(event, Category.PRINTING, 2_000, submission=key) == first
    assert MoneyLine.objects.count() == 1


@pytest.mark.parametrize(("cents", "who", "words"), [(0, "Fern", "more than zero"), (5, " ", "who was paid")])
def test_a_line_says_how_much_and_who(event, cents, who, words):
    with pytest.raises(MoneyRefused, match=words):
        writes(event, Category.PRINTING, cents, who=who)


def test_the_money_of_games_never_reaches_what_is_left(event):
    """Manual, 1.10.F: side games stay outside of the winnings; here they stay outside of the event's own money too."""
    entry = build.make_entry(event)
    before = totals(event)["left"]
    pot = game(event, stake_cents=500)
    sell_place(game=pot, entry=entry, method=CASH, **WHO)
    add_to_pot(game=pot, kind=PotLine.Kind.ROLLED_IN, who="Spring event", cents=7_001, method=CASH, **WHO)
    assert totals(event)["left"] == before
    first = event.rounds.get(number=1)
    decide_ace(game=pot, entry=entry, round=first, hole_label="7", counts=True, reason="", **WHO)
    settle_game(game=pot, seen_cents=7_501, **WHO)
    hand_out(award=Award.objects.get(), method=CASH, **WHO)
    assert totals(event)["left"] == before
    assert game_of(pot).pot.held == 0


# One step of a day at the desk: what is done, to whom, by which way, how much.
STEP = st.tuples(
    st.sampled_from(["take", "undo", "back", "spend", "earn", "reverse", "place", "leave"]),
    st.integers(0, 2),
    st.sampled_from(list(Payment.Method)),
    st.integers(1, 9_999),
)
_numbers = itertools.count()


def do(event, entry, pot, what, method, cents):
    """One step, as far as it can be done now; what the services refuse is no step."""
    payment = Payment.objects.filter(entry=entry, undoes=None, undone_by=None, amount_cents__gt=0).first()
    line = MoneyLine.objects.filter(event=event, undoes=None, undone_by=None).first()
    steps = {
        "take": lambda: take_payment(entry=entry, amount_cents=cents, method=method, **WHO),
        "undo": lambda: payment and undo_payment(payment=payment, **WHO),
        "back": lambda: pay_back(entry=entry, amount_cents=cents, method=method, **WHO),
        "spend": lambda: writes(event, Category.PRINTING, cents, method=method),
        "earn": lambda: writes(event, Category.SALES, cents, method=method),
        "reverse": lambda: line and reverse_line(line=line, reason="slip", submission=uuid4(), **WHO),
        "place": lambda: sell_place(game=pot, entry=entry, method=method, **WHO),
        "leave": lambda: Entry.objects.filter(pk=entry.pk).update(status=Status.WITHDRAWN),
    }
    with contextlib.suppress(EntryRefused, GameRefused):
        steps[what]()


@settings(max_examples=30, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(steps=st.lists(STEP, max_size=12))
def test_the_statement_balances_whatever_happened(db, steps):
    event = build.make_event(f"event-{next(_numbers)}")
    entries = [
        build.make_entry(event, paid_elsewhere_cents=0, status=Status.APPLIED),
        build.make_entry(event, paid_elsewhere_cents=2_000),
        build.make_entry(event, "FA1"),
    ]
    pot = game(event, stake_cents=300)
    for what, who, method, cents in steps:
        do(event, entries[who], pot, what, method, cents)
    facts, found = facts_of(event), totals(event)
    moved = sum(
        row["amount_cents"]
        for rows in (
            Payment.objects.filter(entry__event=event),
            MoneyLine.objects.filter(event=event),
            PotLine.objects.filter(game__event=event),
        )
        for row in rows.values("amount_cents")
    )
    assert found["purposes"] == found["ways"] == facts.entries.received
    assert found["held"] == sum(facts.by_method.values()) + facts.entries.before == moved + 6_500
    assert found["held"] == found["ways"] + found["income"] + found["expenses"] + found["games"]
    things = facts.things_to_buy
    assert found["left"] == found["held"] - found["others"] + facts.entries.owed - things
    field = Entry.objects.filter(event=event, status__in=IN_THE_FIELD)
    fees = 5_000 + 300 * len(field)
    assert found["left"] == (
        sum(entry.fee_cents for entry in field)
        + facts.entries.gone
        + found["income"]
        + found["expenses"]
        - fees
        - things
    )
