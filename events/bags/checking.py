"""Whether a piece may be thrown, check by check: each with what was found, a sentence and its source.

A check never says that a disc is legal: it says that nothing was found, that something is not proven or not known,
or that the piece is not to be thrown. Flexibility, rim configuration and the other measures of a listed model are not
judged again: the list has judged the model, and the desk has no gauge that could.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from events.bags.limits import Limit
from events.bags.weighing import Decision, Zone

# What may be seen on a piece, by the names of its fields.
SEEN = (
    "marked",
    "cracked",
    "holed",
    "carved",
    "added_material",
    "over_sanded",
    "out_of_shape",
    "lights_or_tape",
)


class Status(StrEnum):
    PASS = "pass"  # noqa: S105 - no password
    NOT_PROVEN = "not proven"
    NOT_KNOWN = "not known"
    FAIL = "fail"


@dataclass(frozen=True, slots=True)
class Sources:
    """Words for the source of each kind of check, from the rulebook."""

    listed: str
    mass: str
    no_minimum: str
    changes: str
    forbidden: str
    devices: str
    broken: str
    questioned: str
    mark: str


@dataclass(frozen=True, slots=True)
class Check:
    """`key` names the check; `sentence` says what was found; `remarks` what a reader should know besides."""

    key: str
    status: Status
    sentence: str
    source: str
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Condition:
    """What was seen on a piece; None: not looked at. `signed`: bears signatures, as a keepsake does."""

    marked: bool | None = None
    cracked: bool | None = None
    holed: bool | None = None
    carved: bool | None = None
    added_material: bool | None = None
    over_sanded: bool | None = None
    out_of_shape: bool | None = None
    lights_or_tape: bool | None = None
    signed: bool = False


@dataclass(frozen=True, slots=True)
class Facts:
    """Everything that is known of one piece.

    `snapshot` names the list that was asked ("list of 3 May 2025"); "" where there is none. `on_list`: the model
    was found there. `model_allowed` and `questioned_approved` are the director's words, None where there is none;
    `questioned` is true once somebody has questioned the piece. `weighed_for_g`: the listed limit in grams when it
    was weighed.
    """

    model: str
    snapshot: str
    on_list: bool
    limit: Limit
    decision: Decision | None
    stamped_g: Decimal | None
    condition: Condition
    night_or_snow: bool = False
    model_allowed: bool | None = None
    model_reason: str = ""
    questioned: bool = False
    questioned_by: str = ""
    questioned_approved: bool | None = None
    scale_checked: bool | None = None
    weighed_for_g: Decimal | None = None


def check_piece(facts: Facts, sources: Sources) -> tuple[Check, ...]:
    """Every check of one piece, in the order in which a desk goes through them."""
    checks = [_listed(facts, sources), _mass(facts, sources), _mark(facts.condition, sources)]
    checks += _condition(facts.condition, sources)
    if facts.condition.signed:
        checks.append(
            Check("ink", Status.PASS, "Signed: permanent ink is an allowed change.", sources.changes)
        )
    checks.append(_devices(facts, sources))
    if facts.questioned:
        checks.append(_questioned(facts, sources))
    return tuple(checks)


LIGHT_G = 10  # so far under the limit a reader may wonder; our own choice, nothing is judged by it

_GRAVITY = (Status.FAIL, Status.NOT_PROVEN, Status.NOT_KNOWN, Status.PASS)
_OVERALL = {
    Status.FAIL: "do not throw",
    Status.NOT_PROVEN: "not proven",
    Status.NOT_KNOWN: "not known yet",
    Status.PASS: "nothing found",
}


def gravest(checks: Iterable[Check]) -> Status:
    """The status that decides; no checks at all are not known."""
    found = {check.status for check in checks}
    return next((status for status in _GRAVITY if status in found), Status.NOT_KNOWN)


def in_words(status: Status) -> str:
    """ "do not throw", "not proven", "not known yet" or "nothing found"."""
    return _OVERALL[status]


def _listed(facts: Facts, sources: Sources) -> Check:
    def check(status: Status, sentence: str, *remarks: str) -> Check:
        return Check("list", status, sentence, sources.listed, remarks)

    if facts.on_list:
        return check(Status.PASS, f"On the {facts.snapshot}.")
    if facts.model_allowed is True:
        return check(
            Status.PASS,
            f"Not on the {facts.snapshot or 'list'}; allowed by the director: {facts.model_reason}",
        )
    if facts.model_allowed is False:
        return check(
            Status.FAIL,
            f"Not on the {facts.snapshot or 'list'}; not allowed by the director: {facts.model_reason}",
        )
    if not facts.snapshot:
        return check(Status.NOT_KNOWN, "No list of approved discs has been imported.")
    return check(
        Status.NOT_KNOWN,
        f"Not on the {facts.snapshot}. The director decides.",
        "Not on the list is not yet illegal.",
    )


def _mass(facts: Facts, sources: Sources) -> Check:
    remarks = _mass_remarks(facts, sources)
    decision = facts.decision
    if facts.limit.listed_g is None:
        why = (
            "The list gives no maximum for it."
            if facts.on_list
            else "Without a list entry there is no limit to judge by."
        )
        return Check("mass", Status.NOT_KNOWN, why, sources.mass, remarks)
    if decision is None or decision.reading_g is None:
        claim = _claim(facts)
        return Check(
            "mass",
            Status.NOT_KNOWN,
            f"Not weighed; its limit is {facts.limit.listed_g} g.{claim}",
            sources.mass,
            remarks,
        )
    words = f"{decision.reading_g} g for a limit of {decision.limit_g} g"
    status = {Zone.ACCEPT: Status.PASS, Zone.REJECT: Status.FAIL, Zone.NOT_PROVEN: Status.NOT_PROVEN}.get(
        decision.zone, Status.NOT_KNOWN
    )
    told = {
        Zone.ACCEPT: f"{words}: nothing over the limit found.",
        Zone.REJECT: f"{words}: over it beyond what the scale can be wrong by.",
        Zone.NOT_PROVEN: f"{words}: too near to decide on this scale. {decision.next_step}",
    }
    return Check("mass", status, told.get(decision.zone, decision.next_step), sources.mass, remarks)


def _claim(facts: Facts) -> str:
    stamped, limit = facts.stamped_g, facts.limit.listed_g
    if stamped is None:
        return ""
    over = " That is over the limit: weigh it." if limit is not None and stamped > limit else ""
    return f" Stamped {stamped} g, which is a claim, not a weighing.{over}"


def _light(facts: Facts) -> bool:
    reading, limit = facts.decision.reading_g if facts.decision else None, facts.limit.listed_g
    return reading is not None and limit is not None and limit - reading >= LIGHT_G


def _mass_remarks(facts: Facts, sources: Sources) -> tuple[str, ...]:
    remarks = []
    limit = facts.limit
    if limit.differs:
        remarks.append(
            f"Listed {limit.listed_g} g, formula {limit.formula_g} g: they differ."
            " Judged by the listed one; the director decides."
        )
    if facts.weighed_for_g is not None and limit.listed_g not in (None, facts.weighed_for_g):
        remarks.append(f"It was weighed when its listed limit was {facts.weighed_for_g} g.")
    if _light(facts):
        remarks.append(f"Light, and not illegal for it: no minimum mass is known ({sources.no_minimum}).")
    if facts.decision is not None and facts.scale_checked is False:
        remarks.append("Weighed without a valid check of the scale.")
    return tuple(remarks)


def _mark(seen: Condition, sources: Sources) -> Check:
    remarks = ("Signatures are not the owner's mark unless they name who throws it.",) if seen.signed else ()
    if seen.marked is None:
        return Check(
            "mark", Status.NOT_KNOWN, "Not said whether it bears the owner's mark.", sources.mark, remarks
        )
    if seen.marked:
        return Check("mark", Status.PASS, "Bears the owner's mark.", sources.mark, remarks)
    return Check(
        "mark", Status.FAIL, "Bears no owner's mark: mark it before it is thrown.", sources.mark, remarks
    )


def _condition(seen: Condition, sources: Sources) -> list[Check]:
    looked_at = (
        ("crack", seen.cracked, "Cracked.", "No crack found.", sources.broken),
        ("hole", seen.holed, "Has a hole.", "No hole found.", sources.broken),
        ("carving", seen.carved, "Etched, carved or engraved.", "No carving found.", sources.forbidden),
        (
            "added material",
            seen.added_material,
            "Bears material of a thickness to feel.",
            "No added material found.",
            sources.forbidden,
        ),
        (
            "sanding",
            seen.over_sanded,
            "Sanded beyond wear and small flaws.",
            "No heavy sanding found.",
            sources.forbidden,
        ),
        ("shape", seen.out_of_shape, "No longer a circular saucer.", "Shape as moulded.", sources.forbidden),
    )
    return [_seen(key, found, bad, good, source) for key, found, bad, good, source in looked_at]


def _seen(key: str, found: bool | None, bad: str, good: str, source: str) -> Check:
    if found is None:
        return Check(key, Status.NOT_KNOWN, "Not looked at.", source)
    return Check(key, Status.FAIL, bad, source) if found else Check(key, Status.PASS, good, source)


def _devices(facts: Facts, sources: Sources) -> Check:
    on_it = facts.condition.lights_or_tape
    if not on_it:
        told = "Not looked at." if on_it is None else "No lights or tape on it."
        status = Status.NOT_KNOWN if on_it is None else Status.PASS
        return Check("lights or tape", status, told, sources.devices)
    if facts.night_or_snow:
        return Check(
            "lights or tape",
            Status.PASS,
            "Lights or tape, in a round announced as night or snow.",
            sources.devices,
        )
    told = "Lights or tape, and the round is not announced as night or snow: take them off."
    return Check("lights or tape", Status.FAIL, told, sources.devices)


def _questioned(facts: Facts, sources: Sources) -> Check:
    by = f" by {facts.questioned_by}" if facts.questioned_by else ""
    if facts.questioned_approved is None:
        return Check(
            "questioned",
            Status.FAIL,
            f"Questioned{by}: illegal until the director approves it.",
            sources.questioned,
        )
    if facts.questioned_approved:
        return Check(
            "questioned", Status.PASS, f"Questioned{by}; approved by the director.", sources.questioned
        )
    return Check(
        "questioned", Status.FAIL, f"Questioned{by}; not approved by the director.", sources.questioned
    )
