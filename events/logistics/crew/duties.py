"""What people do at an event: each duty with its usual hours, how many it takes, and what to tell them. Pure.

The figures are common practice and have no source, except where a document is named. They are only where a plan starts
from: every shift can be changed.
"""

from collections.abc import Mapping
from dataclasses import dataclass

PRACTICE = "Common practice, no source"
SPOTTERS_RULE = "Competition Manual 2025, 1.12"
OWN_DIVISION_RULE = "Competition Manual 2025, 1.12.E; Official Rules 2025, 801.02.G"
WATCHER_SOURCE = "Suspending an event, guidance of 2023"
STEWARD_SOURCE = "Instructions for road stewards of running events: 18 years or older"

CHECKIN_OPENS, CHECKIN_CLOSES = "checkin_opens", "checkin_closes"
FIRST_START, LAST_START, ROUND_END = "first_start", "last_start", "round_end"
ANCHORS: Mapping[str, str] = {
    CHECKIN_OPENS: "check-in opens",
    CHECKIN_CLOSES: "check-in closes",
    FIRST_START: "first start",
    LAST_START: "last start",
    ROUND_END: "expected end of the round",
}
OFFICIAL, FIRST_AID = "official", "first_aid"
CERTIFICATES: Mapping[str, str] = {
    OFFICIAL: "certified official",
    FIRST_AID: "first aid",
    "driving": "driving",
    "children": "work with children",
    "other": "other",
}
FARTHEST_MINUTES = 24 * 60


@dataclass(frozen=True, slots=True)
class Hours:
    """From so many minutes after one moment of a round to so many after another; before it they are negative."""

    from_anchor: str
    from_minutes: int
    to_anchor: str
    to_minutes: int


@dataclass(frozen=True, slots=True)
class Duty:
    """One kind of work. `rules`: whoever does it decides for players. `road`: it stands where vehicles pass."""

    code: str
    label: str
    hours: Hours
    people: int
    task: str
    certificate: str = ""
    rules: bool = False
    road: bool = False
    source: str = PRACTICE


_ROUND = Hours(FIRST_START, -10, ROUND_END, 0)

DUTIES: Mapping[str, Duty] = {duty.code: duty for duty in (
    Duty("check_in", "check-in", Hours(CHECKIN_OPENS, -30, CHECKIN_CLOSES, 15), 2,
         "Find each player, take what is owed, hand out the pack, mark who is there. Close on time."),
    Duty("starter", "starter", Hours(FIRST_START, -20, LAST_START, 10), 1,
         "Call each group to its tee, say its hole or time, note who is missing, keep the order of the sheet.",
         rules=True),  # who comes too late to the starter gets two throws (Competition Manual 2025, 1.04.E)
    Duty("marshal", "marshal", _ROUND, 1,
         "Walk the zone. Rule where a group asks. Write down what was asked and what you ruled. Tell of delays.",
         certificate=OFFICIAL, rules=True),
    Duty("spotter", "spotter", _ROUND, 1,
         "Stand where every flight is seen and no disc can hit you. Signal when it is clear. Mark where a disc comes to"
         " rest. You do not rule.", source=SPOTTERS_RULE),
    Duty("steward", "path or road steward", _ROUND, 1,
         "Face the traffic or the path, stay out of the road, warn people and players. No earphones. You do not direct"
         " public traffic: that is for the road authority or the police.", road=True, source=STEWARD_SOURCE),
    Duty("card_room", "card room", Hours(FIRST_START, 30, ROUND_END, 45), 2,
         "Take in each card, write the time, read it back with the group, type it, ask where two entries differ."),
    Duty("equipment", "equipment desk", Hours(FIRST_START, -60, FIRST_START, 30), 1,
         "Weigh and look over discs that are brought or drawn for a spot check. Nobody is passed on a guess."),
    Duty("weather", "weather watcher", Hours(FIRST_START, -60, ROUND_END, 0), 1,
         "Only watch the weather: read it on the hour, look up the lightning, tell the director at once.",
         source=WATCHER_SOURCE),
    Duty("medical", "first aid", Hours(FIRST_START, -30, ROUND_END, 15), 1,
         "Be where the sheet says, reachable by radio. Do what your licence covers, call the ambulance for the rest.",
         certificate=FIRST_AID),
    Duty("parking", "parking and spectators", Hours(FIRST_START, -90, FIRST_START, 0), 1,
         "Keep the ambulance gate and its way free. Show where to park and where spectators may stand.", road=True),
    Duty("water", "water and food", Hours(FIRST_START, -15, ROUND_END, 0), 1,
         "Fill the points before they are empty, note the hour at each point, tell the desk what runs low."),
    Duty("build", "building up, clearing away", Hours(FIRST_START, -180, FIRST_START, -60), 2,
         "Load and unload by the lists of the boxes. Lift with two. Tell the desk what is missing or broken."),
    Duty("other", "other", _ROUND, 1, ""),
)}  # fmt: skip


def label_of(code: str) -> str:
    return DUTIES[code].label if code in DUTIES else code
