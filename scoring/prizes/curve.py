"""Prizes along a smooth curve instead of a table: prize(i) = E + (P1 − E) / i^α. Pure; decimals, never a float.

P1 is the first prize and E what every prize lies above (often the entry fee). α is found by bisection so that
the prizes sum to the purse: the larger α, the steeper the fall after the first place. α = 0 pays everybody P1;
without end it pays everybody but the first E. So there is a curve only if P1 + (n − 1) E < purse ≤ n P1.
Where no first prize is named, α is 1 and the first prize follows from it.
"""

from dataclasses import dataclass
from decimal import Context, Decimal, localcontext
from fractions import Fraction

from events.paper.text import money as amount
from events.setup.apportioning import apportion

_DIGITS = 40
_STEPS = 110  # halvings: more than the digits above can tell apart
_STEEPEST = Decimal(64)
FORMULA = "prize(i) = E + (P1 − E) / i^α"


class CurveRefused(Exception):
    """No curve joins these figures; the message is a sentence that says which, and the mend."""


@dataclass(frozen=True, slots=True)
class Curve:
    """The prizes in cents by place, summing to the purse, and the exponent, to five decimals; `given`: the first prize
    was named."""

    prizes: tuple[int, ...]
    alpha: Decimal
    first_cents: int
    last_cents: int
    given: bool = True

    @property
    def words(self) -> str:
        if not self.given:
            return f"{FORMULA}, α = 1, E = {amount(self.last_cents)}, P1 = {amount(self.first_cents)} from the purse"
        return (
            f"{FORMULA}, P1 = {amount(self.first_cents)}, E = {amount(self.last_cents)}, "
            f"α = {self.alpha} found so that the sum is the purse"
        )


def curve(purse: int, *, first: int | None, last: int, places: int) -> Curve:
    """Prizes for `places` places from a purse, a first prize and a lower bound `last`, all in cents.

    `first` None: it follows from α = 1. Raises CurveRefused where no exponent gives the sum.
    """
    if places < 1:
        raise CurveRefused("At least one place is paid.")
    if places == 1:
        return Curve((purse,), Decimal(0), purse, last)
    if first is None:
        return _by_one(purse, last, places)
    _refuse(purse, first, last, places)
    with localcontext(Context(prec=_DIGITS)):
        logs = [Decimal(place).ln() for place in range(1, places + 1)]
        low, high = Decimal(0), _STEEPEST
        for _ in range(_STEPS):
            middle = (low + high) / 2
            if _sum(logs, middle, first, last) > purse:
                low = middle
            else:
                high = middle
        alpha = high
        exact = [Fraction(_prize(log, alpha, first, last)) for log in logs]
    return Curve(apportion(purse, exact), round(alpha, 5), first, last)


def _by_one(purse: int, last: int, places: int) -> Curve:
    """α = 1: above E the prizes fall as 1, 1/2, 1/3 and so on."""
    over = purse - places * last
    if over <= 0:
        raise CurveRefused(
            f"{places} prizes above {amount(last)} need more than {amount(places * last)}, and the purse is "
            f"{amount(purse)}: lower the last prize or pay fewer places."
        )
    parts = [Fraction(1, place) for place in range(1, places + 1)]
    prizes = apportion(purse, [last + over * part / sum(parts) for part in parts])
    return Curve(prizes, Decimal(1), prizes[0], last, given=False)


def _prize(log: Decimal, alpha: Decimal, first: int, last: int) -> Decimal:
    return last + (first - last) * (-alpha * log).exp()


def _sum(logs: list[Decimal], alpha: Decimal, first: int, last: int) -> Decimal:
    return sum((_prize(log, alpha, first, last) for log in logs), Decimal(0))


def _refuse(purse: int, first: int, last: int, places: int) -> None:
    if last < 0 or first <= last:
        raise CurveRefused(
            f"The first prize of {amount(first)} is not above the last of {amount(last)}: "
            "raise the first or lower the last."
        )
    if purse > places * first:
        raise CurveRefused(
            f"{places} prizes of at most {amount(first)} do not use up {amount(purse)}: "
            "raise the first prize or pay more places."
        )
    # Beyond the steepest exponent the second prize is E to the cent: there is no curve left to find.
    if purse <= first + (places - 1) * last:
        raise CurveRefused(
            f"A first prize of {amount(first)} and {places - 1} prizes above {amount(last)} need more than "
            f"{amount(first + (places - 1) * last)}, and the purse is {amount(purse)}: "
            "lower the first or the last prize, or pay fewer places."
        )
