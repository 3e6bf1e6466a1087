"""Holes that a player did not play: chosen, shown as they will be scored, written into the card."""

from uuid import UUID, uuid4

from django.contrib import messages
from django.http import HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from events.entries.models import Entry
from events.setup.access import EventRequest, staff
from events.setup.asked import page_key, whole_number
from events.setup.models import Role, Round
from scoring.cards.pages import room_url
from scoring.cards.ruling_rights import refuse_verified
from scoring.cards.rulings import RulingRefused
from scoring.penalties.absences import (
    Rows,
    There,
    absence_rows,
    proposed_scores,
    rulings_there,
    score_absence,
)
from scoring.penalties.forms import STAYS, VOID, AbsenceForm
from scoring.penalties.pages import list_url
from scoring.penalties.queries import Where, where
from scoring.penalties.refusals import PenaltyRefused


@staff(Role.DIRECTOR, Role.CARD_ROOM)
def absent(request: EventRequest, slug: str) -> HttpResponse:
    """One form: which holes; each says what it will be scored and what is written there now."""
    sent = request.POST if request.method == "POST" else None
    asked = request.GET if sent is None else sent
    round, entry = _whose(request, asked)
    place = where(entry, round)
    if place is None:
        messages.error(
            request, f"{entry.person.name} is in no group of the tee sheet of round {round.number}."
        )
        return redirect(list_url(request.event, round))
    rows = absence_rows(round)
    there = rulings_there(entry, round, place.labels, rows)
    form = _form(sent, asked, entry, round, place, rows, there)
    wrong = ""
    if sent is not None and form.is_valid():
        try:
            done = _score(request, entry, round, place, form, page_key(sent.get("submission")))
        except (PenaltyRefused, RulingRefused) as refused:
            wrong = str(refused)
        else:
            messages.add_message(request, *done)
            return redirect(room_url(request.event, round.number, place.group))
    context = {"round": round, "entry": entry, "place": place, "row": rows.hole, "form": form, "wrong": wrong}
    context |= {"late": there.late, "submission": uuid4()}
    return render(request, "penalties/absent.html", context, status=200 if sent is None else 422)


def _whose(request: EventRequest, asked: QueryDict) -> tuple[Round, Entry]:
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
    return round, entry


def _form(
    sent: QueryDict | None,
    asked: QueryDict,
    entry: Entry,
    round: Round,
    place: Where,
    rows: Rows,
    there: There,
) -> AbsenceForm:
    """The holes in the order in which the group plays them."""
    scores = proposed_scores(entry, round, place, place.labels, rows.hole.throws)
    first = place.labels.index(place.start) if place.start in place.labels else 0
    return AbsenceForm(
        sent, scores=[*scores[first:], *scores[:first]], rulings=there.open, hole=asked.get("hole", "")
    )


def _score(
    request: EventRequest, entry: Entry, round: Round, place: Where, form: AbsenceForm, key: UUID
) -> tuple[int, str]:
    """Level and sentence of what was done."""
    refuse_verified(role=request.role, round=round, group_number=place.group)
    saved = score_absence(
        entry=entry,
        round=round,
        labels=form.cleaned_data["holes"],
        reason=form.cleaned_data["reason"],
        submission=key,
        actor=request.actor,
        now=timezone.now(),
        void=form.rulings(VOID),
        stay=form.rulings(STAYS),
    )
    if saved is None:
        return messages.SUCCESS, f"{entry.person.name}: the card is verified, so the holes are ruled on."
    if saved.conflict:
        return messages.WARNING, "The card was changed meanwhile: decide between the two."
    return messages.SUCCESS, f"{entry.person.name}: the holes are scored."
