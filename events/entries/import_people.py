"""Which known person a row of a list means: by member number, else by name and birth year; else a question."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from events.sheets.cells import plain
from events.sheets.entrants import EntrantRow
from players.models import Person

_AT_ONCE = 400


@dataclass(frozen=True, slots=True)
class Meant:
    """`person` None: somebody new. `candidates`: who it may be, where only the director can tell; `why` says so.

    `by_number`: the row's member number is theirs, so nobody new can have it.
    """

    person: Person | None = None
    candidates: tuple[Person, ...] = ()
    why: str = ""
    by_number: bool = False


def name_key(*parts: str) -> tuple[str, ...]:
    """The words of a name in no order: given and family name may be split or written either way round."""
    return tuple(sorted(plain(" ".join(parts)).split())) or tuple(part for part in parts if part)


class Known:
    """The persons that the rows of one list may mean, read in a few queries."""

    def __init__(self, rows: Sequence[EntrantRow], entered: Iterable[int]) -> None:
        """`entered`: ids of the persons who are entered at this event already."""
        self._entered = frozenset(entered)
        self.by_id: dict[int, Person] = {}
        self._by_number: dict[int, Person] = {}
        self._by_name: dict[tuple[str, ...], list[Person]] = defaultdict(list)
        for person in _persons(rows):
            self._keep(person)

    def _keep(self, person: Person) -> None:
        if person.pk in self.by_id:
            return
        self.by_id[person.pk] = person
        if person.member_number is not None:
            self._by_number[person.member_number] = person
        self._by_name[name_key(person.given_name, person.family_name)].append(person)

    def meant_by(self, row: EntrantRow) -> Meant:
        """The person this row means, somebody new, or a question."""
        key = name_key(row.given, row.family)
        holder = self._by_number.get(row.member_number) if row.member_number is not None else None
        if holder is not None:
            if name_key(holder.given_name, holder.family_name) == key:
                return Meant(holder)
            return Meant(None, (holder,), f"member {row.member_number} is {holder.name} here", by_number=True)
        return self._by_their_name(row, self._by_name.get(key, []))

    def _by_their_name(self, row: EntrantRow, namesakes: list[Person]) -> Meant:
        possible = tuple(person for person in namesakes if not _different(row, person))
        sure = [person for person in possible if _same_evidence(row, person)]
        if row.birth_year is None and row.member_number is None:
            # Such a row can never say more than the name: at the event itself a single namesake is the same.
            sure = [person for person in possible if person.pk in self._entered]
        if len(sure) == 1 and (row.birth_year is not None or len(possible) == 1):
            return Meant(sure[0])
        if not possible:
            return Meant()
        return Meant(None, possible, "somebody of this name is known already")


def _different(row: EntrantRow, person: Person) -> bool:
    """Two birth years and two member numbers: namesakes, nothing to ask."""
    years = None not in (row.birth_year, person.birth_year) and row.birth_year != person.birth_year
    numbers = None not in (row.member_number, person.member_number)
    return years and numbers


def _same_evidence(row: EntrantRow, person: Person) -> bool:
    """The same birth year, and no second member number."""
    if row.birth_year is None or row.birth_year != person.birth_year:
        return False
    return row.member_number is None or person.member_number is None


def _persons(rows: Sequence[EntrantRow]) -> Iterator[Person]:
    """Everybody with a member number or a name of the list. Names are asked in every turn of their words."""
    numbers = [row.member_number for row in rows if row.member_number is not None]
    for start in range(0, len(numbers), _AT_ONCE):
        yield from Person.objects.filter(member_number__in=numbers[start : start + _AT_ONCE])
    names = sorted({name for row in rows for name in _turns(row)})
    for start in range(0, len(names), _AT_ONCE):
        yield from Person.objects.filter(sort_name__in=names[start : start + _AT_ONCE])


def _turns(row: EntrantRow) -> Iterator[str]:
    """ "jan van der berg" also as "van der berg jan": the name cut at another place sorts so."""
    words = plain(f"{row.given} {row.family}").split()
    if not words:
        yield f"{row.family}{row.given}"
    for cut in range(len(words)):
        yield " ".join(words[cut:] + words[:cut])[:130]


def described(person: Person) -> str:
    """Ines Halvorsen, born 1990, member 70001."""
    parts = [person.name]
    if person.birth_year is not None:
        parts.append(f"born {person.birth_year}")
    if person.member_number is not None:
        parts.append(f"member {person.member_number}")
    return ", ".join(parts)
