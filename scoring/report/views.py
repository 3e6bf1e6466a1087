"""The close page: what is open, the results to take away, the event declared over."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.views.decorators.http import require_POST

from events.setup.access import EVERY_ROLE, EventRequest, may_open, staff
from events.setup.models import Event, Role
from events.setup.overview import moment_text
from scoring.report.checklist import Due, Line, Point
from scoring.report.forms import ReasonForm
from scoring.report.queries import Closing, closing_of
from scoring.report.services import ClosingRefused, close_event, make_workbook, reopen_event
from scoring.standings.wording import undecided_text

MAY_TAKE = (Role.DIRECTOR, Role.DESK, Role.CARD_ROOM)
SEES_MONEY = (Role.DIRECTOR,)
ROOMS = (
    ("standings", "standings"),
    ("round ratings, estimated", "ratings"),
    ("prizes", "prizes"),
    ("side games", "games"),
    ("money of the event", "money"),
    ("lost and found", "logistics/found"),
    ("the log", "log"),
)
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@staff(*EVERY_ROLE, write=())
def close(request: EventRequest, slug: str) -> HttpResponse:
    return _page(request, ReasonForm())


def _page(request: EventRequest, form: ReasonForm, status: int = 200) -> HttpResponse:
    event = request.event
    closing = closing_of(event, timezone.now())
    sees_money = request.role in SEES_MONEY
    context: dict[str, Any] = {
        "closing": closing,
        "lists": [
            ("Before the event is over", [_line(event, line, sees_money) for line in closing.before]),
            ("Afterwards too", [_line(event, line, sees_money) for line in closing.after]),
        ],
        "open": len(closing.missing),
        "dues": [_due(event, due) for due in closing.dues],
        "stand": _stand(closing),
        "rooms": _rooms(request),
        "form": form,
        "director": request.role is Role.DIRECTOR,
        "may_take": request.role in MAY_TAKE,
    }
    return render(request, "report/close.html", context, status=status)


def _rooms(request: EventRequest) -> list[tuple[str, str]]:
    """Words and address of the rooms that open for the one who reads."""
    desk = reverse("day", args=[request.event.slug])
    rooms = [(words, f"{desk}{part}/") for words, part in ROOMS]
    return [(words, url) for words, url in rooms if may_open(url, request.role)]


def _line(event: Event, line: Line, sees_money: bool) -> dict[str, Any]:
    """What only the director may read of the money is counted for the others."""
    items = [{"text": point.text, "url": address_of(event, point)} for point in line.points]
    if line.area.kind in {"money", "prizes", "games"} and not sees_money and items:
        count = "1 point is" if len(items) == 1 else f"{len(items)} points are"
        items = [{"text": f"{count} open for the director", "url": ""}]
    return {"area": line.area, "items": items, "open": bool(line.points)}


def address_of(event: Event, point: Point) -> str:
    """Where a point is seen to: the room, on the card where there is one."""
    room = f"{reverse('day', args=[event.slug])}{point.room}/"
    asked = {"round": point.round, "group": point.group}
    query = urlencode({key: value for key, value in asked.items() if value is not None})
    return f"{room}?{query}" if query and point.room == "cards" else room


def _due(event: Event, due: Due) -> dict[str, Any]:
    when = due.words
    if due.at is not None:
        when = f"until {moment_text(event, due.at)}"
    elif due.on is not None:
        when = f"until {due.on:%A} {due.on.day} {due.on:%B %Y}"
    return {"label": due.what, "value": when, "needs": due.late, "rule": due.rule, "late": due.late}


@staff(*MAY_TAKE)
@require_POST
def workbook(request: EventRequest, slug: str) -> HttpResponse:
    """Asked for by POST, since the log keeps who took the results."""
    content = make_workbook(
        event=request.event,
        with_money=request.role in SEES_MONEY,
        actor=request.actor,
        now=timezone.now(),
    )
    answer = HttpResponse(content, content_type=XLSX)
    answer["Content-Disposition"] = f'attachment; filename="{slug}-results.xlsx"'
    return answer


@staff(Role.DIRECTOR)
@require_POST
def declare_over(request: EventRequest, slug: str) -> HttpResponse:
    return _act(request, close_event, "The event is over.")


@staff(Role.DIRECTOR)
@require_POST
def open_again(request: EventRequest, slug: str) -> HttpResponse:
    return _act(request, reopen_event, "The event is open again.")


def _act(request: EventRequest, service: Callable[..., Event], done: str) -> HttpResponse:
    form = ReasonForm(request.POST)
    if form.is_valid():
        try:
            service(
                event=request.event,
                reason=form.cleaned_data["reason"],
                actor=request.actor,
                now=timezone.now(),
            )
        except ClosingRefused as refused:
            form.add_error("reason", str(refused))
        else:
            messages.success(request, done)
            return redirect("report:close", request.event.slug)
    return _page(request, form, status=422)


def _stand(closing: Closing) -> list[dict[str, Any]]:
    return [
        {
            "label": division.code,
            "value": "all cards in"
            if division.finished
            else undecided_text(division.undecided) or "not complete",
            "needs": not division.finished,
            "url": None,
        }
        for division in closing.divisions
    ]
