"""An entry by hand at the table, in one form: known people are offered, the rules speak while it is filled in."""

from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from events.entries import services
from events.entries.by_hand import (
    LONGEST_SOUGHT,
    NumberTaken,
    SameName,
    enter_by_hand,
    known_people,
    offered_person,
)
from events.entries.eligibility import Verdict, check, divisions_for
from events.entries.facts import event_facts, person_facts
from events.entries.forms import LOOK_AGAIN, NewEntryForm
from events.entries.models import Entry, Payment, Status
from events.entries.queries import waits_at
from events.entries.services import EntryRefused, NotEligible
from events.setup.access import EventRequest, staff
from events.setup.figures import money_text
from events.setup.models import Division, Role
from events.setup.queries import rulebook_for
from players.models import Person

WRITERS = (Role.DIRECTOR, Role.DESK)


@staff(*WRITERS)
def new(request: EventRequest, slug: str) -> HttpResponse:
    form = NewEntryForm(request.POST or None, event=request.event, initial=_initial(request))
    if request.method == "POST" and form.is_valid():
        entry = _entered(request, form)
        if entry is not None:
            return redirect(f"{reverse('entries:desk', args=[slug])}?{urlencode({'q': entry.code})}")
    context = {"form": form, "chosen": _chosen(form)} | _look(request, form if form.is_bound else None)
    return render(request, "entries/new.html", context, status=422 if request.method == "POST" else 200)


@staff(*WRITERS)
def look(request: EventRequest, slug: str) -> HttpResponse:
    """What is known so far, for the form that is being filled in: people of that name, what the rules say, the fee."""
    form = NewEntryForm(request.GET, event=request.event)
    return render(request, "entries/new_look.html", _look(request, form))


def _initial(request: EventRequest) -> dict[str, Any]:
    """The facts of a known person whom `q` finds; else what was searched for at the table."""
    pk, text = request.GET.get("person", ""), request.GET.get("q", "").strip()[:LONGEST_SOUGHT]
    person = offered_person(request.event, pk, text)
    if pk and person is None:
        messages.warning(request, LOOK_AGAIN)
    if person is not None:
        may = {None: "", True: "yes", False: "no"}[person.may_enter_f]
        facts = {name: getattr(person, name) for name in NewEntryForm.PERSON}
        return {**facts, "may_enter_f": may, "person": person.pk, "sought": text}
    if text.isdigit():
        return {"member_number": text}
    given, _, family = text.rpartition(" ")
    return {"given_name": given.title(), "family_name": family.title()}


def _chosen(form: NewEntryForm) -> Person | None:
    """Whom the entry is for, as they are known: not as the form would change them."""
    person = form.cleaned_data["person"] if form.is_bound else None
    pk = person.pk if person else form.initial.get("person")
    return Person.objects.filter(pk=pk).first() if pk else None


def _look(request: EventRequest, form: NewEntryForm | None) -> dict[str, Any]:
    empty: dict[str, Any] = {
        "known": [], "sought": "", "verdict": None, "open_to": [], "division": None, "full": None
    }  # fmt: skip
    if form is None:
        return empty
    facts = form.known()
    person = facts["person"] or Person()
    for name in NewEntryForm.PERSON:
        if facts[name] not in (None, ""):
            setattr(person, name, facts[name])
    return empty | _rules(request, person, facts["division"]) | _known(request, facts)


def _known(request: EventRequest, facts: dict[str, Any]) -> dict[str, Any]:
    """People of that number, else of that name, and which it was; nobody while somebody is chosen already."""
    number = str(facts["member_number"] or "")
    name = f"{facts['given_name'] or ''} {facts['family_name'] or ''}".strip()
    for sought in (number, name) if facts["person"] is None else ():
        if known := list(known_people(request.event, sought)):
            return {"known": known, "sought": sought}
    return {}


def _rules(request: EventRequest, person: Person, division: Division | None) -> dict[str, Any]:
    event, rulebook = request.event, rulebook_for(request.event)
    offered = event.divisions.filter(dropped_at__isnull=True).values_list("code", flat=True)
    asked, facts = event_facts(event, offered), person_facts(person)
    verdict: Verdict | None = check(facts, division.code, asked, rulebook) if division else None
    open_to = [choice.code for choice in divisions_for(facts, asked, rulebook, include_unknown=True)]
    full = waits_at(event, division.code, rulebook) if division else None
    return {"verdict": verdict, "open_to": open_to, "division": division, "full": full}


def _entered(request: EventRequest, form: NewEntryForm) -> Entry | None:
    """The entry, with a message; None and the reason in the form where it is refused."""
    facts, now, desk = form.cleaned_data, timezone.now(), request.session.get("desk", "")
    try:
        entry = enter_by_hand(
            event=request.event,
            person=facts["person"],
            facts=form.facts,
            division=facts["division"],
            amount_cents=facts["amount"],
            method=Payment.Method(facts["method"]) if facts["method"] else None,
            exception=facts["exception"].strip(),
            actor=request.actor,
            now=now,
            desk=desk,
            another=facts["another"],
        )
    except SameName as refused:
        form.add_error("another", str(refused))
    except NotEligible as refused:
        form.add_error("division", str(refused))
    except NumberTaken as taken:
        form.add_error("member_number", str(taken))
    except EntryRefused as refused:
        form.add_error(None, str(refused))
    except ValidationError as problem:
        for name, errors in problem.message_dict.items():
            form.add_error(name if name in form.fields else None, errors)
    else:
        words = f"{entry.person} is entered in {entry.division.code}: {entry.get_status_display()}."
        if entry.status == Status.WAITLISTED:
            place = services.placement_of(entry, rulebook_for(request.event))
            paid = money_text(services.money_of(entry).paid, request.event.currency)
            where = f"{entry.person} is on the waitlist of {entry.division.code}, no. {place.position}"
            words = f"{where}: {paid} taken, not checked in."
        if "check_in" in request.POST and entry.status == Status.CONFIRMED:
            services.check_in(entry=entry, actor=request.actor, now=now, desk=desk)
            words = f"{entry.person} is entered in {entry.division.code} and checked in."
        messages.success(request, words)
        return entry
    return None
