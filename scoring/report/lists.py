"""The plain lists of the workbook: entries, draw, rulings, warnings, weather, stops, notices, log. Rows from the rooms.

Nobody's contact, birth year or guardian is in any of them.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from events.bags.models import Call
from events.draw.models import Seat, Sheet
from events.entries.models import IN_THE_FIELD, Entry
from events.log.models import Act
from events.safety.models import Evidence, Notice, Reading, Suspension
from events.setup.models import Event
from scoring.cards.models import Ruling
from scoring.penalties.models import Warning
from scoring.report.book import Book, Cells, at, span

ENTRY_HEAD = (
    "division", "player", "member", "class", "rating", "rating date", "rated rounds", "town", "status", "received",
    "checked in", "rating is",
)  # fmt: skip
DRAW_HEAD = (
    "round", "version", "drawn", "seed", "pool", "group", "start", "hole", "layout", "order", "player", "division",
)  # fmt: skip
RULING_HEAD = (
    "round", "player", "division", "hole", "throws", "on top of the card", "rule", "what", "called by", "confirmed by",
    "when", "by", "taken back",
)  # fmt: skip
WARNING_HEAD = (
    "round",
    "player",
    "division",
    "hole",
    "rule",
    "what",
    "called by",
    "confirmed by",
    "when",
    "taken back",
)
READING_HEAD = ("when", "what", "value, metric", "as typed", "source", "taken back")
STOP_HEAD = ("cause", "what was said", "stopped", "ended", "minutes", "how it ended", "restart named")
NOTICE_HEAD = ("posted", "kind", "title", "text", "until", "withdrawn")
LOG_HEAD = ("no.", "when", "who", "what", "of what", "reason", "hash")


def entries_sheet(book: Book, event: Event) -> None:
    """Everybody who entered, and how many play in each division (1 query)."""
    tab = book.tab("Entries, for the desk", "everybody who entered, with status and rating", "the desk")
    rows = [_entry(event, entry) for entry in _entries(event)]
    tab.table(ENTRY_HEAD, rows)
    column, last = len(ENTRY_HEAD) + 2, max(len(rows) + 1, 2)
    tab.put(1, column, "division", bold=True)
    tab.put(1, column + 1, "play", bold=True)
    playing = [str(status.label) for status in IN_THE_FIELD]
    for line, code in enumerate(dict.fromkeys(str(row[0]) for row in rows), start=2):
        tab.put(line, column, code)
        counts = "+".join(
            f'COUNTIFS({span(2, 1, last, 1)},{at(line, column)},{span(2, 9, last, 9)},"{word}")'
            for word in playing
        )
        tab.formula(line, column + 1, counts, sum(row[0] == code and row[8] in playing for row in rows))


def _entries(event: Event) -> Iterable[Entry]:
    found = Entry.objects.filter(event=event).select_related("person", "division")
    return found.order_by("division__order", "division__code", "person__sort_name", "pk")


def _entry(event: Event, entry: Entry) -> Cells:
    person = entry.person
    return [
        entry.division.code,
        person.name,
        person.member_number,
        person.get_playing_class_display(),
        entry.rating,
        entry.rating_date,
        entry.rated_rounds,
        person.town,
        entry.get_status_display(),
        wall(event, entry.received_at),
        wall(event, entry.checked_in_at),
        None if entry.rating is None else entry.rating_source,
    ]


def draw_sheet(book: Book, event: Event) -> None:
    """Every seat of every published sheet, by round and group, in card order (1 query)."""
    seats = (
        Seat.objects.filter(sheet__round__event=event, sheet__state=Sheet.State.PUBLISHED)
        .select_related(
            "sheet__round", "group__pool", "group__layout", "group__start", "entry__person", "entry__division"
        )
        .order_by("sheet__round__number", "group__number", "order")
    )
    book.tab("Draw", "groups and starts of every round, as published", "everybody").table(
        DRAW_HEAD, [_seat(event, seat) for seat in seats]
    )


def _seat(event: Event, seat: Seat) -> Cells:
    sheet, group = seat.sheet, seat.group
    return [
        sheet.round.number,
        sheet.version,
        sheet.get_method_display(),
        sheet.seed,
        group.pool.label,
        group.number,
        wall(event, group.starts_at),
        group.start.label,
        group.layout.name,
        seat.order,
        seat.entry.person.name,
        seat.entry.division.code,
    ]


def penalties_sheets(book: Book, event: Event) -> None:
    """Rulings beside the cards with their sum, and warnings of rules and about discs (3 queries)."""
    tab = book.tab("Penalties, for the desk", "rulings beside the cards, taken back ones too", "the desk")
    rulings = (
        Ruling.objects.filter(round__event=event)
        .select_related("round", "entry__person", "entry__division")
        .order_by("round__number", "pk")
    )
    rows = [_ruling(event, ruling) for ruling in rulings]
    tab.table(RULING_HEAD, rows)
    if rows:
        last, line = len(rows) + 1, len(rows) + 3
        tab.put(line, 2, "throws on top of the cards", bold=True)
        on_top = f'SUMIFS({span(2, 5, last, 5)},{span(2, 6, last, 6)},"yes")'
        figure = sum(int(str(row[4])) for row in rows if row[5] == "yes")
        tab.formula(line, 5, on_top, figure, bold=True)
    book.tab("Warnings, for the desk", "warnings, taken back ones too", "the desk").table(
        WARNING_HEAD, _warnings(event)
    )


def _ruling(event: Event, ruling: Ruling) -> Cells:
    on_top = ruling.taken_back_at is None and not ruling.in_card
    return [
        ruling.round.number,
        ruling.entry.person.name,
        ruling.entry.division.code,
        ruling.hole_label or "total",
        ruling.throws,
        "yes" if on_top else "no",
        ruling.rule,
        ruling.what,
        ruling.caller,
        ruling.confirmer,
        wall(event, ruling.at),
        ruling.by,
        _back(event, ruling.taken_back_at, ruling.taken_back_reason),
    ]


def _warnings(event: Event) -> list[Cells]:
    """The director's warnings, warnings of a rule, and those of discs, by time."""
    rules = Warning.objects.filter(entry__event=event)
    discs = Call.objects.filter(round__event=event, warning=True)
    found: list[Warning | Call] = [
        *rules.select_related("round", "entry__person", "entry__division"),
        *discs.select_related("round", "entry__person", "entry__division"),
    ]
    return [
        [
            row.round.number if row.round else "event",
            row.entry.person.name,
            row.entry.division.code,
            row.hole_label,
            row.rule,
            row.what,
            row.caller,
            row.confirmer,
            wall(event, row.at),
            _back(event, row.taken_back_at, row.taken_back_reason),
        ]
        for row in sorted(found, key=lambda row: (row.at, row.pk))
    ]


