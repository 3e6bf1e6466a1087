"""The list of penalties and warnings, the catalogue on a page and on paper, and taking back."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from events.safety.papers import head_of
from events.setup.access import EVERY_ROLE, EventRequest, staff
from events.setup.answers import shown_pdf
from events.setup.models import Role
from events.setup.queries import rulebook_for
from events.sheets.cells import clean
from scoring.cards.models import Ruling
from scoring.cards.pages import rounds_of
from scoring.cards.ruling_rights import refuse_verified
from scoring.cards.rulings import RulingRefused, take_back_ruling
from scoring.penalties import pages
from scoring.penalties.catalogue import by_chapter, catalogue
from scoring.penalties.models import Warning
from scoring.penalties.pages import WRITERS
from scoring.penalties.prints import penalty_sheet
from scoring.penalties.queries import where
from scoring.penalties.refusals import PenaltyRefused
from scoring.penalties.warning_acts import take_back_warning


@staff(*EVERY_ROLE, write=())
@require_safe
def penalties(request: EventRequest, slug: str) -> HttpResponse:
    """What stands beside the cards of a round, and whose call comes next: by name, number, scan or group."""
    event = request.event
    rounds = rounds_of(event)
    round = pages.chosen(rounds, request.GET.get("round"))
    text = clean(request.GET.get("q", ""))[:100]
    found = pages.found_people(event, round, text) if round and text else []
    if len(found) == 1:
        return redirect(found[0][1])
    context = {
        "round": round,
        "tabs": pages.tabs(rounds, round, event),
        "q": text,
        "found": found,
        "may_write": request.role in WRITERS and event.over_at is None,
        "is_director": request.role == Role.DIRECTOR,
        "lines": [],
        "standing": [],
        "event_warnings": [],
    }
    if round is not None:
        context |= pages.list_context(event, round)
    return render(request, "penalties/list.html", context)


@staff(*EVERY_ROLE, write=())
@require_safe
def table(request: EventRequest, slug: str) -> HttpResponse:
    """Every row of the catalogue in force, by name, with its source."""
    rows = catalogue(rulebook_for(request.event), request.event.tier)
    return render(request, "penalties/table.html", {"chapters": by_chapter(rows.values())})


@staff(*EVERY_ROLE, write=())
@require_safe
def table_paper(request: EventRequest, slug: str) -> HttpResponse:
    """The same on one page for officials."""
    event, local = request.event, request.event.local(timezone.now())
    rows = catalogue(rulebook_for(event), event.tier)
    printed = f"printed {local:%a} {local.day} {local:%B %H:%M}"
    content = penalty_sheet(head_of(event), rows.values(), on=event.starts_on, printed=printed)
    return shown_pdf(content, f"{slug}-penalties.pdf")


@staff(*WRITERS)
@require_POST
def unwarn(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """A warning counts no longer; one for the whole event only the director takes back."""
    warning = get_object_or_404(
        Warning.objects.select_related("round", "entry__person"), pk=pk, entry__event=request.event
    )
    try:
        if warning.round_id is None and request.role != Role.DIRECTOR:
            raise PenaltyRefused("A warning for the whole event is taken back by the director only.")
        reason = clean(request.POST.get("reason", ""))
        take_back_warning(warning=warning, reason=reason, actor=request.actor, now=timezone.now())
    except PenaltyRefused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, f"The warning of {warning.entry.person.name} is taken back.")
    return redirect(pages.list_url(request.event, warning.round))


@staff(*WRITERS)
@require_POST
def unrule(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """Throws count no longer. A ruling that came from a call about a disc or from a stop goes with that."""
    ruling = get_object_or_404(
        Ruling.objects.select_related("round", "entry__person"), pk=pk, round__event=request.event
    )
    try:
        place = where(ruling.entry, ruling.round)
        if place is not None:
            refuse_verified(role=request.role, round=ruling.round, group_number=place.group)
        if not ruling.by_hand:
            raise RulingRefused("This ruling came from another page: take it back there.")
        reason = clean(request.POST.get("reason", ""))
        take_back_ruling(ruling=ruling, reason=reason, actor=request.actor, now=timezone.now())
    except RulingRefused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, f"The ruling on {ruling.entry.person.name} is taken back.")
    return redirect(pages.list_url(request.event, ruling.round))
