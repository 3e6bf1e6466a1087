"""Which people of an archive are known here already."""

from collections.abc import Mapping, Sequence
from typing import Any

from desk.archive.refusal import ArchiveRefused
from players.models import Disc, Person
from players.names import sort_key

FACTS = ("given_name", "family_name", "birth_year", "town", "club", "country", "rating", "may_enter_f")


def known_people(rows: Sequence[Mapping[str, Any]]) -> dict[int, int]:
    """Id in the file → id here, for those who are the same person; others are new here (2 queries).

    The same: one member number and one name; without a number, every fact equal, and nobody else here is.
    Raises ArchiveRefused where a member number belongs to somebody of another name: one of the two is wrong.
    """
    numbers = {row["member_number"]: row for row in rows if row["member_number"] is not None}
    here = {person.member_number: person for person in Person.objects.filter(member_number__in=list(numbers))}
    found: dict[int, int] = {}
    for number, row in numbers.items():
        person = here.get(number)
        if person is None:
            continue
        if person.sort_name != sort_key(row["family_name"], row["given_name"])[:130]:
            name = f"{row['given_name']} {row['family_name']}".strip()
            raise ArchiveRefused(
                f"Member number {number} is {person.name} here and {name} in the file: mend the wrong one first."
            )
        found[row["id"]] = person.pk
    without = [row for row in rows if row["member_number"] is None]
    same: dict[tuple[Any, ...], list[int]] = {}
    names = {sort_key(row["family_name"], row["given_name"])[:130] for row in without}
    for person in Person.objects.filter(member_number=None, sort_name__in=names):
        same.setdefault(tuple(getattr(person, fact) for fact in FACTS), []).append(person.pk)
    for row in without:
        twins = same.get(tuple(row[fact] for fact in FACTS), [])
        if len(twins) == 1:
            found[row["id"]] = twins.pop()
    return found


def free_numbers(rows: Sequence[dict[str, Any]], people: Mapping[int, int]) -> None:
    """Give pieces that join a box which is here already the next numbers of that box (1 query)."""
    used: dict[int, set[int]] = {}
    for person, number in Disc.objects.filter(person__in=people.values()).values_list("person", "number"):
        used.setdefault(person, set()).add(number)
    for row in rows:
        taken = used.get(people.get(row["person_id"], 0), set())
        if row["number"] in taken:
            row["number"] = max(taken) + 1
        taken.add(row["number"])
