"""One value of the rulebook: what it is, where it stands, how far it can be trusted.

Pure: standard library only. Nothing here reads a file or a clock.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal, InvalidOperation
from types import MappingProxyType
from typing import TypeAlias

Plain: TypeAlias = "int | Decimal | str | bool | tuple[Plain, ...] | Mapping[str, Plain] | None"

NORTH_AMERICA = "north_america"
ELSEWHERE = "elsewhere"
REGIONS = (NORTH_AMERICA, ELSEWHERE)

# Heaviest first, as the tier table of the manual lists them (5.05).
TIERS = ("worlds", "major", "elite", "A", "B", "C", "league")
TIER_WORDS: Mapping[str, str] = MappingProxyType(
    {
        "worlds": "World championship",
        "major": "Major",
        "elite": "Elite series",
        "A": "A-tier",
        "B": "B-tier",
        "C": "C-tier",
        "league": "League",
    }
)

# The only marks there are; each says in one sentence what stands behind a value.
TRUST_MARKS: Mapping[str, str] = MappingProxyType(
    {
        "read": "The published English text was read.",
        "translation": "Read in a full translation of the published text: the figure is sure, "
        "its English wording was not seen.",
        "secondary": "Taken from somebody who quotes the published text or its older edition.",
        "inferred": "Worked out from published text or published results, not stated there.",
        "memory": "From memory: check it against the published text before relying on it.",
        "own reading": "The published texts leave room or disagree; this is how we read them.",
        "own derivation": "Our own arithmetic; no source.",
        "common practice": "What directors commonly do; no source.",
        "not known": "No published value was found: the director sets one where it is needed.",
    }
)

UNITS = frozenset(
    {
        "blasts", "cents", "centimetres", "choice", "code", "coefficients", "days",
        "degrees Celsius", "degrees Fahrenheit", "division", "divisions", "factor", "grams",
        "grams per centimetre", "groups",
        "holes", "hours", "list", "metres", "metres per second", "minutes", "percent", "pieces", "players", "points",
        "requirement", "rounds", "score cards", "seconds", "table", "text", "throws", "throws over par",
        "tiers", "years", "yes or no",
    }
)  # fmt: skip

# Where the throws of a penalty are written, and the facts that a value of the penalty catalogue carries besides its
# throws: its name, its chapter, what becomes of the throw or the hole; then how it is counted.
BOOKED = ("hole", "starting hole", "round total", "each hole not played")
PENALTY_TEXTS = frozenset({"name", "chapter", "booked", "then", "repeat"})
PENALTY_NEEDED = frozenset({"name", "chapter", "booked", "then"})
PENALTY_FLAGS = frozenset({"once", "apart"})
PENALTY_COUNTS = frozenset({"warnings"})

KINDS: Mapping[str, type] = MappingProxyType({"int": int, "decimal": Decimal, "text": str, "flag": bool})


class RulebookError(Exception):
    """Something is wrong with the rulebook or with a question asked of it."""


class UnknownRule(RulebookError, KeyError):
    """No edition holds a value under this key for this region."""

    def __str__(self) -> str:
        return f"The rulebook has no value called {self.args[0]!r}."


class ValueNotKnown(RulebookError):
    """The rule exists but no published value was found; only an override gives one."""


class BadOverride(RulebookError):
    """An override without a reason, or with a value of another kind than the published one."""


@dataclass(frozen=True, slots=True)
class Override:
    """A director's own value for one event; `reason` is shown beside it wherever it is used."""

    value: Plain
    reason: str


@dataclass(frozen=True, slots=True)
class RuleValue:
    """A value in force, with its source.

    `value` is None where no published value was found (`kind` then names what would fit).
    `effective` is the day its edition came into force; `early` is true where the event is older
    than the earliest edition that holds the value. `published` keeps what an override replaced.
    """

    key: str
    value: Plain
    kind: str
    unit: str
    document: str
    section: str
    trust: str
    note: str
    edition: str
    effective: date
    region: str | None = None
    early: bool = False
    reason: str = ""
    published: Plain = None
    choices: tuple[str, ...] = ()
    penalty: Mapping[str, Plain] | None = (
        None  # set: the value is the throws of a row of the penalty catalogue
    )

    @property
    def overridden(self) -> bool:
        return bool(self.reason)

    @property
    def source(self) -> str:
        """`Competition Manual 2025, 1.06.H`: the words to print beside what the value decided."""
        return f"{self.document}, {self.section}"

    @property
    def citation(self) -> str:
        """The source, with the trust mark wherever the published text itself was not read."""
        sure = self.trust in {"read", "translation"}
        return self.source if sure else f"{self.source} ({self.trust})"

    @property
    def trust_words(self) -> str:
        return TRUST_MARKS[self.trust]

    @property
    def remarks(self) -> tuple[str, ...]:
        """The note, and what a reader must know besides: an early date, an override."""
        remarks = [self.note] if self.note else []
        if self.early:
            remarks.append(f"Not in force before {self.effective.isoformat()}; no earlier edition is held.")
        if self.overridden:
            remarks.append(f"Set by the director for this event: {self.reason}")
        return tuple(remarks)


