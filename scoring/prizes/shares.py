"""Percentages of money. Pure; never a float."""

from fractions import Fraction


def percent_up(percent: int | Fraction, cents: int) -> int:
    """At least this percentage of an amount: rounded up to the cent."""
    return -(-cents * Fraction(percent) // 100)


def percent_of(part: int, whole: int) -> Fraction | None:
    """`part` in per cent of `whole`; None where there is no whole."""
    return Fraction(100 * part, whole) if whole else None


def percent_words(percent: Fraction | None) -> str:
    """A percentage with one decimal at most, as 55 % or 17.5 %; a dash where none is known."""
    if percent is None:
        return "\N{EN DASH}"
    tenths = round(percent * 10)
    whole, part = divmod(abs(tenths), 10)
    sign = "\N{MINUS SIGN}" if tenths < 0 else ""
    return f"{sign}{whole:,}" + (f".{part}" if part else "") + "\N{NO-BREAK SPACE}%"
