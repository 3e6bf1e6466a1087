"""What the prizes cost: due in money, paid, due in things. Read from the prizes' own rooms."""

from collections import defaultdict

from events.entries.models import Payment
from events.setup.models import Event
from scoring.money.statement import PrizeMoney
from scoring.prizes.awards import DivisionAwards, awards_of
from scoring.prizes.models import HandOver
from scoring.prizes.queries import paid_out
from scoring.prizes.taking import Kind

# How a prize in money left: a cheque or an electronic payment leaves the bank, not the box.
_WAYS = {
    HandOver.Method.CASH: Payment.Method.CASH,
    HandOver.Method.CHEQUE: Payment.Method.TRANSFER,
    HandOver.Method.ELECTRONIC: Payment.Method.TRANSFER,
}


def prize_money(event: Event) -> PrizeMoney:
    """Where places are known: what each winner is due. Elsewhere the purse: money for professionals, things for
    amateurs (1 query, and those of `awards_of`)."""
    awards = awards_of(event)
    known = {each.code: each for each in awards.divisions if each.dues}
    due = things = 0
    for division in awards.purse.divisions:
        if division.code in known:
            money, rest = _due(known[division.code])
        else:
            cents = division.purse.cents
            money, rest = (cents, 0) if division.professional else (0, cents)
        due, things = due + money, things + rest
    paid: dict[str, int] = defaultdict(int)
    for prize in paid_out(event):
        if prize.kind == Kind.CASH.value:
            paid[_WAYS.get(HandOver.Method(prize.method), Payment.Method.OTHER)] += prize.cents
    plan = awards.purse.plan
    return PrizeMoney(
        due=due, paid=dict(paid), things=things, added=plan.added_cents if plan is not None else None
    )


def _due(division: DivisionAwards) -> tuple[int, int]:
    """Cents due in money, and the value due in things."""
    money = sum(due.award.cents for due in division.dues if due.award.kind == Kind.CASH)
    return money, sum(due.award.cents for due in division.dues) - money
