"""The event's statement as the sheet that `prints` draws."""

from datetime import datetime

from events.entries.models import Payment
from events.paper.page import EventHead
from events.setup.figures import money_text
from events.setup.models import Event
from events.setup.overview import days_text
from scoring.money import prints
from scoring.money.models import BoxCount
from scoring.money.queries import latest_counts, statement


def statement_sheet(event: Event, *, now: datetime) -> bytes:
    """One page: every part of the statement, and how the cash box was counted (1 query more than `statement`)."""
    local = event.local(now)
    head = EventHead(
        name=event.name,
        place=event.venue or event.place,
        dates_text=days_text(event.starts_on, event.ends_on),
        currency=event.currency,
        units="ft" if event.units == "ft" else "m",
        paper="Letter" if event.paper == "Letter" else "A4",
    )
    return prints.statement_pdf(
        head,
        statement(event),
        money=lambda cents: exact(cents, event.currency),
        note=" · ".join(box_words(event, latest_counts(event))),
        printed=f"printed {local:%a} {local.day} {local:%B %H:%M}",
    )


def exact(cents: int, currency: str) -> str:
    """With both cents always, so that a column of figures can be added up by eye."""
    text = money_text(cents, currency)
    if cents % 100:
        return text
    code = f" {currency}"
    return f"{text.removesuffix(code)}.00{code}" if text.endswith(code) else f"{text}.00"


def box_words(event: Event, counts: dict[str, BoxCount]) -> tuple[str, ...]:
    """Float, count, differences and their reason, as sentences."""
    lines = []
    for count in counts.values():
        at = event.local(count.at)
        sums = ", ".join(
            f"{Payment.Method(method).label} {exact(cents, event.currency)}"
            for method, cents in count.counted.items()
        )
        lines.append(f"{count.get_kind_display()}, {at:%a} {at.day} {at:%B %H:%M}, {count.by}: {sums}")
        found = [
            f"{Payment.Method(method).label} {exact(cents, event.currency)}"
            for method, cents in count.differences.items()
            if cents
        ]
        if found:
            why = count.reason or "no reason is written"
            lines.append(f"difference: {', '.join(found)} ({why})")
    return tuple(lines)
