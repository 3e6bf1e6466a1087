"""Published sets of limits, side by side: an event goes by one for each kind of weather, by its name.

What is met is said with the set's title and source; what is not met is said as that, and as nothing more.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from events.rulebook.loader import Rulebook
from events.safety.computed import Computed
from events.safety.units import fahrenheit, figure, half_up

KINDS = ("heat", "wbgt", "cold", "wind", "air", "uv")
FIRST = {
    "heat": "chart",
    "wbgt": "high_school",
    "cold": "canada",
    "wind": "practice",
    "air": "schools",
    "uv": "index",
    "lightning": "sport_and_thunder",
}
_UNIT_WORDS = {"F": "°F", "C": "°C", "m/s": "m/s", "index": ""}


class UnknownSet(ValueError):
    """No published set has this name; the message lists those that there are."""


@dataclass(frozen=True, slots=True)
class Step:
    """A class of a set: from this figure on (for cold: from this figure down)."""

    start: Decimal
    word: str
    means: str


@dataclass(frozen=True, slots=True)
class LimitSet:
    """`unit`: F, C, m/s or index, as published; `rounds_to`: how far a figure is rounded before it is compared."""

    kind: str
    key: str
    title: str
    unit: str
    rounds_to: Decimal
    steps: tuple[Step, ...]
    source: str

    @property
    def downward(self) -> bool:
        return self.kind == "cold"


@dataclass(frozen=True, slots=True)
class Trigger:
    """What a set says to a figure. `step` is None where no limit is met or there is no figure."""

    limits: LimitSet
    step: Step | None
    sentence: str

    @property
    def met(self) -> bool:
        return self.step is not None


def set_keys(book: Rulebook, kind: str) -> tuple[str, ...]:
    """The names of the published sets of a kind (those of `KINDS`, or "lightning"), sorted."""
    return tuple(sorted(book.table(f"weather.limits.{kind}")))


def limit_set(book: Rulebook, kind: str, key: str = "") -> LimitSet:
    """The named set; the first to be offered without a name. Raises UnknownSet."""
    key = key or FIRST[kind]
    if key not in set_keys(book, kind):
        raise UnknownSet(f"{kind}: no set is called {key!r}; there are {', '.join(set_keys(book, kind))}.")
    name = f"weather.limits.{kind}.{key}"
    table = book.table(name)
    rows = table["steps"]
    assert isinstance(rows, tuple)
    steps = tuple(_step(row) for row in rows if isinstance(row, Mapping))
    return LimitSet(
        kind=kind,
        key=key,
        title=str(table["title"]),
        unit=str(table["unit"]),
        rounds_to=Decimal(str(table["rounds_to"])),
        steps=steps,
        source=book.value(name).citation,
    )


def _step(row: Mapping[str, object]) -> Step:
    return Step(Decimal(str(row["from"])), str(row["word"]), str(row["means"]))


def judge(computed: Computed, limits: LimitSet) -> Trigger:
    """The class of a computed figure, in a sentence. Without a figure no class is guessed.

    `computed.value` is in the slice's own units (°C, m/s, an index) and is taken to the set's unit here.
    """
    if computed.value is None and computed.at_least is not None:
        step = judge_value(computed.at_least, limits).step
        words = f"beyond the scale, so “{step.word}” at least" if step else "beyond the scale"
        means = step.means if step else "go by your own judgement"
        return Trigger(limits, step, f"Trigger met: {words} ({limits.title}): {means}.")
    if computed.value is None:
        return Trigger(limits, None, f"No class: {computed.quantity} is {computed.reason}.")
    return judge_value(computed.value, limits)


def judge_value(value: float, limits: LimitSet) -> Trigger:
    """As `judge`, for a bare figure in °C, m/s or as an index."""
    shown = half_up(fahrenheit(value) if limits.unit == "F" else value, limits.rounds_to)
    reached = [s for s in limits.steps if (shown <= s.start if limits.downward else shown >= s.start)]
    unit = _UNIT_WORDS[limits.unit]
    words = f"{figure(float(shown), 0 if limits.rounds_to == 1 else 1)} {unit}".strip()
    if not reached:
        first = f"{figure(float(limits.steps[0].start), 0 if limits.rounds_to == 1 else 1)} {unit}".strip()
        side = "at or below" if limits.downward else "from"
        return Trigger(limits, None, f"No trigger met: {words}; {limits.title} begins {side} {first}.")
    step = reached[-1]
    return Trigger(limits, step, f"Trigger met: {words} is “{step.word}” ({limits.title}): {step.means}.")