def kind_of(value: Plain) -> str:
    """The kind of a plain value: int, decimal, text, flag, list or table. None raises ValueError."""
    if isinstance(value, Mapping):
        return "table"
    if isinstance(value, tuple):
        return "list"
    for name, kind in KINDS.items():
        if type(value) is kind:  # exact: a yes-or-no is an int to isinstance, but not to a rule
            return name
    raise ValueError(f"{value!r} is not a value that a rule can have")


def same_shape(published: Plain, given: Plain) -> bool:
    """Whether `given` could stand in for `published`: same kind all the way down, same names in tables."""
    kind = kind_of(published)
    if kind_of(given) != kind:
        return False
    if isinstance(published, Mapping) and isinstance(given, Mapping):
        return published.keys() == given.keys() and all(same_shape(published[k], given[k]) for k in published)
    if isinstance(published, tuple) and isinstance(given, tuple) and published:
        return all(same_shape(published[0], item) for item in given)
    return True


def frozen(raw: object) -> Plain:
    """A value read from toml or JSON made unchangeable: lists to tuples, tables to read-only mappings."""
    if isinstance(raw, Mapping):
        return MappingProxyType({str(name): frozen(item) for name, item in raw.items()})
    if isinstance(raw, list | tuple):
        return tuple(frozen(item) for item in raw)
    if isinstance(raw, int | Decimal | str):
        return raw
    raise ValueError(f"{raw!r} is not a value that a rule can have")


def penalty_problem(raw: object, unit: object) -> str:
    """What is wrong with the `penalty` part of a value; empty if nothing."""
    if not isinstance(raw, Mapping):
        return "penalty is a table"
    known = PENALTY_TEXTS | PENALTY_FLAGS | PENALTY_COUNTS
    checks = (
        (set(raw) <= known, f"penalty has unknown words {', '.join(sorted(set(raw) - known))}"),
        (set(raw) >= PENALTY_NEEDED, f"penalty needs {', '.join(sorted(PENALTY_NEEDED - set(raw)))}"),
        (all(type(raw[n]) is str for n in PENALTY_TEXTS & set(raw)), "name, chapter, booked, then are texts"),
        (all(raw[n] is True for n in PENALTY_FLAGS & set(raw)), "once and apart are true, or left out"),
        (all(type(raw[n]) is int for n in PENALTY_COUNTS & set(raw)), "warnings is a whole number"),
        (raw.get("booked") in BOOKED, f"booked is one of {', '.join(BOOKED)}"),
        (unit in {"throws", "throws over par"}, "penalty belongs to a value in throws"),
    )
    return next((words for holds, words in checks if not holds), "")


def overridden_by(rule: RuleValue, override: Override) -> RuleValue:
    """`rule` with the director's value in place of the published one, which is kept in `published`.

    Raises BadOverride without a reason or for a value of another kind.
    """
    if not override.reason.strip():
        raise BadOverride(f"{rule.key}: an override needs a reason")
    try:
        given = _as_stored(rule.kind, frozen(override.value))
        fits = kind_of(given) == rule.kind if rule.value is None else same_shape(rule.value, given)
    except ValueError:
        fits = False
    if not fits:
        raise BadOverride(f"{rule.key}: {override.value!r} is not of the kind the rule has ({rule.kind})")
    _refuse_other_word(rule, given)
    return replace(rule, value=given, reason=override.reason.strip(), published=rule.value)


def parse_as(rule: RuleValue, text: str) -> Plain:
    """What a director typed, as a value of the rule's kind (int, decimal, text or flag only).

    Raises BadOverride with a sentence to show for anything else.
    """
    words = text.strip()
    flags = {"yes": True, "no": False, "true": True, "false": False}
    try:
        if rule.kind == "int":
            return int(words)
        if rule.kind == "decimal":
            return _finite(words)
    except (ValueError, InvalidOperation):
        raise BadOverride(f"{rule.key}: {words!r} is not a number of {rule.unit}") from None
    if rule.kind == "flag" and words.lower() in flags:
        return flags[words.lower()]
    if rule.kind == "text" and words:
        _refuse_other_word(rule, words)
        return words
    raise BadOverride(f"{rule.key}: {words!r} does not fit here")


def _refuse_other_word(rule: RuleValue, given: Plain) -> None:
    if rule.choices and given not in rule.choices:
        raise BadOverride(f"{rule.key}: {given!r} is none of {', '.join(rule.choices)}")


def _as_stored(kind: str, given: Plain) -> Plain:
    """JSON has no decimals: a stored override carries one as text (or a whole number)."""
    if kind == "decimal" and isinstance(given, str | int) and not isinstance(given, bool):
        try:
            return _finite(str(given))
        except InvalidOperation:
            raise ValueError(given) from None
    return given


def _finite(words: str) -> Decimal:
    number = Decimal(words)
    if not number.is_finite():
        raise ValueError(words)
    return number
