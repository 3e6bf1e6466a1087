"""What to look at in a roster as it stands: double bookings, certificates, minors, own divisions, long shifts. Pure."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from events.logistics.crew.filling import Limits, Person, Task, obstacles

ALONE_RULE = "Common practice, no source: nobody under age stands alone where vehicles pass."


@dataclass(frozen=True, slots=True)
class Caution:
    """A sentence about somebody on a shift. `personal`: it tells of age or guardian, so only the desk reads it."""

    person_id: int
    task_ids: tuple[int, ...]
    text: str
    double: bool = False
    personal: bool = False


def cautions_of(
    people: Sequence[Person], tasks: Sequence[Task], crew: Mapping[int, Sequence[int]], limits: Limits
) -> list[Caution]:
    """Every caution, double bookings first, then by name. `crew`: task id → ids of those who stand it."""
    by_id = {person.id: person for person in people}
    found = [
        caution
        for person in sorted(people, key=lambda one: (one.name, one.id))
        for caution in _of_person(person, tasks, crew, by_id, limits)
    ]
    return sorted(found, key=lambda caution: not caution.double)


def _of_person(
    person: Person,
    tasks: Sequence[Task],
    crew: Mapping[int, Sequence[int]],
    people: Mapping[int, Person],
    limits: Limits,
) -> Iterator[Caution]:
    mine = [task for task in tasks if person.id in crew.get(task.id, ())]
    for one, other in combinations(mine, 2):
        if one.span.meets(other.span):
            text = f"{person.name} is booked twice: {_words(one)} and {_words(other)}."
            yield Caution(person.id, (one.id, other.id), text, double=True)
    for task in mine:
        others = [people[other] for other in crew[task.id] if other in people and other != person.id]
        grown_up = any(other.minor is False for other in others)
        clear = [other for other in mine if other.id != task.id and not other.span.meets(task.span)]
        for against in obstacles(person, task, clear, grown_up_there=grown_up, limits=limits):
            plays = against == "plays"
            personal = against.startswith(("a minor", "age "))
            text = f"{person.name}, {_words(task)}: {against}."
            yield Caution(person.id, (task.id,), text, double=plays, personal=personal)


def _words(task: Task) -> str:
    return f"{task.duty.replace('_', ' ')} at {task.place}"


def needs_relief(task: Task, limits: Limits) -> bool:
    """The shift is longer than what one person does in one go: plan somebody for a break."""
    return task.span.minutes > limits.in_one_go
