"""Why prizes are too early: places that are not final, cards that nobody verified."""

from collections import Counter
from collections.abc import Sequence

from django.db.models import Exists, OuterRef

from events.draw.models import Seat, Sheet
from events.setup.models import Event
from scoring.cards.models import Card, StandingLine
from scoring.playoffs.ties import tied_for_first
from scoring.standings.queries import DivisionStandings
from scoring.standings.tallying import Group
from scoring.standings.wording import undecided_text

NOBODY_FINISHED = "nobody finished"
NAMED = 3  # players whose places are open are named up to so many


def too_early(event: Event, found: Sequence[DivisionStandings]) -> dict[str, str]:
    """Division code → why its places are not final: prizes follow the verified results (Competition Manual 2025,
    1.10.G). 1 query."""
    unverified = _unverified(event)
    return {each.code: words for each in found if (words := _not_yet(each, unverified[each.code]))}


def _not_yet(division: DivisionStandings, unverified: int) -> str:
    if division.rows and all(row.standing.group in (Group.DNF, Group.DQ) for row in division.rows):
        return NOBODY_FINISHED
    if division.waiting and division.begun:
        names = ", ".join(row.standing.name for row in division.waiting[:NAMED])
        return f"no place yet for {names}{' and others' if len(division.waiting) > NAMED else ''}"
    if division.undecided:
        return undecided_text(division.undecided)
    if not division.finished:
        return "cards are still out"
    if unverified:
        return f"{unverified} {'card is' if unverified == 1 else 'cards are'} not verified"
    return "a tie for first place is not played off" if tied_for_first(division) else ""


def _unverified(event: Event) -> Counter[str]:
    """Cards with a score that nobody has verified, by the divisions that stand on them (1 query)."""
    own = {"round": OuterRef("sheet__round")}
    scored = StandingLine.objects.filter(entry=OuterRef("entry"), played__gt=0, **own)
    verified = Card.objects.filter(group_number=OuterRef("group__number"), verified_at__isnull=False, **own)
    seats = Seat.objects.filter(sheet__round__event=event, sheet__state=Sheet.State.PUBLISHED)
    rows = seats.filter(Exists(scored), ~Exists(verified)).order_by()
    cards = rows.values_list("entry__division__code", "sheet__round", "group__number").distinct()
    return Counter(code for code, _, _ in cards)
