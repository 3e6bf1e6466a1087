"""Starting points for hazard notes: common dangers of a course, ready to be made true for this one. Pure.

Common practice, no source; the fields follow the ordinary hazard note of outdoor events. None of them says what
is so on this course: each is only typed in advance.
"""

from collections.abc import Mapping
from dataclasses import dataclass

RISKS: Mapping[str, str] = {"player": "players", "spectator": "spectators", "public": "the public"}
SEVERITIES: Mapping[str, str] = {
    "minor": "minor: first aid",
    "serious": "serious: an ambulance",
    "life": "danger to life",
}
SEVERE: Mapping[str, str] = {"life": "Danger to life", "serious": "Serious danger", "minor": "Minor danger"}
EFFECTS: Mapping[str, str] = {
    "": "none",
    "out_of_bounds": "out of bounds",
    "hazard": "hazard",
    "relief": "relief area",
    "casual": "casual area",
    "drop_zone": "drop zone",
}
PRINTED: Mapping[str, str] = {
    "card": "score card",
    "tee_sign": "tee sign",
    "meeting": "players’ meeting",
    "board": "board",
}
CONTROLS = (
    "spotter with a flag",
    "wait until it is clear",
    "closed path",
    "warning sign",
    "rope or fence",
    "go around, never across",
    "an adult goes with the group",
    "no retrieval: leave the disc",
)


@dataclass(frozen=True, slots=True)
class Start:
    """A hazard note typed in advance; `at_risk` and `printed` hold keys of RISKS and PRINTED."""

    name: str
    what: str
    at_risk: tuple[str, ...]
    severity: str
    control: str
    printed: tuple[str, ...]
    effect: str = ""


STARTS: Mapping[str, Start] = {
    "juniors": Start(
        "juniors", "Junior groups on the course", ("player",), "serious",
        "an adult goes with the group; wait until they are out of reach", ("meeting",),
    ),
    "roads": Start(
        "road", "Road with traffic", ("player", "public"), "life",
        "wait until the road is clear; spotter with a flag", ("card", "tee_sign", "meeting"), "out_of_bounds",
    ),
    "water": Start(
        "water", "Water: deep, cold or with steep banks", ("player",), "life",
        "no retrieval: leave the disc", ("tee_sign", "meeting"), "out_of_bounds",
    ),
    "cliffs": Start(
        "cliff or steep drop", "Steep drop", ("player", "spectator"), "life",
        "rope or fence; go around, never across", ("card", "tee_sign", "meeting"),
    ),
    "power_lines": Start(
        "power line", "Power line over the fairway", ("player", "public"), "life",
        "never climb or reach for a disc; a fallen line: stay far away and call emergency services",
        ("tee_sign", "meeting"),
    ),
    "insects": Start(
        "insects", "Stinging insects or ticks", ("player", "spectator"), "serious",
        "keep away from the nest; tell the desk of allergies", ("tee_sign", "meeting"), "relief",
    ),
    "plants": Start(
        "poisonous plants", "Poisonous plants in the rough", ("player", "spectator"), "minor",
        "do not touch; long sleeves", ("tee_sign", "meeting"), "relief",
    ),
    "crossing": Start(
        "crossing fairways", "Fairways cross or lie side by side", ("player", "spectator"), "serious",
        "wait until it is clear; call out", ("card", "tee_sign", "meeting"),
    ),
    "paths": Start(
        "public path", "Public path along or across the fairway", ("public",), "serious",
        "wait until it is clear; spotter with a flag", ("card", "tee_sign", "meeting", "board"),
    ),
}  # fmt: skip

# On every page of the course; parallels in what published guidance says of itself (J Athl Train 2007, FEMA 502-2).
CAUTION = (
    "What is noted here does not guarantee protection. Local authorities, the land owner and the emergency services "
    "come first. The tournament director may stop play at any time."
)
