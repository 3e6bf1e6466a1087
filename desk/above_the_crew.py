"""What the roster may not look up itself: who plays no more because of a cut."""

from events.setup.models import Event, Round
from scoring.standings.after_cut import out_before
from scoring.standings.models import Cut


def out_of(event: Event) -> dict[int, int]:
    """Entry id → the last round that somebody plays who missed a cut or declined (1 query, 14 more for each cut)."""
    cuts = Cut.objects.filter(division__event=event).values_list("after_round", flat=True)
    found: dict[int, int] = {}
    for after in sorted(set(cuts)):
        following = Round.objects.filter(event=event, number=after + 1).select_related("event").first()
        if following is not None:
            for entry in out_before(following)[0]:
                found.setdefault(entry, after)
    return found
