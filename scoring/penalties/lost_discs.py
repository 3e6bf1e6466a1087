"""Lost discs that had been taken: the rulings that give their throws back, and where one is written."""

from events.entries.models import Entry
from events.logistics.queries import TAKEN_KEY
from events.logistics.taken import GivenBack
from events.setup.models import Event, Round
from events.setup.queries import rulebook_for
from scoring.cards.models import Ruling
from scoring.penalties.catalogue import catalogue
from scoring.penalties.pages import helper_url
from scoring.penalties.questions import Found, ends
from scoring.penalties.situations import SITUATIONS


def given_back(event: Event) -> list[GivenBack]:
    """Those that stand (2 queries). They are told by the name of the penalty, since the section is that of a lost disc
    too."""
    name = catalogue(rulebook_for(event), event.tier)[TAKEN_KEY].name
    rulings = Ruling.objects.filter(
        round__event=event, what__startswith=name, throws__lt=0, taken_back_at=None
    )
    return [GivenBack(*row) for row in rulings.order_by("pk").values_list("entry_id", "round_id")]


def ruling_page(round: Round, entry: Entry, hole: str) -> str:
    """The helper with this ruling chosen, on `hole` where it is known."""
    way = next(
        walked.way
        for walked in ends(SITUATIONS)
        if isinstance(walked.node, Found) and walked.node.keys == (TAKEN_KEY,)
    )
    return helper_url(round.event, round, entry, hole, [way])
