"""One game's money: what is in, what is paid, what stays. Pure; every amount in cents."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Source:
    """Where money of a pot comes from; `count`: how many places or tickets it is, None where it is none."""

    words: str
    cents: int
    count: int | None = None


@dataclass(frozen=True, slots=True)
class Paid:
    """One award in money; handed out or still here."""

    words: str
    cents: int
    handed: bool


@dataclass(frozen=True, slots=True)
class Pot:
    """`settled`: the winners are decided, and what is not theirs stays for `rest_to`."""

    sources: tuple[Source, ...]
    paid: tuple[Paid, ...] = ()
    settled: bool = False
    rest_to: str = "the next event"

    @property
    def total(self) -> int:
        return sum(each.cents for each in self.sources)

    @property
    def awarded(self) -> int:
        return sum(each.cents for each in self.paid)

    @property
    def handed(self) -> int:
        return sum(each.cents for each in self.paid if each.handed)

    @property
    def rest(self) -> int:
        """Not awarded: what is still played for, and after settling what goes to `rest_to`."""
        return self.total - self.awarded

    @property
    def held(self) -> int:
        """In the box or at the bank for this game: everything but what was handed out."""
        return self.total - self.handed

    @property
    def short(self) -> bool:
        """More was awarded than is in, as when a player who had paid left after the settling."""
        return self.rest < 0
