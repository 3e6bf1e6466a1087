"""How figures are written on every page: scores against par, money, lengths, clock times."""

from datetime import datetime
from typing import Any

from django import template

from events.setup.figures import clock_text, length_text, money_text
from scoring.standings.wording import to_par_text

register = template.Library()


@register.filter
def to_par(value: int | None) -> str:
    return to_par_text(value)


@register.filter
def money(cents: int | None, currency: str = "USD") -> str:
    return money_text(cents, currency)


@register.filter
def length_in(metres: int | None, units: str = "m") -> str:
    return length_text(metres, units)


@register.filter
def clock(moment: datetime | None, event: Any = None) -> str:
    """Wall-clock time at the venue, as 09:05."""
    if moment is None:
        return "–"
    return clock_text(event.local(moment) if event is not None else moment)


@register.filter
def item(mapping: Any, key: Any) -> Any:
    return mapping.get(key) if mapping is not None else None
