"""Lines of the day page about cuts and ties: who plays on, and who must play off."""

from collections.abc import Collection, Iterator

from django.urls import reverse

from desk.safety_lines import Line
from events.setup.models import Event
from scoring.playoffs.queries import ties_of
from scoring.standings.cutting import CutState
from scoring.standings.models import Cut
from scoring.standings.queries import standings


def tie_lines(event: Event, done: Collection[int], *, all_done: bool) -> Iterator[Line]:
    """What waits once the rounds before it are `done` (numbers): ties for first place after the last one, cuts before.

    1 query, and the 12 of the standings when all rounds are done or a round with a cut after it is.
    """
    if event.over_at is not None:
        return
    cuts = set(Cut.objects.filter(division__event=event).values_list("after_round", flat=True))
    if not all_done and not cuts & set(done):
        return
    url = reverse("playoffs:overview", args=[event.slug])
    found = standings(event)
    for text in ties_of(found):
        yield Line(text.rstrip("."), url)
    for division in found:
        for cut in division.cuts:
            if cut.differs:
                yield Line(f"{division.code}: cards changed since the list of the cut went up", url)
            elif cut.state is CutState.MADE and not cut.posted and not all_done:
                yield Line(
                    f"{division.code}: the cut after round {cut.after_round} is made: post who plays on", url
                )
