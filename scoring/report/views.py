"""The close page: what is missing, the results workbook, the event declared over."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.views.decorators.http import require_POST

from events.setup.access import EVERY_ROLE, EventRequest, staff
from events.setup.models import Event, Role
from scoring.report.forms import ReasonForm
from scoring.report.queries import Closing, Missing, closing_of
from scoring.report.services import ClosingRefused, close_event, make_workbook, reopen_event

MAY_TAKE = (Role.DIRECTOR, Role.DESK, Role.CARD_ROOM)
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@staff(*EVERY_ROLE, write=())
def close(request: EventRequest, slug: str) -> HttpResponse:
    return _page(request, ReasonForm())


def _page(request: EventRequest, form: ReasonForm, status: int = 200) -> HttpResponse:
    event = request.event
    closing = closing_of(event)
    context: dict[str, Any] = {
        "closing": closing,
        "todo": [_todo(event, each) for each in closing.missing],
        "stand": _stand(closing),
        "form": form,
        "director": request.role is Role.DIRECTOR,
        "may_take": request.role in MAY_TAKE,
    }
    return render(request, "report/close.html", context, status=status)


@staff(*MAY_TAKE)
@require_POST
def workbook(request: EventRequest, slug: str) -> HttpResponse:
    """Asked for by POST, since the log keeps who took the results."""
    content = make_workbook(event=request.event, actor=request.actor, now=timezone.now())
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


def _todo(event: Event, missing: Missing) -> dict[str, Any]:
    """A line that leads to the card, or to the draw where there is none."""
    if missing.group is not None:
        query = urlencode({"round": missing.round or "", "group": missing.group})
        url = f"{reverse('cards:room', args=[event.slug])}?{query}"
    else:
        url = reverse("draw:overview", args=[event.slug])
    return {"text": missing.text, "url": url, "needs": True, "when": "", "until": None}


def _stand(closing: Closing) -> list[dict[str, Any]]:
    return [
        {
            "label": division.code,
            "value": "all cards in" if division.finished else "not complete",
            "needs": not division.finished,
            "url": None,
        }
        for division in closing.divisions
    ]
