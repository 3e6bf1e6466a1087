"""What a reading of a scale says about a limit: accept, not proven or reject, with the probability shown.

Guarded rejection: only a reading at limit + guard band or more is rejected; one at limit − guard band or less is
accepted; between them nothing is proven, and the piece goes to the finer scale. Grams are Decimals; only the
probability needs the normal distribution and is worked out in floats.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from math import erf, sqrt

_GRAMS = Decimal("0.0001")


class Zone(StrEnum):
    ACCEPT = "accept"
    NOT_PROVEN = "not_proven"
    REJECT = "reject"
    NOT_KNOWN = "not_known"


@dataclass(frozen=True, slots=True)
class ScaleFacts:
    """A scale as it stands on the table: what it shows in steps of, and the most that it errs by, in grams."""

    resolution_g: Decimal
    max_error_g: Decimal


@dataclass(frozen=True, slots=True)
class ErrorRule:
    """How far scales may err, in steps of the scale: (up to so many steps on it, largest error in steps)."""

    class_iii: tuple[tuple[int, Decimal], ...]
    class_ii: tuple[tuple[int, Decimal], ...]
    in_service: Decimal
    household: Decimal
    checked_g: Decimal


@dataclass(frozen=True, slots=True)
class Decision:
    """All that a decision rests on, in grams. Without a limit or a reading the zone is NOT_KNOWN.

    `probability`: that the piece is within its limit. `accept_to`, `reject_from`: the edges of the zones.
    """

    zone: Zone
    reading_g: Decimal | None
    limit_g: Decimal | None
    uncertainty_g: Decimal
    guard_g: Decimal
    accept_to_g: Decimal | None
    reject_from_g: Decimal | None
    probability: float | None
    next_step: str


def error_rule(
    class_iii: Mapping[str, Decimal],
    class_ii: Mapping[str, Decimal],
    *,
    in_service: Decimal,
    household: Decimal,
    checked_g: Decimal,
) -> ErrorRule:
    """The rule from the rulebook's tables, whose keys read `to_500`."""
    return ErrorRule(_bands(class_iii), _bands(class_ii), in_service, household, checked_g)


def _bands(table: Mapping[str, Decimal]) -> tuple[tuple[int, Decimal], ...]:
    return tuple(sorted((int(key.removeprefix("to_")), steps) for key, steps in table.items()))


def max_error(kind: str, resolution_g: Decimal, load_g: Decimal, rule: ErrorRule) -> Decimal:
    """The most that a scale of this kind errs by at this load, in grams.

    Kinds: "household", "class_iii", "class_ii" (both in service), "checked" (held to a reference mass). A load
    beyond the class's table has its last band. Raises ValueError for another kind.
    """
    if kind == "checked":
        return rule.checked_g
    if kind == "household":
        return rule.household * resolution_g
    if kind not in ("class_iii", "class_ii"):
        raise ValueError(f"No scale is of kind {kind!r}.")
    bands = rule.class_iii if kind == "class_iii" else rule.class_ii
    steps_on_it = load_g / resolution_g
    steps = next((error for to, error in bands if steps_on_it <= to), bands[-1][1])
    return steps * rule.in_service * resolution_g


def uncertainty(scale: ScaleFacts) -> Decimal:
    """Standard uncertainty in grams: resolution at zero and at load (d/(2√3) each) and the error (MPE/√3)."""
    reading = scale.resolution_g**2 / 12
    return (2 * reading + scale.max_error_g**2 / 3).sqrt()


def probability_within(reading_g: Decimal, limit_g: Decimal, uncertainty_g: Decimal) -> float:
    """Φ((limit − reading) / u): the probability that the true mass is within the limit (JCGM 106:2012, 7)."""
    return 0.5 * (1 + erf(float((limit_g - reading_g) / uncertainty_g) / sqrt(2)))


def decide(
    reading_g: Decimal | None, limit_g: Decimal | None, scale: ScaleFacts, guard_factor: Decimal
) -> Decision:
    """The zone of a reading under guarded rejection."""
    u = uncertainty(scale)
    return decide_by(reading_g, limit_g, u, guard_factor * u)


def decide_by(
    reading_g: Decimal | None, limit_g: Decimal | None, uncertainty_g: Decimal, guard_g: Decimal
) -> Decision:
    """As `decide`, by an uncertainty and a guard band in grams that are known already: what was recorded with a
    reading decides it for another limit too.
    """
    rounded = uncertainty_g.quantize(_GRAMS), guard_g.quantize(_GRAMS)
    if limit_g is None or reading_g is None:
        missing = NEXT_STEP[Zone.NOT_KNOWN] if limit_g is None else "Not weighed yet."
        return Decision(Zone.NOT_KNOWN, reading_g, limit_g, *rounded, None, None, None, missing)
    accept_to, reject_from = limit_g - guard_g, limit_g + guard_g
    zone = (
        Zone.ACCEPT
        if reading_g <= accept_to
        else Zone.REJECT
        if reading_g >= reject_from
        else Zone.NOT_PROVEN
    )
    return Decision(
        zone,
        reading_g,
        limit_g,
        *rounded,
        accept_to.quantize(_GRAMS),
        reject_from.quantize(_GRAMS),
        probability_within(reading_g, limit_g, uncertainty_g),
        NEXT_STEP[zone],
    )


NEXT_STEP = {
    Zone.ACCEPT: "Nothing to do.",
    Zone.NOT_PROVEN: "Weigh it on a finer scale, if there is one; it is not restricted, and the director is told.",
    Zone.REJECT: "Do not throw it. The director decides if the player disagrees.",
    Zone.NOT_KNOWN: "No limit is known for this model.",
}
