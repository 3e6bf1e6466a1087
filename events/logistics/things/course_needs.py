"""What the holes need: string, flags, signs and markers. Pure."""

from events.logistics.things.counting import with_spare
from events.logistics.things.facts import PRACTICE, Assumptions, Course, Need


def course_needs(course: Course, by: Assumptions) -> tuple[Need, ...]:
    on_a_hole = "practice.things_on_a_hole"
    marks = (
        ("hole-signs", "Tee signs", "Holes of all layouts", course.signs, by.hole_signs, "hole_signs"),
        (
            "zone-markers",
            "Markers of drop zones",
            "Drop zones",
            course.zones,
            by.zone_markers,
            "zone_markers",
        ),
        (
            "mandatory-signs",
            "Signs of mandatories",
            "Mandatories",
            course.mandatories,
            by.mandatory_signs,
            "mandatory_signs",
        ),
        (
            "spotter-flags",
            "Flags for spotters",
            "Holes with a spotter",
            course.spotter_holes,
            by.spotter_flags,
            "spotter_flags",
        ),
    )
    lines = []
    for key, name, counted, count, each, rule in marks:
        lacks = _not_described(course, key)
        known = None if lacks else count * each
        working = (
            (counted, f"{count}{' so far' if lacks else ''}"),
            ("For each", str(each)),
            *((("Not known", lacks),) if lacks else ()),
        )
        lines.append(Need(key, "Course", name, known, "", working, PRACTICE, (f"{on_a_hole}.{rule}",), lacks))
    return (*_string(course, by), *lines)


def _not_described(course: Course, key: str) -> str:
    """A hole that nobody described may have a drop zone; its sign it has in any case."""
    if course.holes == 0:
        return "the course has no holes yet"
    if key == "hole-signs":
        return ""
    if course.undescribed:
        return f"{_holes(course.undescribed)} not described yet"
    if key == "spotter-flags" and course.spotter_unknown:
        return f"{_holes(course.spotter_unknown)} without a word on a spotter"
    return ""


def _holes(count: int) -> str:
    return "1 hole is" if count == 1 else f"{count} holes are"


def _string(course: Course, by: Assumptions) -> tuple[Need, ...]:
    unknown = [line for line in course.lines if line.metres is None]
    lacks = _not_described(course, "string")
    if not lacks and unknown:
        lacks = f"{len(unknown)} of {len(course.lines)} lines without a length"
    metres = sum(line.metres for line in course.lines if line.metres is not None)
    flags = sum(_flags(line.metres, by.flag_every_m) for line in course.lines if line.metres)
    listed = tuple(
        (f"{line.hole}, {line.name}", "not known" if line.metres is None else f"{line.metres} m")
        for line in course.lines
    )
    so_far = " so far" if lacks else ""
    spare = f"With {by.spare_percent} % spare, rounded up"
    string_all, flags_all = with_spare(metres, by.spare_percent), with_spare(flags, by.spare_percent)
    every = (f"A flag every {by.flag_every_m} m and at both ends", f"{flags}{so_far}")
    source = f"lengths as written for each line; the rest {PRACTICE}"
    rules = ("practice.things_spare_percent",)
    missing = (("Not known", lacks),) if lacks else ()
    return (
        Need(
            "string",
            "Course",
            "String for out of bounds",
            None if lacks else string_all,
            "m",
            (*listed, ("Together", f"{metres} m{so_far}"), (spare, f"{string_all} m{so_far}"), *missing),
            source,
            rules,
            lacks,
        ),
        Need(
            "flags",
            "Course",
            "Flags for out of bounds",
            None if lacks else flags_all,
            "",
            (*listed, every, (spare, f"{flags_all}{so_far}"), *missing),
            source,
            ("practice.things_flag_every", *rules),
            lacks,
        ),
    )


def _flags(metres: int, every: int) -> int:
    """Both ends, and between them no gap above `every`."""
    return -(-metres // every) + 1
