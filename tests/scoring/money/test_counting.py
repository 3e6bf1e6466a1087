"""The cash box: float, count, difference, reason."""

from uuid import uuid4

import pytest

import build
from build_money import CARD, CASH, WHO, game, pays, writes
from scoring.games.services import sell_place
from scoring.money.counting import count_box, explain_difference
from scoring.money.models import BoxCount, MoneyLine
from scoring.money.queries import expected_now, statement
from scoring.money.services import MoneyRefused

pytestmark = pytest.mark.django_db


def counted(event, kind="closing", pieces=None, others=None, **facts):
    facts.setdefault("submission", uuid4())
    return count_box(
        event=event, kind=BoxCount.Kind(kind), pieces=pieces or {}, others=others or {}, **facts, **WHO
    )


def points(event):
    return " ".join(statement(event).open)


@pytest.fixture
def paid(event):
    """A float of $60, a fee of $45 in cash and one by card, $5 for a pot, $12.50 spent."""
    for method in (CASH, CARD):
        pays(build.make_entry(event, paid_elsewhere_cents=0), 4_500, method)
    sell_place(game=game(event, stake_cents=500), entry=event.entries.first(), method=CASH, **WHO)
    writes(event, MoneyLine.Category.STAFF, 1_250)
    counted(event, "opening", {2000: 2, 500: 4})
    return event


def test_what_should_be_there_is_the_float_and_every_line(paid):
    found = expected_now(paid)
    assert (found["cash"], found["card"], found["transfer"]) == (6_000 + 4_500 + 500 - 1_250, 4_500, 0)


def test_a_count_that_agrees_leaves_nothing_open_about_the_box(paid):
    count = counted(paid, pieces={5000: 1, 2000: 2, 500: 1, 100: 2, 25: 2}, others={"card": 4_500})
    assert count.differences == {"cash": 0, "card": 0}
    assert "count" not in points(paid)


def test_a_difference_asks_for_its_reason_and_is_in_the_statement(paid):
    count = counted(paid, pieces={5000: 1, 2000: 2, 500: 1}, others={"card": 4_500})
    assert count.differences["cash"] == -250
    assert "Cash: $2.50 missing at the last count, and no reason is written." in points(paid)
    labels = {line.label: line.cents for line in statement(paid).section("held").lines}
    assert labels["difference found, cash"] == -250
    with pytest.raises(MoneyRefused, match="why it differs"):
        explain_difference(count=count, reason=" ", **WHO)
    explain_difference(count=count, reason="change given twice", **WHO)
    assert "missing at the last count" not in points(paid)


def test_a_count_that_agrees_has_nothing_to_explain(paid):
    count = counted(paid, pieces={5000: 1, 2000: 2, 500: 1, 100: 2, 25: 2})
    with pytest.raises(MoneyRefused, match="Nothing differs"):
        explain_difference(count=count, reason="none", **WHO)


def test_money_that_moves_after_the_count_asks_for_another(paid):
    counted(paid, pieces={5000: 1, 2000: 2, 500: 1, 100: 2, 25: 2}, others={"card": 4_500})
    writes(paid, MoneyLine.Category.SALES, 700)
    assert "Money moved since the last count (cash): count again." in points(paid)
    assert statement(paid).held == 4_500 + 500 - 1_250 + 4_500 + 700


def test_a_method_that_was_not_looked_at_is_not_nought(paid):
    counted(paid, pieces={5000: 1, 2000: 2, 500: 1, 100: 2, 25: 2})
    assert "Not looked at when the box was counted: card." in points(paid)


def test_the_float_counts_for_cash_and_never_for_what_is_left(event):
    before = statement(event).left
    counted(event, "opening", {2000: 5})
    assert statement(event).left == before
    assert expected_now(event)["cash"] == 10_000


def test_a_float_that_was_miscounted_is_counted_again(event):
    counted(event, "opening", {2000: 5})
    counted(event, "opening", {2000: 4})
    assert expected_now(event)["cash"] == 8_000
    assert BoxCount.objects.count() == 2


@pytest.mark.parametrize(
    ("pieces", "words"),
    [({333: 1}, r"no piece of \$3\.33"), ({100: -1}, "0 to 9,999"), ({100: 10_000}, "0 to 9,999")],
)
def test_what_no_box_holds_is_refused(event, pieces, words):
    with pytest.raises(MoneyRefused, match=words):
        counted(event, pieces=pieces)


def test_a_count_that_is_sent_twice_is_kept_once(event):
    key = uuid4()
    assert counted(event, submission=key) == counted(event, submission=key)
    assert BoxCount.objects.count() == 1
