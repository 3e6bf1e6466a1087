"""The helper: whose call, what happened, a few questions, what it comes to; the director decides and it is written."""

from typing import Any
from uuid import uuid4

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from events.entries.models import Entry
from events.setup.access import EventRequest, staff
from events.setup.asked import page_key, whole_number
from events.setup.models import Role, Round
from scoring.cards.ruling_rights import is_verified, refuse_verified
from scoring.cards.rulings import RulingRefused
from scoring.penalties import pages
from scoring.penalties.catalogue import throws_text
from scoring.penalties.forms import EventWarningForm, PenaltyForm
from scoring.penalties.helper import Step, proposal_context, step_of, vote_words
from scoring.penalties.pages import WRITERS
from scoring.penalties.queries import Where, event_warnings_of, where
from scoring.penalties.questions import MOST_WAYS
from scoring.penalties.refusals import PenaltyRefused, WrittenAlready
from scoring.penalties.services import proposal_of, warn_instead, write_penalty
from scoring.penalties.warning_acts import warn_for_event


@staff(*WRITERS)
@require_safe
def new(request: EventRequest, slug: str) -> HttpResponse:
    """One step of the helper; each is an address of its own, so that going back needs nothing but the browser."""
    round = _round(request, request.GET.get("round"))
    pk = whole_number(request.GET.get("entry"))
    if pk is None:
        return redirect(pages.list_url(request.event, round))
    entry = _entry(request, pk)
    step = step_of(request.event, round, entry, request.GET, request.GET.getlist("way")[:MOST_WAYS])
    if step.only:
        return redirect(step.only)
    context = _frame(request, round, entry, step)
    place = where(entry, round) if step.proposing or step.votes else None
    if step.votes and place is not None:
        context["vote"] = vote_words(len(place.company) + 1)
    if step.proposing:
        try:
            context |= proposal_context(entry, round, step, place, step.hole)
        except PenaltyRefused as refused:
            messages.error(request, str(refused))
            return redirect(pages.helper_url(request.event, round, entry, step.hole, step.ways[:1]))
        context["form"] = PenaltyForm(None, place=place, hole=step.hole)
    return render(request, "penalties/new.html", context)


@staff(*WRITERS)
@require_POST
def write(request: EventRequest, slug: str) -> HttpResponse:
    """Write what was shown, or a warning in its place."""
    post = request.POST
    round = _round(request, post.get("round"))
    entry = _entry(request, whole_number(post.get("entry")) or 0)
    step = step_of(request.event, round, entry, post, post.getlist("way")[:MOST_WAYS])
    if not step.proposing:
        return redirect(pages.helper_url(request.event, round, entry, step.hole, step.ways))
    place = where(entry, round)
    form = PenaltyForm(post, place=place)
    wrong, twin = "", False
    if form.is_valid():
        try:
            _refuse_verified(request, round, entry, step, place, form)
            said = _written(request, round, entry, step, form)
        except (PenaltyRefused, RulingRefused) as refused:
            wrong, twin = str(refused), isinstance(refused, WrittenAlready)
        else:
            messages.success(request, said)
            return redirect(pages.list_url(request.event, round))
    context = _frame(request, round, entry, step) | {"form": form, "wrong": wrong, "twin": twin}
    context |= _proposed(entry, round, step, place, str(form.data.get("hole", "")))
    return render(request, "penalties/new.html", context, status=422)


def _refuse_verified(
    request: EventRequest, round: Round, entry: Entry, step: Step, place: Where | None, form: PenaltyForm
) -> None:
    """On a verified card only the director rules, with who called it and who confirmed it or that nobody need."""
    if place is None or not is_verified(round, place.group):
        return
    told = form.told(step.ways)
    throws = proposal_of(entry, round, told, place).throws and request.POST.get("act") != "warn"
    if not throws:
        return
    refuse_verified(role=request.role, round=round, group_number=place.group)
    if not told.confirmer and told.caller != entry.person.name:
        raise PenaltyRefused(
            "The card is verified: write who confirmed the call, or tick that it needs nobody."
        )


def _written(request: EventRequest, round: Round, entry: Entry, step: Step, form: PenaltyForm) -> str:
    """The sentence that says what was written."""
    common: dict[str, Any] = {
        "entry": entry,
        "round": round,
        "told": form.told(step.ways),
        "submission": page_key(request.POST.get("submission")),
        "actor": request.actor,
        "now": timezone.now(),
    }
    if request.POST.get("act") == "warn":
        warn_instead(**common)
        return f"{entry.person.name}: a warning is written."
    written = write_penalty(**common, expected=_expected(request.POST.get("expected", "")))
    said = [
        f"{ruling.entry.person.name}: {throws_text(ruling.throws)} "
        + (f"on hole {ruling.hole_label}" if ruling.hole_label else "on the round total")
        for ruling in written.rulings
    ]
    said += [f"{warning.entry.person.name}: a warning" for warning in written.warnings]
    return f"Written. {'; '.join(said)}."


def _expected(text: str) -> tuple[int, bool] | None:
    """What the page showed, as `3,0`: throws and whether a warning; None from a page that said nothing."""
    throws, _, warning = text.partition(",")
    count = whole_number(throws.removeprefix("-"))
    if count is None:
        return None
    return (-count if throws.startswith("-") else count), warning == "1"


@staff(Role.DIRECTOR)
def warn_event(request: EventRequest, slug: str) -> HttpResponse:
    """The director's warning for the whole event."""
    sent = request.POST if request.method == "POST" else None
    asked = request.GET if sent is None else sent
    entry = _entry(request, whole_number(asked.get("entry")) or 0)
    form = EventWarningForm(sent)
    wrong = ""
    if sent is not None and form.is_valid():
        try:
            warn_for_event(
                entry=entry,
                what=form.cleaned_data["what"],
                submission=page_key(sent.get("submission")),
                actor=request.actor,
                now=timezone.now(),
            )
        except PenaltyRefused as refused:
            wrong = str(refused)
        else:
            messages.success(request, f"{entry.person.name} is warned for the whole event.")
            return redirect(pages.list_url(request.event, None))
    context = {"entry": entry, "form": form, "wrong": wrong, "submission": uuid4()}
    context["warned"] = event_warnings_of(entry)
    return render(request, "penalties/warn_event.html", context, status=200 if sent is None else 422)


def _round(request: EventRequest, number: str | None) -> Round:
    return get_object_or_404(
        Round.objects.select_related("event"), event=request.event, number=whole_number(number) or 0
    )


def _entry(request: EventRequest, pk: int) -> Entry:
    return get_object_or_404(
        Entry.objects.select_related("person", "division", "event"), event=request.event, pk=pk
    )


def _frame(request: EventRequest, round: Round, entry: Entry, step: Step) -> dict[str, Any]:
    return {
        "round": round,
        "entry": entry,
        "step": step,
        "form": None,
        "vote": "",
        "wrong": "",
        "twin": False,
        "is_director": request.role == Role.DIRECTOR,
        "warned": event_warnings_of(entry),
    }


def _proposed(entry: Entry, round: Round, step: Step, place: Any, hole: str | None = None) -> dict[str, Any]:
    try:
        return proposal_context(entry, round, step, place, step.hole if hole is None else hole)
    except PenaltyRefused as refused:
        raise Http404(str(refused)) from refused
