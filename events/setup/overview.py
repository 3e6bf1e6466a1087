"""The event's facts as lines to be read: label and value, with what is not set said in words."""

from dataclasses import dataclass
from datetime import date, datetime

from events.setup.figures import money_text
from events.setup.models import Event

NOT_SET = "not set"


@dataclass(frozen=True, slots=True)
class Fact:
    label: str
    value: str


def facts_of(event: Event) -> list[Fact]:
    """What the plan page shows of the event itself, in the order of its form (no query)."""
    place = ", ".join(part for part in (event.venue, event.place) if part)
    return [
        Fact("days", days_text(event.starts_on, event.ends_on)),
        Fact("venue", place or NOT_SET),
        Fact("time zone", event.time_zone),
        Fact("tier, region", f"{event.get_tier_display()}, {event.get_region_display()}"),
        Fact("registration", _span(event, event.registration_opens_at, event.registration_closes_at)),
        Fact("check-in", _span(event, event.checkin_opens_at, event.checkin_closes_at)),
        Fact("caps", _caps(event)),
        Fact(
            "money", f"{event.currency}, handling fee {money_text(event.handling_fee_cents, event.currency)}"
        ),
        Fact("cards", f"{event.get_cards_display()}, {event.paper}, {event.get_units_display()}"),
    ]


def days_text(first: date, last: date) -> str:
    """12 June 2026; 12 to 13 June 2026; 30 June to 1 July 2026; years apart are both written."""
    end = f"{last.day} {last:%B %Y}"
    if first == last:
        return end
    if (first.year, first.month) == (last.year, last.month):
        return f"{first.day} to {end}"
    return f"{first.day} {first:%B}{'' if first.year == last.year else f' {first.year}'} to {end}"


def moment_text(event: Event, moment: datetime) -> str:
    """Fri 12 June 07:00, at the venue."""
    local = event.local(moment)
    return f"{local:%a} {local.day} {local:%B %H:%M}"


def _span(event: Event, opens: datetime | None, closes: datetime | None) -> str:
    if opens is None and closes is None:
        return NOT_SET
    if opens is None or closes is None:
        one = opens or closes
        assert one is not None
        return f"{'opens' if opens else 'closes'} {moment_text(event, one)}"
    same_day = event.local(opens).date() == event.local(closes).date()
    end = f"{event.local(closes):%H:%M}" if same_day else moment_text(event, closes)
    return f"{moment_text(event, opens)} to {end}"


def _caps(event: Event) -> str:
    caps = (("event", event.cap), ("professionals", event.cap_pro), ("amateurs", event.cap_am))
    return ", ".join(f"{label} {cap}" for label, cap in caps if cap is not None) or "none"
