"""A hole's description as short sentences for players: on the hole's page, the tee sign and the booklet. Pure."""

from collections.abc import Iterator
from dataclasses import dataclass

from events.course.hole_details import (
    PURPOSES,
    TARGET_KINDS,
    TEE_KINDS,
    Area,
    DropZone,
    HoleDetails,
    Mandatory,
    OutOfBounds,
)
from events.setup.figures import MINUS

USUAL_RELIEF_CM = 100  # Official Rules 2025, 806.02
PASSES = {
    "left": "pass it on the left",
    "right": "pass it on the right",
    "between": "pass between the markers",
}
# Lengths that the rules convert themselves (Official Rules 2025, Appendix D).
FEET_AND_INCHES = {1000: "32 ft 10 in", 300: "9 ft 10 in", 200: "6 ft 6 in", 100: "3 ft 3 in"}


@dataclass(frozen=True, slots=True)
class Sentence:
    """What it is about ("Mandatory") and what holds."""

    heading: str
    text: str


def length_words(cm: int, units: str) -> str:
    """1 m, 2.5 m; in feet by the table of the rules where it has the length, else 8.2 ft."""
    if units == "m":
        return f"{cm / 100:g} m"
    return FEET_AND_INCHES.get(cm) or f"{cm / 30.48:.1f} ft"


def sentences(details: HoleDetails, units: str, *, two_metre_on_course: bool = False) -> tuple[Sentence, ...]:
    """What players have to know of the hole, in the order in which a sign has it; `units` "m" or "ft"."""
    return (*_areas(details, units), *_rest(details, units, two_metre_on_course))


def _areas(details: HoleDetails, units: str) -> Iterator[Sentence]:
    for mandatory in details.mandatories:
        yield Sentence("Mandatory", _mandatory(mandatory))
    for area in details.out_of_bounds:
        yield Sentence("Out of bounds", _out_of_bounds(area, units))
    for hazard in details.hazards:
        yield Sentence("Hazard", f"{_area(hazard)} One penalty throw; play from where the disc lies.")
    for relief in details.relief:
        yield Sentence("Relief area", f"{_area(relief)} Played as out of bounds without penalty.")
    for casual in details.casual:
        yield Sentence("Casual area", f"{_area(casual)} Free relief.")
    for zone in details.zones:
        yield Sentence(f"Drop zone {zone.name}", _zone(zone))


def _rest(details: HoleDetails, units: str, on_course: bool) -> Iterator[Sentence]:
    if two_metre := _two_metre(details, units, on_course):
        yield Sentence("Two-metre rule", two_metre)
    if details.spotter:
        yield Sentence("Spotter", "Wait for the spotter’s signal.")
    if details.tee_kind == "line":
        depth = length_words(300, units)
        yield Sentence("Tee", f"Line or markers: up to {depth} behind the line.")
    if details.target_kind == "object":
        yield Sentence("Target", "An object, not a basket.")
    if details.elevation_m:
        yield Sentence("Elevation", climb_words(details.elevation_m, units))
    if details.shelter:
        minutes = "" if details.shelter_minutes is None else f", {details.shelter_minutes} min"
        yield Sentence("Shelter", f"{details.shelter}{minutes}.")
    if details.notes:
        yield Sentence("Notes", details.notes)


def climb_words(metres: int, units: str) -> str:
    """+12 m up, −40 ft down; the sign is a true minus."""
    shown = abs(metres) if units == "m" else round(abs(metres) / 0.3048)
    return f"{shown} {units} up (+{shown})" if metres > 0 else f"{shown} {units} down ({MINUS}{shown})"


def _stop(text: str) -> str:
    return text if text.endswith((".", "!", "?")) else f"{text}."


def _area(area: Area) -> str:
    return _stop(", ".join(filter(None, (area.area, area.marking))))


def _mandatory(row: Mandatory) -> str:
    side = PASSES[row.side]
    plane = f" Plane: {_stop(row.plane)}" if row.plane else ""
    missed = f"drop zone {row.zone}" if row.zone else "previous lie"
    return f"{row.marker}: {side}.{plane} Missed: {missed}, one penalty throw."


def _out_of_bounds(row: OutOfBounds, units: str) -> str:
    area = _stop(", ".join(filter(None, (row.boundary, row.marking))))
    relief = length_words(row.relief_cm or USUAL_RELIEF_CM, units)
    usual = f"previous lie, or up to {relief} from where it was last in bounds"
    options = {
        "usual": usual,
        "usual_or_zone": f"{usual}, or drop zone {row.zone}",
        "usual_or_line": f"{usual}, or up to {relief} from the nearest point of the line",
        "zone_only": f"drop zone {row.zone} only",
        "previous_only": "previous lie only",
        "island": f"island: off it, {f'drop zone {row.zone}' if row.zone else 'previous lie'}",
    }[row.options]
    return f"{area} Next: {options}. One penalty throw."


def _zone(row: DropZone) -> str:
    place = f"{_stop(row.place)} " if row.place else ""
    duty = {True: "Required", False: "Optional", None: "Not said whether optional"}[row.required]
    throws = {1: ", one penalty throw", 2: ", two penalty throws", None: ""}[row.penalty]
    return f"{place}{duty} after: {PURPOSES[row.purpose]}{throws}."


def _two_metre(details: HoleDetails, units: str, on_course: bool) -> str:
    height = length_words(200, units)
    if details.two_metre == "objects":
        return f"In force for {_stop(details.two_metre_for)} Over {height}: one penalty throw."
    in_force = details.two_metre == "on" or (on_course and details.two_metre == "")
    if in_force:
        return f"In force: over {height} above the ground, one penalty throw."
    return "Not in force on this hole." if on_course else ""


def kinds(details: HoleDetails) -> str:
    """tee pad · basket, standard class; empty where neither is known."""
    return " · ".join(
        filter(None, (TEE_KINDS.get(details.tee_kind, ""), TARGET_KINDS.get(details.target_kind, "")))
    )
