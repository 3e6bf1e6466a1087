"""The check-in table: find, check in, take money, hand out packs, undo. Two desks at a time, keyboard first."""

import secrets
from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from events.entries import services
from events.entries.asking import asks_of
from events.entries.finding import find
from events.entries.forms import OtherPaymentForm
from events.entries.history import recent_acts
from events.entries.models import Entry, Payment
from events.entries.queries import entries_to_ask, round_without_seat
from events.entries.services import EntryRefused
from events.entries.standing import standing_of
from events.entries.undoing import last_act, undo_last
from events.log.services import revision
from events.setup.access import EVERY_ROLE, EventRequest, staff
from events.setup.asked import whole_number
from events.setup.figures import clock_text, money_text
from events.setup.models import Role
from events.setup.queries import rulebook_for

WRITERS = (Role.DIRECTOR, Role.DESK)
ASKED = ("guardian", "payment")  # acts that need a line of their own to type into
LONGEST_SEARCH = 100


def is_htmx(request: EventRequest) -> bool:
    """Whether a part of the page was asked for, not the page."""
    return bool(request.htmx)  # type: ignore[attr-defined]  # set by its middleware


@staff(*EVERY_ROLE, write=())
def desk(request: EventRequest, slug: str) -> HttpResponse:
    """The page; to htmx only the rows that `q` finds, or the line that `ask` wants to have typed."""
    if "desk" not in request.session:
        request.session["desk"] = secrets.token_hex(4)
    asked = _asked(request) if request.GET.get("ask") else {"ask": None}
    if is_htmx(request) and asked["ask"]:
        return render(request, "entries/ask.html", _frame(request) | asked)
    context = _frame(request) | _found(request) | asked
    if is_htmx(request):
        return render(request, "entries/found.html", context)
    now = timezone.now()
    context |= {"said": None, "acts": recent_acts(request.event)} | _standing(request, now)
    return render(request, "entries/desk.html", context)


@staff(*EVERY_ROLE, write=())
def standing(request: EventRequest, slug: str) -> HttpResponse:
    """What another desk changed, for the page that is open: the panel and the rows; 204 while nothing was written."""
    if request.GET.get("seen") == str(revision(slug)):
        return HttpResponse(status=204)
    context = _frame(request) | _found(request) | _standing(request, timezone.now())
    return render(request, "entries/refreshed.html", context)


@staff(*WRITERS)
def undo(request: EventRequest, slug: str) -> HttpResponse:
    """Take back this session's last act that still stands."""
    if request.method != "POST":
        return redirect("entries:desk", slug)
    desk, offered = request.session.get("desk", ""), request.POST.get("number", "")
    try:
        undone = undo_last(
            event=request.event,
            desk=desk,
            actor=request.actor,
            now=timezone.now(),
            number=_whole(offered) if offered else None,
        )
    except EntryRefused as refused:
        return _answer(request, str(refused), "warning")
    return _answer(request, f"Undone: {undone.words}.", "success", undone.entry.pk)


@staff(*WRITERS)
def act(request: EventRequest, slug: str, pk: int, what: str) -> HttpResponse:
    """One act at the table on one entry; the answer says what happened and what is still open."""
    if what not in ACTS:
        raise Http404("There is no such act.")
    entry = get_object_or_404(Entry.objects.select_related("person", "division"), pk=pk, event=request.event)
    if request.method != "POST":
        return redirect("entries:desk", slug)
    try:
        words = ACTS[what](request, entry, timezone.now(), request.session.get("desk", ""))
    except EntryRefused as refused:
        return _answer(request, str(refused), "error", pk)
    still = _still_open(request, pk)
    return _answer(request, f"{words} {still}".strip(), "warning" if still else "success", pk)


def _still_open(request: EventRequest, pk: int) -> str:
    """What this entrant still has to bring, read again after the act."""
    entry = entries_to_ask(request.event).get(pk=pk)
    words = asks_of(entry, request.event, rulebook_for(request.event)).words(request.event.currency)
    return f"Still open: {', '.join(words)}." if words else ""


# --- The acts: each calls one service and answers what happened, in words ---------------------------------


def _check_in(request: EventRequest, entry: Entry, now: datetime, desk: str) -> str:
    done = services.check_in(entry=entry, actor=request.actor, now=now, desk=desk)
    assert done.checked_in_at is not None  # refused otherwise
    if done.checked_in_at != now:
        clock = clock_text(request.event.local(done.checked_in_at))
        return f"{entry.person} is in already, since {clock}, by {done.checked_in_by}."
    late = round_without_seat(entry)
    words = f"{entry.person} is checked in."
    return (
        words
        if late is None
        else f"{words} In no group of round {late}, which is published: tell the director."
    )


def _undo_check_in(request: EventRequest, entry: Entry, now: datetime, desk: str) -> str:
    services.undo_check_in(entry=entry, actor=request.actor, now=now, desk=desk)
    return f"{entry.person} is not checked in any more."


def _cash(request: EventRequest, entry: Entry, now: datetime, desk: str) -> str:
    """The whole amount that the page showed as owed, in cash."""
    seen = _whole(request.POST.get("owed", ""))
    return _take(request, entry, now, desk, amount=seen, method=Payment.Method.CASH, seen=seen)


