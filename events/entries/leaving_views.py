"""Leaving the field and coming back, each with its published words; those who missed check-in."""

from collections.abc import Callable
from datetime import datetime
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import Http404, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils import timezone

from events.entries import leaving
from events.entries.asking import asks_of
from events.entries.entry_views import WRITERS, the_entry
from events.entries.forms import LeaveForm, ReasonForm, entries_chosen
from events.entries.history import waivers_of
from events.entries.models import Entry, Payment, Status
from events.entries.queries import entries_to_ask
from events.entries.refunds import HandlingFeeTooHigh, Refund, RefundOption
from events.entries.services import EntryRefused
from events.entries.statuses import STATUS_WORDS
from events.setup.access import EVERY_ROLE, EventRequest, staff
from events.setup.asked import whole_number
from events.setup.fields import at_venue
from events.setup.models import Role
from events.setup.queries import rulebook_for

# How somebody leaves: the status it gives, the service, whether only the director may, whether a reason is needed.
WAYS: dict[str, tuple[Status, Callable[..., Entry], bool, bool]] = {
    "did-not-play": (Status.DID_NOT_PLAY, leaving.mark_did_not_play, False, False),
    "did-not-finish": (Status.DID_NOT_FINISH, leaving.mark_did_not_finish, False, False),
    "disqualified": (Status.DISQUALIFIED, leaving.disqualify, True, True),
    "back": (Status.CONFIRMED, leaving.reinstate, False, False),
}


@staff(*WRITERS)
def leave(request: EventRequest, slug: str, pk: int, how: str) -> HttpResponse:
    """One of the short ways: what the word means, its source, a reason, one button."""
    if how not in WAYS:
        raise Http404("There is no such way to leave.")
    status, service, directors, needs_reason = WAYS[how]
    if directors and request.role is not Role.DIRECTOR:
        raise PermissionDenied("Only the director disqualifies.")
    entry = the_entry(request, pk)
    form = ReasonForm(request.POST or None, required=needs_reason)
    if request.method == "POST" and form.is_valid():
        try:
            service(entry=entry, actor=request.actor, now=timezone.now(), reason=form.cleaned_data["reason"])
        except EntryRefused as refused:
            form.add_error(None, str(refused))
        else:
            entry.refresh_from_db(fields=["status"])
            messages.success(request, f"{entry.person}: {entry.get_status_display()}.")
            return redirect("entries:entry", slug, pk)
    context = {
        "entry": entry,
        "form": form,
        "how": how,
        "word": STATUS_WORDS[status.value],
        "label": status.label,
    }
    return render(request, "entries/leave.html", context, status=422 if form.errors else 200)


