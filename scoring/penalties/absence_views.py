"""Holes that a player did not play: chosen, shown as they will be scored, written into the card."""

from uuid import uuid4

from django.contrib import messages
from django.http import HttpResponse, QueryDict
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
    round, entry = _who(request, asked)
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
        wrong = _scored(request, entry, round, form)
        if not wrong:
            return redirect(room_url(request.event, round.number, place.group))
    context = {"round": round, "entry": entry, "place": place, "row": row, "form": form, "wrong": wrong}
    context["submission"] = uuid4()
    return render(request, "penalties/absent.html", context, status=200 if sent is None else 422)


def _who(request: EventRequest, asked: QueryDict) -> tuple[Round, Entry]:
    """The round and the player that the address or the form names; 404 without."""
    rounds = Round.objects.select_related("event")
    number, pk = (whole_number(asked.get(name)) or 0 for name in ("round", "entry"))
    entries = Entry.objects.select_related("person", "division", "event")
    return (
        get_object_or_404(rounds, event=request.event, number=number),
        get_object_or_404(entries, event=request.event, pk=pk),
    )


def _scored(request: EventRequest, entry: Entry, round: Round, form: AbsenceForm) -> str:
    """Write the holes into the card and say what became of them; why they could not be, "" when they are."""
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
    name = entry.person.name
    if saved is None:
        messages.success(request, f"{name}: the card is verified, so the holes are ruled on.")
    elif saved.conflict:
        messages.warning(request, "The card was changed meanwhile: decide between the two.")
    else:
        messages.success(request, f"{name}: the holes are scored.")
    return ""