def weather_sheets(book: Book, event: Event) -> None:
    """Readings and lightning, stops with their length, notices (4 queries). For everybody, so without the names of who
    wrote them down and why one was taken back: the log has both."""
    readings = Reading.objects.filter(event=event).order_by("read_at", "pk")
    seen = Evidence.objects.filter(event=event).order_by("seen_at", "pk")
    rows = [*map(_Reading(event).of, readings), *map(_Reading(event).of_lightning, seen)]
    rows.sort(key=lambda row: str(row[0]))
    about = "readings and lightning as they were written down; they say nothing about what else there was"
    book.tab("Weather", about, "everybody").table(READING_HEAD, rows)
    tab = book.tab("Stops", "when play was suspended, and for how long", "everybody")
    stops = [_stop(event, stop) for stop in Suspension.objects.filter(event=event).order_by("signalled_at")]
    tab.table(STOP_HEAD, stops)
    for line, stop in enumerate(stops, start=2):
        stopped, ended = stop[2], stop[3]
        minutes = None
        if isinstance(stopped, datetime) and isinstance(ended, datetime):
            minutes = round((ended - stopped).total_seconds() / 60)
        length = f'IF({at(line, 4)}="","",ROUND(({at(line, 4)}-{at(line, 3)})*1440,0))'
        tab.formula(line, 5, length, minutes)
    notices = Notice.objects.filter(event=event).order_by("posted_at", "pk")
    book.tab("Notices", "what everybody was told", "everybody").table(
        NOTICE_HEAD, [_notice(event, notice) for notice in notices]
    )


@dataclass(frozen=True, slots=True)
class _Reading:
    event: Event

    def of(self, row: Reading) -> Cells:
        return [
            wall(self.event, row.read_at),
            row.get_quantity_display() if hasattr(row, "get_quantity_display") else row.quantity,
            float(row.value),
            row.typed,
            row.source,
            wall(self.event, row.taken_back_at),
        ]

    def of_lightning(self, row: Evidence) -> Cells:
        """Distance in metres for a strike, seconds from flash to bang for thunder: two kinds, never one number."""
        value, unit = (row.distance_m, "m") if row.kind == Evidence.Kind.STRIKE else (row.seconds, "s")
        return [
            wall(self.event, row.seen_at),
            row.get_kind_display(),
            value,
            f"{value} {unit}" if value is not None else "not counted",
            row.source,
            wall(self.event, row.taken_back_at),
        ]


def _stop(event: Event, stop: Suspension) -> Cells:
    return [
        stop.get_cause_display(),
        stop.words,
        wall(event, stop.signalled_at),
        wall(event, stop.ended_at),
        None,
        stop.get_ended_display() if stop.ended else "goes on",
        wall(event, stop.restart_at),
    ]


def _notice(event: Event, notice: Notice) -> Cells:
    return [
        wall(event, notice.posted_at),
        notice.get_kind_display(),
        notice.title,
        notice.text,
        wall(event, notice.until),
        wall(event, notice.withdrawn_at),
    ]


def log_sheet(book: Book, event: Event) -> None:
    """Every act with its hash, so that the sheet can be held against the log (1 query).

    Old and new values stay in the log: they hold what people gave to the desk alone.
    """
    acts = Act.objects.filter(chain_id=event.slug).order_by("number")
    rows = [
        [act.number, wall(event, act.at), act.actor, act.action_words, act.subject, act.reason, act.hash]
        for act in acts
    ]
    book.tab("Log, for the desk", "every act with its hash", "the desk").table(LOG_HEAD, rows)


def _back(event: Event, moment: datetime | None, reason: str) -> str:
    if moment is None:
        return ""
    return ", ".join(filter(None, (f"{event.local(moment):%Y-%m-%d %H:%M}", reason)))


def wall(event: Event, moment: datetime | None) -> datetime | None:
    """The clock at the venue: workbooks hold no offsets."""
    return event.local(moment).replace(tzinfo=None, microsecond=0) if moment is not None else None
