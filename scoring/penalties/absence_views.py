"""Holes that a player did not play: chosen, shown as they will be scored, written into the card."""

from uuid import uuid4

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from events.entries.models import Entry
from events.setup.access import EventRequest, staff
from events.setup.asked import page_key, whole_number
from events.setup.models import Role, Round
from scoring.cards.pages import room_url
from scoring.penalties.absences import absence_row, proposed_scores, score_absence
from scoring.penalties.forms import AbsenceForm
from scoring.penalties.pages import list_url
from scoring.penalties.queries import where
from scoring.penalties.refusals import PenaltyRefused


@staff(Role.DIRECTOR, Role.CARD_ROOM)
def absent(request: EventRequest, slug: str) -> HttpResponse:
    """One form: which holes; each says what it will be scored and what is written there now."""
    sent = request.POST if request.method == "POST" else None
    asked = request.GET if sent is None else sent
    round = get_object_or_404(
        Round.objects.select_related("event"),
        event=request.event,
        number=whole_number(asked.get("round")) or 0,
    )
    entry = get_object_or_404(
        Entry.objects.select_related("person", "division", "event"),
        event=request.event,
        pk=whole_number(asked.get("entry")) or 0,
    )
    place = where(entry, round)
    if place is None:
        messages.error(
            request, f"{entry.person.name} is in no group of the tee sheet of round {round.number}."
        )
        return redirect(list_url(request.event, round))
    row = absence_row(round)
    scores = proposed_scores(entry, round, place, place.labels, row.throws)
    first = place.labels.index(place.start) if place.start in place.labels else 0
    form = AbsenceForm(sent, scores=[*scores[first:], *scores[:first]], hole=asked.get("hole", ""))
    wrong = ""
    if sent is not None and form.is_valid():
        wrong = _score(request, entry, round, form)
        if not wrong:
            return redirect(room_url(request.event, round.number, place.group))
    context = {"round": round, "entry": entry, "place": place, "row": row, "form": form, "wrong": wrong}
    context["submission"] = uuid4()
    return render(request, "penalties/absent.html", context, status=200 if sent is None else 422)


def _score(request: EventRequest, entry: Entry, round: Round, form: AbsenceForm) -> str:
    """Score the holes and say so; why not, "" when it is done."""
    try:
        saved = score_absence(
            entry=entry,
            round=round,
            labels=form.cleaned_data["holes"],
            reason=form.cleaned_data["reason"],
            submission=page_key(request.POST.get("submission")),
            actor=request.actor,
            now=timezone.now(),
        )
    except PenaltyRefused as refused:
        return str(refused)
    if saved is None:
        messages.success(request, f"{entry.person.name}: the card is verified, so the holes are ruled on.")
    elif saved.conflict:
        messages.warning(request, "The card was changed meanwhile: decide between the two.")
    else:
        messages.success(request, f"{entry.person.name}: the holes are scored.")
    return ""
