"""What the prizes cost: still due in money, paid, due in things. Read from the prizes' own rooms."""

from collections import defaultdict

from events.entries.models import Payment
from events.setup.models import Event
from scoring.money.statement import PrizeMoney
from scoring.prizes.awards import DivisionAwards, EventAwards, awards_of
from scoring.prizes.models import HandOver
from scoring.prizes.queries import paid_out
from scoring.prizes.taking import Kind
from scoring.prizes.too_early import NOBODY_FINISHED

# How a prize in money left: a cheque or an electronic payment leaves the bank, not the box.
_WAYS = {
    HandOver.Method.CASH: Payment.Method.CASH,
    HandOver.Method.CHEQUE: Payment.Method.TRANSFER,
    HandOver.Method.ELECTRONIC: Payment.Method.TRANSFER,
}


def prize_money(event: Event) -> PrizeMoney:
    """What each winner is due, by what it is due in; and what is not won yet: money for professionals, things for
    amateurs (1 query, and those of `awards_of`)."""
    awards = awards_of(event)
    known = {each.code: each for each in awards.divisions}
    unpaid = overpaid = things = 0
    for division in awards.purse.divisions:
        won = known.get(division.code)
        open_cents = _not_won(awards, division.code, won, division.purse.cents)
        unpaid += open_cents if division.professional else 0
        things += 0 if division.professional else open_cents
        if won is not None:
            unpaid, overpaid, things = unpaid + _unpaid(won), overpaid + _overpaid(won), things + _things(won)
    paid: dict[str, int] = defaultdict(int)
    for prize in paid_out(event):
        if prize.kind == Kind.CASH.value:
            paid[_WAYS.get(HandOver.Method(prize.method), Payment.Method.OTHER)] += prize.cents
    plan = awards.purse.plan
    added = plan.added_cents if plan is not None else None
    return PrizeMoney(unpaid=unpaid, paid=dict(paid), overpaid=overpaid, things=things, added=added)


def _not_won(awards: EventAwards, code: str, won: DivisionAwards | None, purse: int) -> int:
    """Cents of a purse that somebody may still win. What passed everybody once the places are final stays with the
    event (Competition Manual 2025, 1.10.E), as does the purse of a division in which nobody finished."""
    early = awards.not_yet.get(code, "")
    if early == NOBODY_FINISHED:
        return 0
    if won is None:
        return purse
    return won.awarded.split.kept if early else 0


def _unpaid(division: DivisionAwards) -> int:
    return sum(max(0, due.open) for due in division.dues if due.award.kind == Kind.CASH)


def _overpaid(division: DivisionAwards) -> int:
    """Cents that players got in money beyond what is due to them."""
    in_money = (
        (due, sum(row.cents for row in due.handed if row.kind == Kind.CASH.value)) for due in division.dues
    )
    return sum(min(cents, max(0, -due.open)) for due, cents in in_money)


def _things(division: DivisionAwards) -> int:
    """Value due in things, handed out or not: somebody has to buy them; less what was not claimed in time."""
    return sum(due.award.cents - due.forfeited_cents for due in division.dues if due.award.kind != Kind.CASH)
