"""Changes of a draft by hand: one form, one service, and the board again."""

from collections.abc import Callable
from datetime import datetime

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from events.draw import editing, pages, services
from events.draw.above import Above
from events.draw.hand import undo as take_back
from events.draw.models import Sheet
from events.draw.orders import Order, carry_out
from events.draw.placing import DrawRefused
from events.draw.services import SheetStale
from events.draw.views import WRITERS, board_context, round_of, shown_revision
from events.setup.access import EventRequest, staff
from events.setup.asked import whole_number
from events.setup.models import Round

Act = Callable[[Sheet, int, datetime], str]


def _change(request: EventRequest, round: Round, above: Above, act: Act) -> HttpResponse:
    """Do it to the draft that the page showed, and show the board with what was done or why not."""
    said, kind = "", "success"
    if request.method == "POST":
        try:
            said = act(_draft(request, round), shown_revision(request), timezone.now())
        except DrawRefused as refused:
            said, kind = str(refused), "warning" if isinstance(refused, SheetStale) else "error"
    if not request.htmx:  # type: ignore[attr-defined]
        if said:
            messages.add_message(request, getattr(messages, kind.upper()), said)
        return redirect(pages.round_url(request.event, round.number))
    sheets = [sheet for sheet in pages.sheets_of(request.event) if sheet.round_id == round.pk]
    sheet = pages.shown_sheet(sheets, None)
    if sheet is None:
        return HttpResponse(status=404)
    shown = pages.shown(round, sheet.pk, sheets, above)
    context = board_context(request, shown) | {"said": said, "kind": kind, "swapped": True}
    return render(request, "draw/answer.html", context, status=422 if kind == "error" else 200)


def _draft(request: EventRequest, round: Round) -> Sheet:
    sheet = Sheet.objects.filter(round=round, pk=whole_number(request.POST.get("sheet")) or 0).first()
    if sheet is None:
        raise SheetStale("The round was drawn anew meanwhile. Look at the new draft first.")
    return sheet


@staff(*WRITERS)
def edit(request: EventRequest, slug: str, number: int, above: Above) -> HttpResponse:
    """Move, swap, take out: what is typed beside the chosen player or group."""
    order = Order(
        who=request.POST.get("who", ""), do=request.POST.get("do", ""), to=request.POST.get("to", "")
    )

    def act(sheet: Sheet, revision: int, now: datetime) -> str:
        return carry_out(order=order, sheet=sheet, revision=revision, actor=request.actor, now=now)

    return _change(request, round_of(request.event, number), above, act)


@staff(*WRITERS)
def undo(request: EventRequest, slug: str, number: int, above: Above) -> HttpResponse:
    """Take the last change of the draft back, whoever made it."""

    def act(sheet: Sheet, revision: int, now: datetime) -> str:
        what = take_back(sheet=sheet, revision=revision, actor=request.actor, now=now)
        return f"Taken back: {what}"

    return _change(request, round_of(request.event, number), above, act)


@staff(*WRITERS)
def keep(request: EventRequest, slug: str, number: int, above: Above) -> HttpResponse:
    """Keep what a rule speaks against, with a reason."""

    def act(sheet: Sheet, revision: int, now: datetime) -> str:
        return editing.keep_breach(
            sheet=sheet,
            key=request.POST.get("key", ""),
            reason=request.POST.get("reason", ""),
            revision=revision,
            actor=request.actor,
            now=now,
        )

    return _change(request, round_of(request.event, number), above, act)


@staff(*WRITERS)
def reopen(request: EventRequest, slug: str, number: int, above: Above) -> HttpResponse:
    """A new draft from the published sheet."""
    round = round_of(request.event, number)
    if request.method == "POST":
        try:
            sheet = services.reopen(round=round, actor=request.actor, now=timezone.now())
        except DrawRefused as refused:
            messages.error(request, str(refused))
        else:
            messages.success(request, f"Draft {sheet.version} starts from the published sheet.")
    return redirect(pages.round_url(request.event, number))


@staff(*WRITERS)
def discard(request: EventRequest, slug: str, number: int, above: Above) -> HttpResponse:
    """Drop the draft."""
    round = round_of(request.event, number)
    if request.method == "POST":
        try:
            services.discard(
                sheet=_draft(request, round),
                revision=shown_revision(request),
                actor=request.actor,
                now=timezone.now(),
            )
        except DrawRefused as refused:
            messages.error(request, str(refused))
        else:
            messages.success(request, f"The draft of round {number} is dropped.")
    return redirect(pages.round_url(request.event, number))
