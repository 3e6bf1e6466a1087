"""The same person twice in one file."""

from events.sheets.cells import plain

# A file that repeats one name thousands of times must not take hours.
_MOST_NAMESAKES = 50


class Twins:
    """Remembers the rows seen so far."""

    def __init__(self) -> None:
        self._numbers: dict[int, int] = {}
        self._people: dict[tuple[str, ...], list[tuple[int, int | None, int | None]]] = {}

    def same_number(self, row: int, number: int | None) -> int | None:
        """The earlier row with this member number, or None; no number is nobody's."""
        if number is None:
            return None
        first = self._numbers.setdefault(number, row)
        return None if first == row else first

    def same_person(self, row: int, name: str, born: int | None, number: int | None) -> int | None:
        """The earlier row that may be the same person, or None.

        The same words in the name in any order, without case and accents; not with two different member
        numbers or two different birth years.
        """
        known = self._people.setdefault(tuple(sorted(plain(name).split())), [])
        twin = next(
            (
                at
                for at, their_birth, their_number in known
                if (born is None or their_birth is None or born == their_birth)
                and (number is None or their_number is None)
            ),
            None,
        )
        if len(known) < _MOST_NAMESAKES:
            known.append((row, born, number))
        return twin
