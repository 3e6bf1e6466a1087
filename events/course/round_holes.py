"""How many holes a round has: the most of any layout that is played in it."""

from django.db.models import Count

from events.course.models import LayoutUse
from events.setup.models import Event


def most_holes(event: Event) -> dict[int, int]:
    """Round id → holes of its longest layout; without a layout, or with an empty one, it is not there (1 query)."""
    uses = LayoutUse.objects.filter(round__event=event).values("round_id", "layout_id")
    counted = uses.annotate(holes=Count("layout__layout_holes", distinct=True)).order_by(
        "round_id", "layout_id"
    )
    found: dict[int, int] = {}
    for row in counted:
        found[row["round_id"]] = max(found.get(row["round_id"], 0), row["holes"])
    return {pk: holes for pk, holes in found.items() if holes}