@staff(*WRITERS)
def withdraw(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """A withdrawal with the refund that the published table leaves for the moment it was received."""
    entry, now = the_entry(request, pk), timezone.now()
    received, problem = _received(request, now)
    refund = None
    if not problem:
        refund, problem = _refund(entry, received)
    options = refund.options if refund else ()
    sent = request.POST if request.method == "POST" and refund is not None else None
    form = LeaveForm(
        sent,
        initial={"received_at": received, "option": 0 if len(options) == 1 else None},
        options=options,
        currency=request.event.currency,
    )
    if sent is not None and form.is_valid() and _withdrawn(request, entry, form, received, refund):
        return redirect("entries:entry", slug, pk)
    context = {
        "entry": entry,
        "form": form,
        "refund": refund,
        "problem": problem,
        "word": STATUS_WORDS["withdrawn"],
        "shown_for": received.isoformat(),
    }
    return render(
        request, "entries/withdraw.html", context, status=422 if sent is not None or problem else 200
    )


def _received(request: EventRequest, now: datetime) -> tuple[datetime, str]:
    """When the withdrawal reached the director: as typed, else now; with what is wrong about it, in words."""
    data: QueryDict = request.POST if request.method == "POST" else request.GET
    text = data.get("received_at", "")
    if not text:
        return now.replace(second=0, microsecond=0), ""
    try:
        wall = LeaveForm.base_fields["received_at"].clean(text)
        moment = at_venue(wall, request.event.zone)
    except ValidationError as error:
        return now, " ".join(error.messages)
    return (moment, "") if moment <= now else (now, "A withdrawal cannot be received in the future.")


def _refund(entry: Entry, received: datetime) -> tuple[Refund | None, str]:
    try:
        return leaving.refund_for(entry, received_at=received, rulebook=rulebook_for(entry.event)), ""
    except HandlingFeeTooHigh as problem:
        return None, str(problem)


def _withdrawn(
    request: EventRequest, entry: Entry, form: LeaveForm, received: datetime, refund: Refund | None
) -> bool:
    if request.POST.get("shown_for") != received.isoformat():
        form.add_error(None, "The moment was changed: these are the refunds for it. Look again.")
        return False
    number = form.cleaned_data["option"]
    option = refund.options[number] if refund is not None and number is not None else None
    try:
        leaving.withdraw(
            entry=entry,
            received_at=received,
            option=option,
            method=Payment.Method(form.cleaned_data["method"]),
            reason=form.cleaned_data["reason"],
            actor=request.actor,
            now=timezone.now(),
        )
    except EntryRefused as refused:
        form.add_error(None, str(refused))
        return False
    messages.success(request, f"{entry.person} is withdrawn. The place is free for the waitlist.")
    return True


@staff(*WRITERS)
def pay_back(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """Money back after the leaving, by one of the options that the table leaves now."""
    entry = the_entry(request, pk)
    if request.method == "POST" and entry.left_at is not None:
        try:
            option = _option(request, leaving.refund_due(entry, rulebook_for(request.event)))
            leaving.pay_back(
                entry=entry,
                amount_cents=option.cents - leaving.paid_back(entry),
                method=_method(request.POST.get("method", "")),
                note=option.text,
                actor=request.actor,
                now=timezone.now(),
            )
        except (EntryRefused, HandlingFeeTooHigh) as refused:
            messages.error(request, str(refused))
        else:
            messages.success(request, "Paid back.")
    return redirect("entries:entry", slug, pk)


def _option(request: EventRequest, refund: Refund | None) -> RefundOption:
    number = whole_number(request.POST.get("option"))
    if refund is None or number is None or number >= len(refund.options):
        raise EntryRefused("Choose what is paid back.")
    return refund.options[number]


def _method(text: str) -> Payment.Method:
    return Payment.Method(text) if text in Payment.Method.values else Payment.Method.OTHER


# --- Expected, but not in -------------------------------------------------------------------------------------


@staff(*EVERY_ROLE, write=WRITERS)
def missing(request: EventRequest, slug: str) -> HttpResponse:
    """Who is expected and not in; after the closing they did not play, unless the director keeps their place."""
    event = request.event
    if request.method == "POST":
        _deal_with_missing(request)
        return redirect("entries:missing", slug)
    entries = list(entries_to_ask(event).filter(status=Status.CONFIRMED, checked_in_at__isnull=True))
    rulebook, waivers = rulebook_for(event), waivers_of(event)
    rows = [
        {
            "entry": entry,
            "asks": asks_of(entry, event, rulebook).words(event.currency),
            "waiver": waivers.get(entry.pk),
        }
        for entry in entries
    ]
    now, closes = timezone.now(), event.checkin_closes_at
    context = {
        "rows": rows,
        "closes_at": closes,
        "closed": closes is not None and now >= closes,
        "may_write": request.role in WRITERS,
        "director": request.role is Role.DIRECTOR,
        "word": STATUS_WORDS["did_not_play"],
        "rule": rulebook.value("refund.percent.missed_check_in"),
        "open_rows": sum(1 for row in rows if row["waiver"] is None),
    }
    return render(request, "entries/missing.html", context)


def _deal_with_missing(request: EventRequest) -> None:
    """The ticked ones, all or none."""
    what, reason = request.POST.get("what"), request.POST.get("reason", "").strip()[:500]
    if what == "waive" and request.role is not Role.DIRECTOR:
        raise PermissionDenied("Only the director waives a missed check-in.")
    service: dict[str | None, Callable[..., Entry]] = {
        "did_not_play": leaving.mark_did_not_play,
        "waive": leaving.waive_missed_check_in,
    }
    if what not in service:
        raise Http404("There is no such act.")
    facts: dict[str, Any] = {"actor": request.actor, "now": timezone.now(), "reason": reason}
    try:
        chosen = entries_chosen(request.event, request.POST.getlist("entry"))
        leaving.for_each(chosen, service[what], **facts)
    except (EntryRefused, ValidationError) as problem:
        messages.error(request, problem.messages[0] if isinstance(problem, ValidationError) else str(problem))
        return
    done = "did not play" if what == "did_not_play" else "place kept"
    messages.success(request, f"{len(chosen)} marked: {done}.")
