"""What the pages of the roster show."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from events.logistics.crew.checking import Caution
from events.logistics.crew.models import Helper, Need
from events.logistics.crew.queries import Shift
from events.logistics.crew.roster import Roster
from events.logistics.play import Span
from events.setup.models import Event


@dataclass(frozen=True, slots=True)
class ShiftRow:
    """A shift as a row of the roster. `odd`: cautions about those who stand it."""

    shift: Shift
    hours: str
    odd: tuple[Caution, ...]
    long: bool


@dataclass(frozen=True, slots=True)
class DayBlock:
    """The shifts of one day; `day` None: those without hours."""

    day: date | None
    heading: str
    rows: tuple[ShiftRow, ...]

    @property
    def missing(self) -> int:
        return sum(row.shift.missing for row in self.rows)


@dataclass(frozen=True, slots=True)
class Choice:
    """One of the parts of the roster that may be shown; for `parts/tabs.html`."""

    label: str
    url: str
    current: bool


FREE, ALL = "free", "all"


@dataclass(frozen=True, slots=True)
class RosterPage:
    """`days` is what is shown of the roster, by `choices`."""

    days: tuple[DayBlock, ...]
    choices: tuple[Choice, ...]
    cautions: tuple[Caution, ...]
    wanted: int
    missing: int
    dropped: tuple[Need, ...]
    names: tuple[str, ...]

    @property
    def manned(self) -> int:
        return self.wanted - self.missing


NO_HOURS = "hours not known"


def hours_text(event: Event, span: Span | None) -> str:
    """08:30–12:45; a shift over midnight names the second day."""
    if span is None:
        return NO_HOURS
    first, last = event.local(span.starts), event.local(span.ends)
    same = first.date() == last.date()
    return f"{first:%H:%M}–{last:%H:%M}" if same else f"{first:%H:%M}–{last:%a %H:%M}"


def day_text(day: date) -> str:
    return f"{day:%A} {day.day} {day:%B}"


def roster_page(event: Event, roster: Roster, *, personal: bool, show: str, today: date) -> RosterPage:
    """The roster by days (1 query for what was dropped). `personal`: the reader may know who is under age.

    `show`: a day as it is written in an address, FREE, ALL, or "" for today, which is all where nothing is today.
    """
    cautions = tuple(each for each in roster.cautions if personal or not each.personal)
    dropped = Need.objects.filter(event=event, dropped_at__isnull=False).select_related("round")
    days = day_blocks(event, roster, cautions)
    known = {str(day.day): day for day in days}
    chosen = show if show in {FREE, ALL, *known} else str(today) if str(today) in known else ALL
    return RosterPage(
        days=_shown(days, chosen),
        choices=tuple(_choices(days, chosen)),
        cautions=cautions,
        wanted=sum(max(shift.people, len(shift.stands)) for shift in roster.shifts),
        missing=roster.missing,
        dropped=tuple(dropped.order_by("round__number", "pk")),
        names=tuple(told_apart(list(roster.helpers.values()))),
    )


def _shown(days: Sequence[DayBlock], chosen: str) -> tuple[DayBlock, ...]:
    if chosen == FREE:
        parted = [replace(day, rows=tuple(row for row in day.rows if row.shift.missing)) for day in days]
        return tuple(day for day in parted if day.rows)
    return tuple(day for day in days if chosen in {ALL, str(day.day)})


def _choices(days: Sequence[DayBlock], chosen: str) -> Iterator[Choice]:
    for day in days:
        label = f"{day.day:%a} {day.day.day}" if day.day else day.heading
        yield Choice(label, f"?show={day.day}", chosen == str(day.day))
    if days:
        yield Choice(f"{sum(day.missing for day in days)} free", f"?show={FREE}", chosen == FREE)
        yield Choice("All", f"?show={ALL}", chosen == ALL)


def day_blocks(
    event: Event, roster: Roster, cautions: Sequence[Caution] = (), *, only: int | None = None
) -> tuple[DayBlock, ...]:
    """The shifts under the day on which they begin, those without hours last; `only`: those of one helper."""
    long = roster.long_shifts
    blocks: dict[date | None, list[ShiftRow]] = {}
    for shift in roster.shifts:
        if only is not None and only not in {each.helper_id for each in shift.stands}:
            continue
        day = event.local(shift.span.starts).date() if shift.span else None
        odd = tuple(each for each in cautions if shift.id in each.task_ids)
        row = ShiftRow(shift, hours_text(event, shift.span), odd, shift.id in long)
        blocks.setdefault(day, []).append(row)
    return tuple(
        DayBlock(day, day_text(day) if day else NO_HOURS.capitalize(), tuple(rows))
        for day, rows in blocks.items()
    )


# --- Names as they are typed -------------------------------------------------------------------------------------


def told_apart(helpers: Sequence[Helper]) -> list[str]:
    """The names for a field to type into; where two share one, each with its number."""
    names = [helper.name for helper in helpers]
    return [
        f"{helper.name} (no. {helper.pk})" if names.count(helper.name) > 1 else helper.name
        for helper in helpers
    ]


def named(helpers: Sequence[Helper], text: str) -> Helper | None:
    """The one whom the text means: the whole name, or the only one that begins so. None: nobody, or several."""
    typed = text.strip().casefold()
    if not typed:
        return None
    labels = [label.casefold() for label in told_apart(helpers)]
    if typed in labels:
        return helpers[labels.index(typed)]
    begun = [helper for helper, label in zip(helpers, labels, strict=True) if label.startswith(typed)]
    return begun[0] if len(begun) == 1 else None


# --- People ------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class HelperRow:
    """Somebody on the list. `lacks`: what nobody has asked or shown yet, in words; for the desk only."""

    helper: Helper
    shifts: int
    hours: str
    phone: str
    lacks: tuple[str, ...]


def helper_rows(event: Event, roster: Roster, *, on: date) -> list[HelperRow]:
    """Everybody who helps, by name, with how much they stand (no query)."""
    spans: dict[int, list[Span]] = {}
    for shift in roster.shifts:
        for each in shift.stands:
            spans.setdefault(each.helper_id, []).extend([shift.span] if shift.span else [])
    return [
        HelperRow(
            helper=helper,
            shifts=sum(1 for shift in roster.shifts if helper.pk in {one.helper_id for one in shift.stands}),
            hours=_length(sum(span.minutes for span in spans.get(helper.pk, ()))),
            phone=contact.phone if (contact := getattr(helper, "contact", None)) else "",
            lacks=tuple(_lacks(helper, on)),
        )
        for helper in roster.helpers.values()
    ]


def _length(minutes: int) -> str:
    return f"{minutes // 60} h {minutes % 60:02d}"


def _lacks(helper: Helper, on: date) -> list[str]:
    contact = getattr(helper, "contact", None)
    found = []
    if contact is None or not (contact.phone or contact.email):
        found.append("no telephone or e-mail")
    if contact is None or contact.minor is None:
        found.append("age not asked")
    elif contact.minor:
        found.append("under age" if contact.guardian else "under age, no guardian")
    if not helper.free_hours.all():
        found.append("hours not asked")
    for row in helper.certificates.all():
        if row.expires_on is None:
            found.append(f"{row.get_kind_display()}: no day of expiry")
        elif row.expires_on < on:
            found.append(f"{row.get_kind_display()}: expired {row.expires_on.day} {row.expires_on:%B %Y}")
    return found
