"""The list of entries, one entry with its money and history, and changing it."""

from typing import Any

import django_tables2
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import Q
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from events.entries import services
from events.entries.asking import asks_of
from events.entries.changing import CONTACT_FIELDS, change_entry
from events.entries.eligibility import Verdict
from events.entries.finding import name_words
from events.entries.forms import ChangeForm, ContactForm, FilterForm, OtherPaymentForm, PersonForm
from events.entries.history import history_of
from events.entries.leaving import paid_back, refund_due
from events.entries.ledger import ledger_of
from events.entries.models import IN_THE_FIELD, Entry, EntryAddOn, Payment, Status
from events.entries.queries import entries_of, entries_to_ask, pools_of
from events.entries.refunds import HandlingFeeTooHigh
from events.entries.services import EntryRefused, EntryStale, NotEligible
from events.entries.statuses import STATUS_WORDS
from events.entries.tables import EntryTable
from events.setup.access import EVERY_ROLE, EventRequest, staff
from events.setup.models import Role
from events.setup.queries import rulebook_for
from players.models import Contact

WRITERS = (Role.DIRECTOR, Role.DESK)
ON_A_PAGE = 50


@staff(*EVERY_ROLE, write=())
def entry_list(request: EventRequest, slug: str) -> HttpResponse:
    """Every entry, filtered, sorted, in pages."""
    event = request.event
    codes = list(event.divisions.order_by("order", "code").values_list("code", flat=True))
    form = FilterForm(request.GET or None, codes=codes)
    form.is_valid()
    facts = form.cleaned_data if form.is_bound else {}
    entries = entries_of(event)
    if words := name_words(facts.get("q", "")):
        entries = entries.filter(words)
    if facts.get("division"):
        entries = entries.filter(division__code=facts["division"])
    if facts.get("status"):
        entries = entries.filter(status=facts["status"])
    if facts.get("owing"):
        entries = entries.filter(Q(owed__gt=0), status__in=[*IN_THE_FIELD, Status.APPLIED])
    table = EntryTable(entries, event=event)
    django_tables2.RequestConfig(request, paginate={"per_page": ON_A_PAGE}).configure(table)
    context = {
        "form": form,
        "table": table,
        "found": table.paginator.count,
        "may_write": request.role in WRITERS,
    }
    return render(request, "entries/list.html", context)


def the_entry(request: EventRequest, pk: int) -> Entry:
    """The entry of this event with money and all that the desk asks for, or 404."""
    entry = get_object_or_404(entries_to_ask(request.event).select_related("filled_by__person"), pk=pk)
    entry.event = request.event
    return entry


@staff(*EVERY_ROLE, write=())
def entry(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """All that is known of one entry. Contact, guardian, note and birth year are shown to desk and director only."""
    found = the_entry(request, pk)
    may_write = request.role in WRITERS
    rulebook = rulebook_for(request.event)
    owed = max(0, found.owed)  # type: ignore[attr-defined]  # annotated
    context = {
        "entry": found,
        "person": found.person,
        "may_write": may_write,
        "contact": Contact.objects.filter(person=found.person).first() if may_write else None,
        "pool": pools_of(request.event, [found]).get(pk, ""),
        "asks": asks_of(found, request.event, rulebook).words(request.event.currency),
        "word": STATUS_WORDS[found.status],
        "ledger": ledger_of(found),
        "payments": Payment.objects.filter(
            entry=found, undoes__isnull=True, undone_by__isnull=True, amount_cents__gt=0
        )
        if may_write
        else [],
        "payment_form": OtherPaymentForm(initial={"owed": owed, "amount": owed}),
        "owed": owed,
        "history": history_of(request.event, pk),
        "took_place_of": Entry.objects.filter(filled_by=found).select_related("person").first(),
        "refund": _refund(request, found) if may_write else None,
        "methods": Payment.Method.choices,
    }
    return render(request, "entries/entry.html", context)


def _refund(request: EventRequest, entry: Entry) -> dict[str, Any] | None:
    """After a leaving: what the table gives back, less what went back already."""
    try:
        found = refund_due(entry, rulebook_for(request.event))
    except HandlingFeeTooHigh as problem:
        return {"problem": str(problem), "found": None, "back": 0, "options": []}
    if found is None:
        return None
    back = paid_back(entry)
    options = [
        {"number": n, "option": option, "rest": max(0, option.cents - back)}
        for n, option in enumerate(found.options)
    ]
    return {"problem": "", "found": found, "back": back, "options": options}


@staff(*WRITERS)
def undo_payment(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    payment = get_object_or_404(Payment, pk=pk, entry__event=request.event)
    if request.method == "POST":
        try:
            services.undo_payment(payment=payment, actor=request.actor, now=timezone.now())
        except EntryRefused as refused:
            messages.error(request, str(refused))
        else:
            messages.success(request, "The payment is undone.")
    return redirect("entries:entry", slug, payment.entry_id)


# --- Changing -----------------------------------------------------------------------------------------------


@staff(*WRITERS)
def change(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """Person, entry and contact in one form; a page that is old is told who changed what, and when."""
    found = the_entry(request, pk)
    form, person, contact = _change_forms(request, found)
    verdict: Verdict | None = None
    version = found.version
    if request.method == "POST" and all([form.is_valid(), person.is_valid(), contact.is_valid()]):
        facts = dict(form.cleaned_data)
        try:
            change_entry(
                entry=found,
                version=facts.pop("version"),
                person=person.cleaned_data,
                contact=contact.cleaned_data,
                actor=request.actor,
                now=timezone.now(),
                **facts,
            )
        except EntryStale as stale:
            form.add_error(None, str(stale))
            version = Entry.objects.values_list("version", flat=True).get(pk=pk)
        except NotEligible as refused:
            verdict = refused.verdict
            form.add_error("division", "The rules refuse this division: see why, or record an approval.")
        except EntryRefused as refused:
            form.add_error(None, str(refused))
        except ValidationError as problem:
            _to_person(person, problem)
        else:
            messages.success(request, f"{found.person} saved.")
            return redirect("entries:entry", slug, pk)
    context = {
        "entry": found,
        "version": version,
        "form": form,
        "person_form": person,
        "contact_form": contact,
        "verdict": verdict,
    }
    return render(request, "entries/change.html", context, status=422 if request.method == "POST" else 200)


def _to_person(form: PersonForm, problem: ValidationError) -> None:
    """Errors by field where they belong to one; else above the form."""
    if hasattr(problem, "error_dict"):
        for name, errors in problem.message_dict.items():
            form.add_error(name if name in form.fields else None, errors)
    else:
        form.add_error(None, problem.messages)


def _change_forms(request: EventRequest, entry: Entry) -> tuple[ChangeForm, PersonForm, ContactForm]:
    sent = request.POST if request.method == "POST" else None
    initial = {
        "version": entry.version,
        "division": entry.division_id,
        "pack": entry.pack,
        "guardian": entry.guardian,
        "note": entry.note,
        "exception": entry.exception,
        "paid_elsewhere_cents": entry.paid_elsewhere_cents,
        "addons": list(EntryAddOn.objects.filter(entry=entry).values_list("addon_id", flat=True)),
    }
    contact = Contact.objects.filter(person=entry.person).first()
    held = {name: getattr(contact, name) for name in CONTACT_FIELDS} if contact else {}
    return (
        ChangeForm(sent, initial=initial, event=request.event),
        PersonForm(sent, instance=entry.person),
        ContactForm(sent, initial=held),
    )
