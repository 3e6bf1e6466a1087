"""What the pages of the draw show: which round and sheet, the board, the clock of publishing."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from urllib.parse import urlencode

from django.urls import reverse

from events.course.round_length import MINUTES_KEY, round_length
from events.draw.above import Above
from events.draw.board import Board, board_of, pool_line, total_of
from events.draw.changes import Change, compare
from events.draw.clock import Due, sheet_due
from events.draw.field import expected_on
from events.draw.marks import marks_of
from events.draw.models import Pool, Sheet
from events.draw.ordering import division_key
from events.draw.queries import SheetView, lines_of, view_of
from events.entries.models import Entry, Status
from events.rulebook.loader import Rulebook
from events.setup.models import Event, Round
from events.setup.queries import rulebook_for
from events.setup.sunlight import Daylight, daylight, in_the_dark

STEPS = ("pools", "draw", "look and change", "publish")


def rounds_of(event: Event) -> list[Round]:
    """All rounds by number, each knowing the event (1 query)."""
    return list(event.rounds.order_by("number"))


def chosen(rounds: Sequence[Round], number: str | None, published: set[int]) -> Round | None:
    """The round asked for, else the first that is not published, else the last."""
    for round in rounds:
        if str(round.number) == number:
            return round
    waiting = [round for round in rounds if round.pk not in published]
    return next(iter([*waiting, *rounds[-1:]]), None)


def sheets_of(event: Event) -> list[Sheet]:
    """Every version of every round, without the long texts (1 query)."""
    found = Sheet.objects.filter(round__event=event).defer("undo", "inputs", "notes", "accepted")
    return list(found.order_by("round__number", "version"))


def shown_sheet(sheets: Sequence[Sheet], version: str | None) -> Sheet | None:
    """The version asked for, else the draft, else what is published."""
    for sheet in sheets:
        if str(sheet.version) == version:
            return sheet
    order = {Sheet.State.DRAFT: 0, Sheet.State.PUBLISHED: 1}
    return min(sheets, key=lambda sheet: order.get(Sheet.State(sheet.state), 2), default=None)


def round_url(event: Event, number: int, **more: str | int) -> str:
    return f"{reverse('draw:overview', args=[event.slug])}?{urlencode({'round': number, **more})}"


def tabs(event: Event, rounds: Sequence[Round], round: Round) -> list[dict[str, Any]]:
    return [
        {
            "label": f"Round {other.number}",
            "url": round_url(event, other.number),
            "current": other.number == round.number,
        }
        for other in rounds
    ]


def versions(event: Event, own: Sequence[Sheet], sheet: Sheet) -> list[dict[str, Any]]:
    """Links to the versions of the round, where there are several."""
    if len(own) < 2:
        return []
    return [
        {
            "label": f"{'draft' if other.state == Sheet.State.DRAFT else 'version'} {other.version}",
            "url": round_url(event, sheet.round.number, version=other.version),
            "current": other.pk == sheet.pk,
        }
        for other in own
    ]


def steps(current: int) -> list[dict[str, Any]]:
    return [
        {"label": label, "current": index == current, "past": index < current}
        for index, label in enumerate(STEPS)
    ]


@dataclass(frozen=True, slots=True)
class Shown:
    """A sheet with all that stands around it. `changes` are against the version before it, or the published."""

    round: Round
    sheet: Sheet
    view: SheetView
    board: Board
    due: Due | None
    changes: tuple[Change, ...]
    against: Sheet | None
    stale_totals: tuple[str, ...]
    undo: str
    sun: Daylight
    dark: str

    @property
    def draft(self) -> bool:
        return self.sheet.state == Sheet.State.DRAFT

    @property
    def later(self) -> bool:
        """Whether publishing it changes a sheet that is published already."""
        return self.draft and self.against is not None


def shown(round: Round, sheet_id: int, sheets: Sequence[Sheet], above: Above) -> Shown:
    """Read one sheet for its page: 10 queries, 2 more where there is a version before it, and those of
    `above` (totals of a draft by score; ends of the round before where tee times are due)."""
    sheet = Sheet.objects.get(pk=sheet_id)
    sheet.round = round
    rulebook = rulebook_for(round.event)
    view = view_of(sheet)
    expected = expected_on(view, rulebook)
    marks = marks_of(view, rulebook, expected)
    against = _version_before(sheet, sheets)
    old = view_of(_with_round(against, round), view.layouts) if against else None
    draft = sheet.state == Sheet.State.DRAFT
    starts = [
        (round.event.local(group.starts_at), len(view.layouts[group.layout].holes)) for group in view.groups
    ]
    sun, dark = sun_over(round.event, starts or [(round.event.local(round.first_start_at), None)], rulebook)
    return Shown(
        round=round,
        sheet=sheet,
        view=view,
        board=board_of(view, marks, expected, round.event),
        due=_due(view, rulebook, above) if draft and against is None else None,
        changes=compare(lines_of(old), lines_of(view)) if old else (),
        against=against,
        stale_totals=_stale_totals(sheet, view, above) if draft else (),
        undo=sheet.undo[-1]["what"] if sheet.undo else "",
        sun=sun,
        dark=dark,
    )


def sun_over(
    event: Event, starts: Sequence[tuple[datetime, int | None]], rulebook: Rulebook
) -> tuple[Daylight, str]:
    """The sun on the day of these starts, and a sentence where play would begin or end in the dark (no query). With
    each start stand the holes that are played from it, None: not known."""
    minutes = rulebook.int(MINUTES_KEY)
    first = min(start for start, _ in starts)
    sun = daylight(event, [first.date()])
    return sun, in_the_dark(sun, first, max(start + round_length(holes, minutes) for start, holes in starts))


def _with_round(sheet: Sheet, round: Round) -> Sheet:
    sheet.round = round
    return sheet


def _version_before(sheet: Sheet, sheets: Sequence[Sheet]) -> Sheet | None:
    """What the players have in hands before this sheet: the newest earlier version (all but drafts are kept)."""
    earlier = [other for other in sheets if other.version < sheet.version]
    return max(earlier, key=lambda other: other.version, default=None)


def _due(view: SheetView, rulebook: Rulebook, above: Above) -> Due | None:
    """When the tee times of a draft are due; only tee times have an hour in the manual."""
    first: dict[str, datetime] = {}
    for group in view.groups:
        if group.tee_times:
            for code in group.divisions:
                first[code] = min(first.get(code, group.starts_at), group.starts_at)
    round = view.sheet.round
    before = Round.objects.filter(event=round.event, number=round.number - 1).first() if first else None
    return sheet_due(
        first,
        above.ended(before) if before else None,
        hours=rulebook.int("publish.hours_before_first_tee_time"),
        minutes=rulebook.int("publish.minutes_after_previous_round"),
    )


def _stale_totals(sheet: Sheet, view: SheetView, above: Above) -> tuple[str, ...]:
    """Players whose scores changed since the draw was made of them, and who missed a cut or made it since."""
    names = {member.entry_id: member.name for group in view.groups for member in group.members}
    cut = _stale_cut(sheet, names, above)
    if not sheet.way.by_score:
        return cut
    now = above.totals_before(sheet.round)
    return cut + tuple(
        f"{names[key]}: {_figure(total_of(totals))} → {_figure(total_of(now.get(key, ())))}"
        for key, *_, totals in sheet.inputs.get("players", [])
        if key in names and tuple(totals) != tuple(now.get(key, ()))
    )


def _stale_cut(sheet: Sheet, names: Mapping[int, str], above: Above) -> tuple[str, ...]:
    out, then = above.out_before(sheet.round)[0], set(sheet.inputs.get("out", ()))
    seated = tuple(
        f"{names[key]}: {why}" for key, why in sorted(out.items()) if key in names and key not in then
    )
    back = len(then - set(out))
    return (*seated, f"{back} more play on after the cut") if back else seated


def _figure(figure: int | None) -> str:
    return "–" if figure is None else str(figure)


@dataclass(frozen=True, slots=True)
class Field:
    """How many a draw would place; `without_total` lack a complete total of the rounds before, `out` do not play on
    after a cut, `undecided` says which cut is not made."""

    confirmed: int
    checked_in: int
    without_total: int
    out: int = 0
    undecided: tuple[str, ...] = ()


def field_of(round: Round, above: Above) -> Field:
    """Who there is to be drawn (1 query, and the totals and cuts after the first round)."""
    entries = Entry.objects.filter(event=round.event, status=Status.CONFIRMED)
    gone, undecided = above.out_before(round)
    came = {
        pk: moment
        for pk, moment in entries.order_by("pk").values_list("pk", "checked_in_at")
        if pk not in gone
    }
    totals = {} if round.number == 1 else above.totals_before(round)
    return Field(
        confirmed=len(came),
        checked_in=sum(moment is not None for moment in came.values()),
        without_total=0 if round.number == 1 else sum(None in totals.get(pk, (None,)) for pk in came),
        out=len(gone),
        undecided=undecided,
    )


def pool_lines(round: Round, pools: Sequence[Pool]) -> list[dict[str, str]]:
    """The plan of pools in words; the one that the draw makes by itself where none is planned (no query)."""
    if not pools:
        alone = Pool(
            label="A",
            start_type=round.start_type,
            first_start_at=round.first_start_at,
            interval_minutes=round.interval_minutes,
        )
        return [{"label": "A", "how": pool_line(alone, round.event), "divisions": "every division"}]
    return [
        {
            "label": pool.label,
            "how": pool_line(pool, round.event),
            "divisions": ", ".join(
                sorted((division.code for division in pool.divisions.all()), key=division_key)
            )
            or "what no other pool names",
        }
        for pool in pools
    ]
