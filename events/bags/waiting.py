"""What in bags waits for the director, for the day page."""

from dataclasses import dataclass

from events.bags.lists import list_in_use, not_listed
from events.bags.models import Bag, Question, SpotCheck
from events.setup.models import Event


@dataclass(frozen=True, slots=True)
class Waiting:
    """`questions`: pieces questioned and not decided; `undrawn`: spot checks whose pool is frozen and that are not
    drawn; `models`: not on the list and not decided; `no_list`: bags are declared, and no list to look them up in."""

    questions: int
    undrawn: int
    models: int
    no_list: bool


def waiting_of(event: Event) -> Waiting:
    """3 queries while no bag was touched, 9 at most."""
    questions = Question.objects.filter(entry__event=event, approved__isnull=True).count()
    undrawn = SpotCheck.objects.filter(round__event=event, result__isnull=True).count()
    if not Bag.objects.filter(entry__event=event).exists():
        return Waiting(questions, undrawn, 0, no_list=False)
    if list_in_use(event) is None:
        return Waiting(questions, undrawn, 0, no_list=True)
    models = sum(word is None for _, _, word in not_listed(event))
    return Waiting(questions, undrawn, models, no_list=False)
