"""One player of one round as the draw sees them: plain data, handed down by the caller."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Candidate:
    """A player who is to be grouped for one round.

    `key` is unique in the round and stable (the entry's primary key); the draw sorts by it before it uses
    any randomness. `professional` says whether the *division* is a professional one: an amateur who plays
    in a professional division is drawn with it. `totals` holds the throws of each finished round, oldest
    first; None is a missing card, which never counts as zero. `layout` is the id of the layout that the
    division plays this round, None when the event has only one course and never said so. `guardian` is the
    name of the adult on record for a player who `needs_guardian`, empty when there is none.
    """

    key: int
    division: str
    professional: bool
    rating: int | None = None
    member_number: int | None = None
    surname: str = ""
    given: str = ""
    totals: tuple[int | None, ...] = ()
    junior: bool = False
    needs_guardian: bool = False
    guardian: str = ""
    layout: int | None = None

    @property
    def name(self) -> str:
        """Given name and surname with one space, or the key when both are empty."""
        return f"{self.given} {self.surname}".strip() or f"#{self.key}"

    @property
    def total(self) -> int | None:
        """Throws over all finished rounds; None when there is no round or any card is missing."""
        if not self.totals:
            return None
        throws = 0
        for figure in self.totals:
            if figure is None:
                return None
            throws += figure
        return throws
