"""Calls in a playoff: written from its page, and taken back."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_POST

from events.setup.access import EventRequest, staff
from events.setup.asked import page_key
from events.setup.queries import rulebook_for
from events.sheets.cells import clean
from scoring.penalties.catalogue import throws_text
from scoring.playoffs.calls import Told, take_call_back, warning_rules, write_call
from scoring.playoffs.claiming import PlayoffRefused
from scoring.playoffs.models import PlayoffCall
from scoring.playoffs.outcomes import outcome_of
from scoring.playoffs.playoff_page import (
    WRITERS,
    form_for_calls,
    hole_words,
    names_of,
    newest,
    playoff_of,
    playoff_page,
)


@staff(*WRITERS)
@require_POST
def call(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """A warning, or from the next breach of the rule on its throws."""
    row = playoff_of(request, pk)
    rules, names = warning_rules(rulebook_for(request.event), request.event.tier), names_of(row)
    form = form_for_calls(row, outcome_of(row, newest(row)), names, rules, request.POST)
    if form.is_valid():
        facts = form.cleaned_data
        told = Told(
            entry=facts["entry"],
            rule=facts["rule"],
            hole=facts["hole"],
            caller=clean(facts["caller"]),
            what=clean(facts["what"]),
        )
        key = page_key(request.POST.get("submission"))
        try:
            made = write_call(playoff=row, told=told, submission=key, actor=request.actor, now=timezone.now())
        except PlayoffRefused as refused:
            form.add_error(None, str(refused))
        else:
            who, rule = names[made.entry_id], rules[made.rule].name
            if made.throws:
                where = hole_words(row, made.hole)
                said = f"{who}: {rule} again, {throws_text(made.throws)}."
                said += f" Write it into the figure of playoff hole {where}."
            else:
                said = f"{who} is warned: {rule}."
            messages.success(request, said)
            return redirect("playoffs:playoff", slug, pk)
    return playoff_page(request, row, call_form=form, status=422)


@staff(*WRITERS)
@require_POST
def uncall(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """A call counts no longer, with a reason."""
    row = get_object_or_404(
        PlayoffCall.objects.select_related("playoff__division__event"),
        pk=pk,
        playoff__division__event=request.event,
    )
    try:
        reason = clean(request.POST.get("reason", ""))
        take_call_back(call=row, reason=reason, actor=request.actor, now=timezone.now())
    except PlayoffRefused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, "The call is taken back. The figures of the holes stay as they are.")
    return redirect("playoffs:playoff", slug, row.playoff_id)
