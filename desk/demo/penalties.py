"""The demo's calls, through the services: warnings, what came after a second one, throws in and beside the card."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta

from desk.demo.making import ACTOR, Demo
from events.course.queries import LayoutFacts
from events.draw.queries import GroupView
from events.entries.models import Entry
from events.setup.models import Round
from scoring.penalties.models import Warning
from scoring.penalties.services import Told, write_penalty
from scoring.penalties.warning_acts import take_back_warning, warn_for_event

MINUTES_A_HOLE = 12  # by then the slowest group of the demo has played it
LATE_WRITING = timedelta(minutes=6)  # from the hole to the director's page


@dataclass(frozen=True, slots=True)
class Seen:
    """What a group called: `group` counts the groups of the round, `player` those on its card, `after` the holes played
    before; `way` leads through the questions of the penalties page. `in_card`: whether the group wrote the throw."""

    group: int
    player: int
    after: int
    way: str
    what: str
    in_card: bool | None = None
    taken_back: str = ""


SEEN: Mapping[int, tuple[Seen, ...]] = {
    1: (
        Seen(0, 1, 2, "time", "over a minute at the lie, nobody in the way"),
        Seen(0, 1, 5, "time", "again, before a short putt", in_card=False),
        Seen(1, 0, 3, "courtesy-1", "spoke on the telephone while another threw"),
        Seen(2, 0, 4, "practice-1", "a second disc from the tee after the first hit a tree", in_card=True),
        Seen(3, 1, 1, "courtesy-1", "shouted during a throw", taken_back="It came from the next fairway."),
    ),
    2: (
        Seen(1, 1, 6, "mandatory-1", "passed the marker on the wrong side", in_card=True),
        Seen(2, 1, 2, "stance-1", "front foot on the rim of the pad", in_card=True),
        Seen(2, 0, 3, "courtesy-1", "walked ahead of the group"),
    ),
    3: (Seen(0, 0, 4, "time", "waited for the wind, over a minute"),),
}
CONDUCT_AFTER = 2  # the round after which the director warns somebody for the whole event
CONDUCT = "Kicked the bin beside the tee of the last hole and shouted at the volunteer who asked about it."


def make_calls(
    demo: Demo, round_: Round, groups: Sequence[GroupView], layouts: Mapping[int, LayoutFacts]
) -> None:
    """Write the calls of a round whose hole has been played by now; the last round has none that costs a throw."""
    for number, seen in enumerate(SEEN.get(round_.number, ())):
        group = groups[seen.group % len(groups)]
        if len(group.members) > seen.player:
            _call(demo, round_, group, layouts[group.layout], seen, number)


def _call(demo: Demo, round_: Round, group: GroupView, layout: LayoutFacts, seen: Seen, number: int) -> None:
    at = group.starts_at + timedelta(minutes=MINUTES_A_HOLE * (seen.after + 1)) + LATE_WRITING
    if at > demo.now:
        return
    player = group.members[seen.player].entry_id
    others = [member.listed for member in group.members if member.entry_id != player]
    hole = layout.holes[(group.position - 1 + seen.after) % len(layout.holes)]
    entry = Entry.objects.select_related("event", "person", "division").get(pk=player)
    told = Told(
        ways=(seen.way,),
        hole=hole.label,
        what=seen.what,
        caller=others[0] if others else "the marshal of the zone",
        confirmer=others[1] if len(others) > 1 else "",
        in_card=seen.in_card,
    )
    key = demo.key("called", round_.number, number)
    written = write_penalty(entry=entry, round=round_, told=told, submission=key, actor=ACTOR, now=at)
    if seen.taken_back:
        later = demo.at(at + LATE_WRITING)
        for warning in written.warnings:
            take_back_warning(warning=warning, reason=seen.taken_back, actor=ACTOR, now=later)


def warn_somebody(demo: Demo, round_: Round) -> Warning | None:
    """The director's own warning, which lasts for all rounds and playoffs."""
    if round_.number != CONDUCT_AFTER:
        return None
    entry = (
        Entry.objects.filter(seats__sheet__round=round_)
        .select_related("event", "person", "division")
        .order_by("-pk")
        .first()
    )
    if entry is None:
        return None
    at = demo.at(round_.first_start_at + timedelta(hours=3, minutes=50))
    return warn_for_event(entry=entry, what=CONDUCT, submission=demo.key("conduct"), actor=ACTOR, now=at)
