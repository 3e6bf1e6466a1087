"""A hole as the rules need it described: what is kept, what cannot be, and what to look at again. Pure.

`HoleDetails` is kept as one JSON object per hole of a layout. Its parts are always read, checked, versioned and
printed together and never searched one by one, so rows of six further tables would only add joins; this module
is the one place that reads and checks the object.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, fields
from typing import Any

LONGEST_NOTES = 1200
MOST_OF_A_KIND = 12
FARTHEST_SHELTER_MINUTES = 120
HIGHEST_CLIMB_M = 200

TEE_KINDS: Mapping[str, str] = {"pad": "tee pad", "line": "tee line or markers"}
TARGET_KINDS: Mapping[str, str] = {
    "championship": "basket, championship class",
    "standard": "basket, standard class",
    "basic": "basket, basic class",
    "object": "object target",
}
SIDES: Mapping[str, str] = {
    "left": "left",
    "right": "right",
    "between": "between",
}
USUAL = "usual"
OPTIONS: Mapping[str, str] = {
    USUAL: "usual",
    "usual_or_zone": "usual or drop zone",
    "usual_or_line": "usual or nearest on line",
    "zone_only": "drop zone only",
    "previous_only": "previous lie only",
    "island": "island",
}
RESTRICTED = frozenset({"zone_only", "previous_only", "island"})
WITH_ZONE = frozenset({"usual_or_zone", "zone_only"})
PURPOSES: Mapping[str, str] = {
    "mandatory": "missed mandatory",
    "out_of_bounds": "out of bounds",
    "lost": "lost disc",
    "abandoned": "abandoned throw",
}
TWO_METRE: Mapping[str, str] = {
    "on": "in force",
    "off": "not in force",
    "objects": "in force for some objects",
}
PENALTIES = (1, 2)


@dataclass(frozen=True, slots=True)
class Mandatory:
    """What restricts the way to the target. `zone` names a drop zone of the hole; empty: previous lie (804.01)."""

    marker: str = ""
    side: str = ""
    plane: str = ""
    zone: str = ""
    zone_cm: int | None = None
    waiver: str = ""


@dataclass(frozen=True, slots=True)
class OutOfBounds:
    """An area and how it is marked; `relief_cm` None: as the rules have it (806.02). Its line belongs to it."""

    boundary: str = ""
    marking: str = ""
    options: str = USUAL
    zone: str = ""
    relief_cm: int | None = None
    approval: str = ""


@dataclass(frozen=True, slots=True)
class Area:
    """A hazard (806.05), relief area (806.04) or casual area (803.01, 806.03)."""

    area: str = ""
    marking: str = ""


@dataclass(frozen=True, slots=True)
class DropZone:
    """Where play goes on from; `required` None: not said yet. The penalty is one or two throws."""

    name: str = ""
    purpose: str = ""
    place: str = ""
    required: bool | None = None
    penalty: int | None = None


@dataclass(frozen=True, slots=True)
class HoleDetails:
    """Everything beside label, par, length, tee and target. None and "": not said, which is not the same as no."""

    tee_kind: str = ""
    target_kind: str = ""
    two_metre: str = ""  # empty: as on the whole course
    two_metre_for: str = ""
    elevation_m: int | None = None  # from tee to target, down is negative
    tee_at: str = ""
    target_at: str = ""
    spotter: bool | None = None
    shelter: str = ""
    shelter_minutes: int | None = None
    ambulance: str = ""
    notes: str = ""
    mandatories: tuple[Mandatory, ...] = ()
    out_of_bounds: tuple[OutOfBounds, ...] = ()
    hazards: tuple[Area, ...] = ()
    relief: tuple[Area, ...] = ()
    casual: tuple[Area, ...] = ()
    zones: tuple[DropZone, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """Plain JSON; fields that say nothing are left out."""
        return {name: value for name, value in asdict(self).items() if value not in (None, "", ())}


PARTS: Mapping[str, type] = {
    "mandatories": Mandatory,
    "out_of_bounds": OutOfBounds,
    "hazards": Area,
    "relief": Area,
    "casual": Area,
    "zones": DropZone,
}


def from_json(value: Mapping[str, Any]) -> HoleDetails:
    """What `as_json` wrote; names that are not known (of a newer version) are left out."""
    known = {field.name for field in fields(HoleDetails)}
    facts = {name: value[name] for name in value if name in known}
    for name, part in PARTS.items():
        facts[name] = tuple(_part(part, row) for row in facts.get(name, ()))
    return HoleDetails(**facts)


def _part(part: type, row: Mapping[str, Any]) -> Any:
    known = {field.name for field in fields(part)}
    return part(**{name: value for name, value in row.items() if name in known})


def coordinates(text: str) -> tuple[float, float]:
    """Latitude and longitude in degrees of "47.12345, −8.54321". Raises ValueError with a sentence."""
    plain = text.replace("\u2212", "-")
    found = re.fullmatch(r"\s*(-?\d{1,2}(?:\.\d+)?)\s*[,; ]\s*(-?\d{1,3}(?:\.\d+)?)\s*", plain)
    if found is None or abs(float(found[1])) > 90 or abs(float(found[2])) > 180:
        raise ValueError("Write latitude and longitude in degrees, as 47.12345, 8.54321.")
    return float(found[1]), float(found[2])


# --- What cannot be ----------------------------------------------------------------------------------------------


def faults(label: str, details: HoleDetails) -> list[str]:
    """What cannot be, each a sentence that names hole and field; nothing is saved before these are mended."""
    zones = [zone.name for zone in details.zones]
    found = [
        *_hole_faults(details),
        *_count_faults(details),
        *_mandatory_faults(details.mandatories, zones),
        *_out_of_bounds_faults(details.out_of_bounds, zones),
        *_zone_faults(details.zones),
        *_area_faults("hazard", details.hazards),
        *_area_faults("relief area", details.relief),
        *_area_faults("casual area", details.casual),
    ]
    return [f"Hole {label}, {sentence}" for sentence in found]


def _hole_faults(details: HoleDetails) -> Iterator[str]:
    for name, text in (("tee coordinates", details.tee_at), ("target coordinates", details.target_at)):
        if text:
            try:
                coordinates(text)
            except ValueError as problem:
                yield f"{name}: {problem}"
    choices = ((details.tee_kind, TEE_KINDS, "tee"), (details.target_kind, TARGET_KINDS, "target"))
    for value, known, name in (*choices, (details.two_metre, TWO_METRE, "two-metre rule")):
        if value and value not in known:
            yield f"{name}: {value} is not one of the choices."
    if details.two_metre == "objects" and not details.two_metre_for:
        yield "two-metre rule: name the objects."
    if details.elevation_m is not None and abs(details.elevation_m) > HIGHEST_CLIMB_M:
        yield f"elevation: more than {HIGHEST_CLIMB_M} m up or down cannot be."
    if details.shelter_minutes is not None:
        if not details.shelter:
            yield "shelter: minutes without a shelter. Name it."
        if not 0 <= details.shelter_minutes <= FARTHEST_SHELTER_MINUTES:
            yield f"shelter: the way takes 0 to {FARTHEST_SHELTER_MINUTES} minutes."
    if len(details.notes) > LONGEST_NOTES:
        yield f"notes: {len(details.notes)} characters; at most {LONGEST_NOTES} fit."


def _count_faults(details: HoleDetails) -> Iterator[str]:
    for name in PARTS:
        if len(getattr(details, name)) > MOST_OF_A_KIND:
            yield f"{name.replace('_', ' ')}: at most {MOST_OF_A_KIND}."


def _mandatory_faults(rows: Sequence[Mandatory], zones: Sequence[str]) -> Iterator[str]:
    for number, row in enumerate(rows, start=1):
        here = f"mandatory {number}"
        if not row.marker:
            yield f"{here}, marker: say what it is."
        if row.side not in SIDES:
            yield f"{here}, side: choose one."
        if row.zone and row.zone not in zones:
            yield f"{here}, drop zone: {row.zone} is not among the drop zones of this hole."
        if row.zone_cm is not None and not row.zone:
            yield f"{here}, distance: it belongs to a drop zone. Name it."
        if row.zone_cm is not None and row.zone_cm < 0:
            yield f"{here}, distance: it cannot be below 0."


def _out_of_bounds_faults(rows: Sequence[OutOfBounds], zones: Sequence[str]) -> Iterator[str]:
    for number, row in enumerate(rows, start=1):
        here = f"out of bounds {number}"
        if not row.boundary:
            yield f"{here}, boundary: say what it is."
        if row.options not in OPTIONS:
            yield f"{here}, options: choose one."
        if row.options in WITH_ZONE and not row.zone:
            yield f"{here}, drop zone: these options need one. Name it."
        if row.zone and row.zone not in zones:
            yield f"{here}, drop zone: {row.zone} is not among the drop zones of this hole."
        if row.relief_cm is not None and not 100 <= row.relief_cm <= 2000:
            yield f"{here}, relief: 1 m or more (Official Rules 806.02), and not over 20 m."


def _zone_faults(rows: Sequence[DropZone]) -> Iterator[str]:
    seen: set[str] = set()
    for number, row in enumerate(rows, start=1):
        here = f"drop zone {number}"
        if not row.name:
            yield f"{here}, name: give it one, as A."
        elif row.name in seen:
            yield f"{here}, name: {row.name} stands twice."
        seen.add(row.name)
        if row.purpose not in PURPOSES:
            yield f"{here}, purpose: choose one."
        if row.penalty is not None and row.penalty not in PENALTIES:
            yield f"{here}, penalty: one or two throws."


def _area_faults(kind: str, rows: Sequence[Area]) -> Iterator[str]:
    for number, row in enumerate(rows, start=1):
        if not row.area:
            yield f"{kind} {number}, area: say what it is."


# --- What to look at again ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Reach:
    """The figure of the rules that a warning rests on, in centimetres, and where it stands."""

    zone_reach_cm: int
    source: str


def warnings(label: str, details: HoleDetails, reach: Reach) -> list[str]:
    """What the rules ask for and what is not here. It is saved all the same: the director decides."""
    found = [
        *_mandatory_warnings(details, reach),
        *_out_of_bounds_warnings(details),
        *_zone_warnings(details),
    ]
    return [f"Hole {label}, {sentence}" for sentence in found]


def _mandatory_warnings(details: HoleDetails, reach: Reach) -> Iterator[str]:
    for number, row in enumerate(details.mandatories, start=1):
        here = f"mandatory {number}"
        if not row.plane:
            yield f"{here}: the plane is not described (Official Rules 804.01)."
        if row.zone and row.zone_cm is None:
            yield f"{here}: how far its drop zone is from the plane is not given."
        elif row.zone_cm is not None and row.zone_cm > reach.zone_reach_cm and not row.waiver:
            metres = reach.zone_reach_cm // 100
            yield f"{here}: its drop zone is over {metres} m from the plane and has no waiver ({reach.source})."


def _out_of_bounds_warnings(details: HoleDetails) -> Iterator[str]:
    for number, row in enumerate(details.out_of_bounds, start=1):
        here = f"out of bounds {number}"
        if not row.marking:
            yield f"{here}: the marking is not described."
        if row.options in RESTRICTED and not row.approval:
            yield (
                f"{here}: restricted options need approval beforehand, and there is no reference "
                "(Official Rules 806.02.D; Competition Manual 5.03.F). Without it the hole may not count."
            )


def _zone_warnings(details: HoleDetails) -> Iterator[str]:
    used = {row.zone for row in details.mandatories} | {row.zone for row in details.out_of_bounds}
    approved = {row.zone for row in details.out_of_bounds if row.approval}
    for row in details.zones:
        here = f"drop zone {row.name}"
        if row.purpose in {"mandatory", "out_of_bounds"} and row.name not in used:
            yield f"{here}: no {PURPOSES[row.purpose].removeprefix('missed ')} above leads to it."
        if row.required is None:
            yield f"{here}: optional or required is not said."
        if row.penalty is None:
            yield f"{here}: its penalty is not said."
        required = row.required and row.purpose == "out_of_bounds"
        if required and row.name not in approved:
            yield f"{here}: required for out of bounds, which needs approval (Official Rules 806.02.D)."
