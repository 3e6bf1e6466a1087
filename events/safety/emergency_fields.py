"""What an emergency plan of a venue carries, and which of the published components it has. Pure.

The twelve components: J Athl Train 2019;54(1):99-105, Table 3. The fields follow from them and from J Athl Train
2002;37(1):99-104 (communication, transport, venue map) and 2013;48(2):258-270 (lightning: shelters, who watches).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

SOURCE = "J Athl Train 2019;54(1):99-105, Table 3"
A_YEAR = timedelta(days=366)
LONGEST = 600


@dataclass(frozen=True, slots=True)
class Field:
    """One field of the plan; `lines` is how much is written there, `day` a date."""

    key: str
    label: str
    help: str = ""
    lines: int = 1
    day: bool = False


GROUPS: Mapping[str, tuple[Field, ...]] = {
    "Venue": (
        Field("venue", "Venue"),
        Field("address", "Street address", "As an ambulance finds it", 2),
        Field("gates", "Gates", "Each with its coordinates", 3),
        Field("ambulance_gate", "Gate for ambulances", "Where its key is; who meets the ambulance", 2),
        Field("map", "Where the map of the venue hangs"),
    ),
    "Calling for help": (
        Field("emergency_number", "Emergency number"),
        Field("communication", "How staff reach each other", "Radio channel or telephone", 2),
        Field("hospital", "Nearest hospital", lines=2),
        Field("transport", "Way to the hospital", "Who drives, and when only an ambulance does", 2),
        Field("may_stop", "Who may call a stop"),
    ),
    "Equipment and places": (
        Field("aed", "Defibrillator", "Where it is: first shock within 3 minutes (Curr Sports Med Rep 2021;20(8))"),
        Field("first_aid", "First-aid kits"),
        Field("capacity", "Shelters", "How many people each holds", 3),
        Field("muster", "Where everybody meets"),
    ),
    "People": (
        Field("lead", "In command", "Name and telephone or channel, here and below"),
        Field("deputy", "Deputy"),
        Field("chain", "Who follows if neither is there"),
        Field("weather", "Watches the weather"),
        Field("communications", "Speaks for the event"),
        Field("medical", "First aid or medical"),
        Field("marshals", "Marshals, zone by zone", lines=3),
        Field("parking", "Spectators and parking"),
    ),
    "Keeping it alive": (
        Field("made_with", "Made together with", "Ambulance service, safety officials, medical staff, owner", 2),
        Field("given_on", "Gone through with all staff on", day=True),
        Field("rehearsed_on", "Last rehearsed on", day=True),
        Field("medical_review", "Who of the medical cover took part"),
        Field("documenting", "What is written down afterwards", "And who keeps it", 2),
        Field("posted", "Where it hangs", "Every venue"),
    ),
}  # fmt: skip
FIELDS: Mapping[str, Field] = {field.key: field for group in GROUPS.values() for field in group}


@dataclass(frozen=True, slots=True)
class Component:
    """One of the twelve; `lacks` says in words what is missing, "" where it is there."""

    name: str
    lacks: str


def components(facts: Mapping[str, str], *, updated_on: date | None, on: date) -> tuple[Component, ...]:
    """The twelve published components in their order, as the plan has them on the day `on`.

    `updated_on` None: nothing is written yet. A yearly act counts for 366 days before `on`.
    """
    written = updated_on is not None
    return (
        Component("written", "" if written else "nothing is written yet"),
        _component(
            "made with ambulance service, safety officials, medical staff and owner", facts, "made_with"
        ),
        _yearly("gone through with all staff, every year", facts.get("given_on", ""), on),
        _yearly("rehearsed, every year", facts.get("rehearsed_on", ""), on),
        _yearly("brought up to date, every year", updated_on.isoformat() if updated_on else "", on),
        _component("people, duties and chain of command", facts, "lead", "deputy", "chain", "medical"),
        _component("place of emergency equipment", facts, "aed", "first_aid"),
        _component(
            "contacts, address and location", facts, "emergency_number", "address", "gates", "ambulance_gate"
        ),
        _component("what is documented afterwards", facts, "documenting"),
        _component("who of the medical cover takes part", facts, "medical_review"),
        _component("made for this venue", facts, "venue"),
        _component("posted at every venue", facts, "posted"),
    )


def _component(name: str, facts: Mapping[str, str], *keys: str) -> Component:
    missing = [FIELDS[key].label for key in keys if not facts.get(key, "").strip()]
    return Component(name, f"missing: {', '.join(missing)}" if missing else "")


def _yearly(name: str, day: str, on: date) -> Component:
    if not day:
        return Component(name, "missing: no date")
    found = date.fromisoformat(day)
    if found > on:
        return Component(name, f"{found.day} {found:%B %Y} comes after the event's first day")
    old = on - found > A_YEAR
    return Component(name, f"last on {found.day} {found:%B %Y}: over a year ago" if old else "")


def faults(facts: Mapping[str, str]) -> list[str]:
    """What cannot be kept: unknown names, dates that are none, texts that are too long."""
    found = [f"{key} is no field of the plan." for key in facts if key not in FIELDS]
    for key, text in facts.items():
        field = FIELDS.get(key)
        if field is None or not text:
            continue
        if len(text) > LONGEST:
            found.append(f"{field.label}: {len(text)} characters; at most {LONGEST} fit.")
        if field.day and not _is_day(text):
            found.append(f"{field.label}: write a date.")
    return found


def _is_day(text: str) -> bool:
    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return True
