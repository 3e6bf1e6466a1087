"""What in bags waits for the director, for the day page."""

from dataclasses import dataclass

from events.bags.lists import list_in_use, not_listed
from events.bags.models import Bag, Question, SpotCheck
from events.setup.models import Event


@dataclass(frozen=True, slots=True)
class Waiting:
    """`questioned`: the entry whose piece was questioned first and waits, and that round's number, if there is one.
    `questions`: pieces questioned and not decided; `undrawn`: spot checks whose pool is frozen and that are not
    drawn; `models`: not on the list and not decided; `no_list`: bags are declared, and no list to look them up in."""

    questions: int
    undrawn: int
    models: int
    no_list: bool
    questioned: tuple[int, int | None] | None = None


def waiting_of(event: Event) -> Waiting:
    """3 queries while no bag was touched, 9 at most."""
    open_ones = Question.objects.filter(entry__event=event, approved__isnull=True).order_by("pk")
    asked = list(open_ones.values_list("entry", "round__number"))
    questions, first = len(asked), asked[0] if asked else None
    undrawn = SpotCheck.objects.filter(round__event=event, result__isnull=True).count()
    if not Bag.objects.filter(entry__event=event).exists():
        return Waiting(questions, undrawn, 0, no_list=False, questioned=first)
    if list_in_use(event) is None:
        return Waiting(questions, undrawn, 0, no_list=True, questioned=first)
    models = sum(word is None for _, _, word in not_listed(event))
    return Waiting(questions, undrawn, models, no_list=False, questioned=first)