def _other_payment(request: EventRequest, entry: Entry, now: datetime, desk: str) -> str:
    form = OtherPaymentForm(request.POST)
    if not form.is_valid():
        raise EntryRefused(" ".join(str(error) for errors in form.errors.values() for error in errors))
    facts = form.cleaned_data
    seen, amount, method = facts["owed"], facts["amount"], Payment.Method(facts["method"])
    return _take(request, entry, now, desk, amount=amount, method=method, seen=seen)


def _take(
    request: EventRequest,
    entry: Entry,
    now: datetime,
    desk: str,
    *,
    amount: int,
    method: Payment.Method,
    seen: int,
) -> str:
    services.take_payment(
        entry=entry,
        amount_cents=amount,
        method=method,
        actor=request.actor,
        now=now,
        owed_seen=seen,
        desk=desk,
    )
    entry.refresh_from_db(fields=["status"])
    waits = " Every place is taken: on the waitlist." if entry.status == "waitlisted" else ""
    figure = money_text(amount, request.event.currency)
    return f"{figure} taken from {entry.person}, {method.label}.{waits}"


def _pack(request: EventRequest, entry: Entry, now: datetime, desk: str) -> str:
    services.set_pack_given(entry=entry, given=True, actor=request.actor, now=now, desk=desk)
    return f"{entry.person} has the pack{f', {entry.pack}' if entry.pack else ''}."


def _pack_back(request: EventRequest, entry: Entry, now: datetime, desk: str) -> str:
    services.set_pack_given(entry=entry, given=False, actor=request.actor, now=now, desk=desk)
    return f"The pack of {entry.person} is back."


def _guardian(request: EventRequest, entry: Entry, now: datetime, desk: str) -> str:
    name = request.POST.get("guardian", "").strip()[:120]
    services.set_guardian(entry=entry, guardian=name, actor=request.actor, now=now)
    return f"{name} accompanies {entry.person}." if name else f"{entry.person} has no guardian named."


def _conduct(request: EventRequest, entry: Entry, now: datetime, desk: str) -> str:
    services.set_conduct_signed(entry=entry, signed=True, actor=request.actor, now=now, desk=desk)
    return f"{entry.person} signed the conduct note."


ACTS: Mapping[str, Callable[[EventRequest, Entry, datetime, str], str]] = {
    "check-in": _check_in,
    "check-out": _undo_check_in,
    "cash": _cash,
    "payment": _other_payment,
    "pack": _pack,
    "pack-back": _pack_back,
    "guardian": _guardian,
    "conduct": _conduct,
}


def _whole(text: str) -> int:
    number = whole_number(text)
    if number is None:
        raise EntryRefused("The page was old. Look again.")
    return number


# --- What the pages show ------------------------------------------------------------------------------------


def _frame(request: EventRequest) -> dict[str, Any]:
    q = (request.POST.get("q") or request.GET.get("q", "")).strip()[:LONGEST_SEARCH]
    return {
        "q": q,
        "may_write": request.role in WRITERS,
        "url": reverse("entries:desk", args=[request.event.slug]),
    }


def _found(request: EventRequest, keep: int | None = None) -> dict[str, Any]:
    """The rows for `q`; `keep` is the entry in hand."""
    q = _frame(request)["q"]
    if keep is None:
        keep = whole_number(request.GET.get("keep"))
    return {"found": find(request.event, q, rulebook_for(request.event), keep=keep) if q else None}


def _standing(request: EventRequest, now: datetime) -> dict[str, Any]:
    desk = request.session.get("desk", "") if request.role in WRITERS else ""
    return {
        "standing": standing_of(request.event, rulebook_for(request.event), now),
        "last": last_act(request.event, desk),
    }


def _asked(request: EventRequest) -> dict[str, Any]:
    """The line under the rows in which a guardian or an amount is typed."""
    what, pk = request.GET.get("ask", ""), whole_number(request.GET.get("of"))
    if what not in ASKED or pk is None or request.role not in WRITERS:
        return {"ask": None}
    entry = entries_to_ask(request.event).filter(pk=pk).first()
    if entry is None:
        return {"ask": None}
    owed = max(0, entry.owed)  # type: ignore[attr-defined]  # annotated
    form = OtherPaymentForm(initial={"owed": owed, "amount": owed, "method": Payment.Method.CARD})
    return {"ask": what, "entry": entry, "form": form, "owed": owed}


def _answer(request: EventRequest, text: str, kind: str, keep: int | None = None) -> HttpResponse:
    """What happened, with rows and panel as they are now; without htmx the page itself, at the same search."""
    if not is_htmx(request):
        level = {"success": messages.SUCCESS, "warning": messages.WARNING, "error": messages.ERROR}[kind]
        messages.add_message(request, level, text)
        frame = _frame(request)
        if request.POST.get("back") == "entry" and request.resolver_match is not None:
            return redirect("entries:entry", request.event.slug, request.resolver_match.kwargs["pk"])
        return redirect(f"{frame['url']}?{urlencode({'q': frame['q']})}")
    context = _frame(request) | _found(request, keep) | _standing(request, timezone.now())
    context |= {"said": {"text": text, "kind": kind}, "acts": recent_acts(request.event)}
    return render(request, "entries/answer.html", context)
