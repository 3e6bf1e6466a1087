"""How far off a storm is when the signal must be given, from its speed and the longest walk to a shelter."""

from dataclasses import dataclass

from events.course.hole_queries import shelters_of
from events.safety.computed import Computed
from events.safety.lightning import lead_distance, lightning_set
from events.safety.shown import distance_words
from events.safety.units import NotAReading, speed_ms
from events.safety.weather import chosen_sets
from events.setup.models import Event
from events.setup.queries import rulebook_for


@dataclass(frozen=True, slots=True)
class Lead:
    """`longest`: minutes of the longest walk that is known; `unknown`: holes whose way to a shelter is not known.
    `distance` is "" without a storm speed or a walk, and `problem` says what is wrong with what was typed.
    """

    storm: str
    longest: int | None
    unknown: int
    distance: str
    computed: Computed | None
    problem: str


def lead_of(event: Event, storm: str) -> Lead:
    """1 query; 2 more once a storm speed is typed. A hole without a known way makes no walk of nothing."""
    shelters, without = shelters_of(event)
    walks = [shelter.longest_minutes for shelter in shelters]
    known = [walk for walk in walks if walk is not None]
    unknown = len(without) + sum(len(s.holes) for s in shelters if s.longest_minutes is None)
    longest = max(known, default=None)
    storm = storm.strip()[:20]
    if not storm:
        return Lead("", longest, unknown, "", None, "")
    if longest is None:
        return Lead(storm, None, unknown, "", None, "Write the walk to its shelter at each hole first.")
    try:
        speed = float(speed_ms(storm))
    except NotAReading as problem:
        return Lead(storm, longest, unknown, "", None, str(problem))
    limits = lightning_set(rulebook_for(event), chosen_sets(event).get("lightning", ""))
    computed = lead_distance(limits.strike_m, speed, longest)
    return Lead(storm, longest, unknown, distance_words(computed.value or 0, event.units), computed, "")
