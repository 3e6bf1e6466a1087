"""The UV index: rounded first, then classed, because its classes are whole numbers."""

from decimal import Decimal

from events.safety.computed import Computed
from events.safety.triggers import LimitSet
from events.safety.units import half_up

LOW = "low"


def uv(index: Decimal, limits: LimitSet) -> Computed:
    """The whole UV index; its published word (low, moderate, high, very high, extreme) among the remarks."""
    whole = half_up(float(index), Decimal(1))
    words = [step.word for step in limits.steps if whole >= step.start]
    word = words[-1] if words else LOW
    return Computed(
        quantity="UV index",
        value=float(whole),
        unit="",
        formula="UV index, rounded",
        inputs=(("UV index", str(index)),),
        source=limits.source,
        remarks=(f"Class: {word}.", "Snow can nearly double it."),
    )
