"""The equipment desk: a player's bag on the table, piece by piece, keyboard first."""

from decimal import Decimal
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.db import transaction
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe
from django_htmx.http import HttpResponseClientRedirect

from events.bags import weighings
from events.bags.above import AboveBags
from events.bags.acting import acts_in
from events.bags.desk_line import BadLine, DeskLine, read_line
from events.bags.desk_page import bag_desk, chosen_scale, scales_of, working_of
from events.bags.finding import entry_of, found_entries
from events.bags.links import scanned_code
from events.bags.models import BagAct, Question, Scale, Weighing
from events.bags.pages import chosen_round, round_tabs
from events.bags.scales import DeskRefused
from events.bags.services import BagRefused, apply_acts
from events.bags.slip import slip_pdf
from events.entries.models import Entry
from events.entries.paper_views import head_of
from events.setup.access import EVERY_ROLE, EventRequest, staff
from events.setup.answers import shown_pdf
from events.setup.asked import page_key, whole_number
from events.setup.models import Role, Round
from events.setup.overview import moment_text
from events.setup.queries import rulebook_for
from players.models import Disc

WRITERS = (Role.DIRECTOR, Role.EQUIPMENT)


@staff(*EVERY_ROLE, write=())
def desk(request: EventRequest, slug: str, above: AboveBags) -> HttpResponse:
    """Find a player; the bag of the round appears, with the cursor in the first piece that is not weighed."""
    text = request.GET.get("q", "").strip()
    entry = entry_of(request.event, whole_number(request.GET.get("entry")))
    found = found_entries(request.event, text) if text else []
    if entry is None and len(found) == 1:
        entry = found[0]
    round = chosen_round(
        request.event, request.GET.get("round"), above.closed(entry) if entry is not None else ()
    )
    context = _frame(request, round) | {"q": text, "found": found if len(found) > 1 else [], "entry": None}
    context |= {"nobody": bool(text) and not found, "done": False}
    if entry is not None and round is not None:
        at, after = whole_number(request.GET.get("at")), whole_number(request.GET.get("after"))
        context |= bag_desk(entry, round, at=at, after=after, step_g=_step(context)) | {"wrong": ""}
    return render(request, "bags/equipment.html", context)


def _frame(request: EventRequest, round: Round | None) -> dict[str, Any]:
    event = request.event
    scales = scales_of(event, rulebook_for(event), timezone.now())
    chosen = chosen_scale(scales, request.session.get("scale"))
    whose = whole_number(request.GET.get("entry"))
    return {
        "round": round,
        "tabs": round_tabs(event, round, lambda each: desk_url(event.slug, each.number, entry=whose)),
        "scales": scales,
        "scale": chosen,
        "may_write": request.role in WRITERS and event.over_at is None,
        "is_director": request.role == Role.DIRECTOR,
    }


def _step(frame: dict[str, Any]) -> Decimal | None:
    """The step in grams of the scale at this station; None where none is chosen."""
    return frame["scale"]["scale"].resolution_g if frame["scale"] else None


def desk_url(slug: str, round_number: int, **query: Any) -> str:
    """The desk's page for a round; what is None or empty is left out of the query."""
    said = {"round": round_number} | {name: value for name, value in query.items() if value}
    return f"{reverse('bags:desk', args=[slug])}?{urlencode(said)}"


def _piece(request: EventRequest, entry_pk: int, disc_pk: int) -> tuple[Entry, Disc]:
    entry = entry_of(request.event, entry_pk)
    if entry is None:
        raise Http404("There is no such entry at this event.")
    return entry, get_object_or_404(Disc, pk=disc_pk, person=entry.person)


def _again(
    request: EventRequest,
    entry: Entry,
    round: Round | None,
    *,
    at: int | None = None,
    after: int | None = None,
    wrong: str = "",
) -> HttpResponse:
    """The bag after an act: the part alone for htmx, the page for a form without script."""
    if round is None:
        raise Http404("The event has no rounds yet.")
    if not request.htmx:  # type: ignore[attr-defined]
        if wrong:
            messages.error(request, wrong)
        return redirect(desk_url(request.event.slug, round.number, entry=entry.pk, at=at, after=after))
    context = _frame(request, round) | {"q": "", "found": [], "nobody": False}
    context |= bag_desk(entry, round, at=at, after=after, step_g=_step(context)) | {"wrong": wrong}
    return render(request, "bags/equipment_answer.html", context, status=422 if wrong else 200)


@staff(*WRITERS)
@require_POST
def keep(request: EventRequest, slug: str, entry: int, disc: int, above: AboveBags) -> HttpResponse:
    """One line for one piece: a reading, what was seen, the number of another piece, or the next player's slip."""
    owner, piece = _piece(request, entry, disc)
    round = chosen_round(request.event, request.POST.get("round"))
    typed = request.POST.get("line", "")
    if round is not None and scanned_code(typed) is not None:
        return _go(request, desk_url(slug, round.number, q=typed))
    try:
        line = read_line(f"{typed} {request.POST.get('tap', '')}")
        if line.jump is not None:
            return _again(request, owner, round, at=_number_of(owner, line.jump))
        weighed = _kept(request, owner, piece, round, line)
    except (BadLine, DeskRefused) as refused:
        return _again(request, owner, round, at=piece.number, wrong=str(refused))
    if weighed or piece.weighings.filter(entry=owner).exists():
        return _again(request, owner, round, after=piece.number)
    return _again(request, owner, round, at=piece.number)


def _go(request: EventRequest, url: str) -> HttpResponse:
    return HttpResponseClientRedirect(url) if request.htmx else redirect(url)  # type: ignore[attr-defined]


def _number_of(owner: Entry, number: int) -> int:
    """The number, if a piece of the box has it. Raises DeskRefused."""
    if not Disc.objects.filter(person=owner.person_id, number=number, put_away_at__isnull=True).exists():
        raise DeskRefused(f"There is no piece {number} in this box.")
    return number


@transaction.atomic
def _kept(request: EventRequest, owner: Entry, piece: Disc, round: Round | None, line: DeskLine) -> bool:
    """Keep all of the line or nothing of it; True if a reading was among it. Raises DeskRefused."""
    submission, now = page_key(request.POST.get("submission")), timezone.now()
    if line.reading_g is not None:
        weighings.weigh(
            entry=owner,
            disc=piece,
            round=round,
            scale=_scale(request),
            reading_g=line.reading_g,
            submission=submission,
            actor=request.actor,
            now=now,
        )
    if line.seen is not None:
        weighings.examine(
            entry=owner,
            disc=piece,
            round=round,
            seen=line.seen,
            note=request.POST.get("note", ""),
            submission=submission,
            actor=request.actor,
            now=now,
        )
    return line.reading_g is not None


@staff(*WRITERS)
@require_POST
def add(request: EventRequest, slug: str, entry: int, above: AboveBags) -> HttpResponse:
    """A piece that is on the table but not in the bag: a new one, or one of the box."""
    owner = entry_of(request.event, entry)
    if owner is None:
        raise Http404("There is no such entry at this event.")
    round = chosen_round(request.event, request.POST.get("round"))
    try:
        said = [act for act in acts_in(request) if act.kind in (BagAct.Kind.ADD, BagAct.Kind.PUT_IN)]
        answers = apply_acts(
            entry=owner,
            acts=said,
            source=BagAct.Source.DESK,
            actor=request.actor,
            now=timezone.now(),
            closed=above.closed(owner),
        )
    except BagRefused as refused:
        return _again(request, owner, round, wrong=str(refused))
    wrong = " ".join(answer.refused for answer in answers if answer.refused)
    piece = Disc.objects.filter(acts__entry=owner, acts__key__in=[act.key for act in said]).first()
    return _again(request, owner, round, at=piece.number if piece else None, wrong=wrong)


def _scale(request: EventRequest) -> Scale:
    """The scale of this station. Raises DeskRefused where none is chosen."""
    scales = Scale.objects.filter(event=request.event, retired_at__isnull=True)
    chosen = scales.filter(pk=request.session.get("scale") or 0).first()
    if chosen is None and scales.count() == 1:
        chosen = scales.first()
    if chosen is None:
        raise DeskRefused("Choose the scale first: it stands beside each reading.")
    return chosen


@staff(*WRITERS)
@require_POST
def question(request: EventRequest, slug: str, entry: int, disc: int, above: AboveBags) -> HttpResponse:
    """Somebody questions a piece: it is illegal until the director approves it."""
    owner, piece = _piece(request, entry, disc)
    round = chosen_round(request.event, request.POST.get("round"))
    try:
        weighings.question_disc(
            entry=owner,
            disc=piece,
            round=round,
            asked_by=request.POST.get("asked_by", ""),
            reason=request.POST.get("reason", ""),
            actor=request.actor,
            now=timezone.now(),
        )
    except DeskRefused as refused:
        return _again(request, owner, round, at=piece.number, wrong=str(refused))
    return _again(request, owner, round)


@staff(Role.DIRECTOR)
@require_POST
def decide(request: EventRequest, slug: str, pk: int, above: AboveBags) -> HttpResponse:
    """The director's word on a questioned piece."""
    found = get_object_or_404(
        Question.objects.select_related("entry__event", "entry__person", "round"),
        pk=pk,
        entry__event=request.event,
    )
    round = chosen_round(request.event, request.POST.get("round"))
    wrong = ""
    try:
        weighings.decide_question(
            question=found,
            approved=request.POST.get("approved") == "yes",
            reason=request.POST.get("reason", ""),
            actor=request.actor,
            now=timezone.now(),
        )
    except DeskRefused as refused:
        wrong = str(refused)
    return _again(request, found.entry, round, wrong=wrong)


@staff(*EVERY_ROLE, write=())
@require_safe
def working(request: EventRequest, slug: str, pk: int, above: AboveBags) -> HttpResponse:
    """Every weighing of a piece with its working, the newest first."""
    weighing = get_object_or_404(
        Weighing.objects.select_related("disc", "entry__person"), pk=pk, entry__event=request.event
    )
    rows = Weighing.objects.filter(disc=weighing.disc, entry=weighing.entry)
    rows = rows.select_related("scale", "list", "check_used").order_by("-pk")
    context = {
        "entry": weighing.entry,
        "disc": weighing.disc,
        "weighings": [(row, working_of(row)) for row in rows],
        "source": rulebook_for(request.event).value("weighing.rule").citation,
        "factor": rulebook_for(request.event).value("weighing.guard_factor"),
    }
    return render(request, "bags/weighing.html", context)


@staff(*EVERY_ROLE, write=())
@require_safe
def slip(request: EventRequest, slug: str, entry: int, round_number: int, above: AboveBags) -> HttpResponse:
    """“Do not throw these”, to hand to the player."""
    owner = entry_of(request.event, entry)
    if owner is None:
        raise Http404("There is no such entry at this event.")
    round = get_object_or_404(Round, event=request.event, number=round_number)
    facts = bag_desk(owner, round)
    pdf = slip_pdf(head_of(request.event), owner, round, facts, moment_text(request.event, timezone.now()))
    return shown_pdf(pdf, f"{slug}-slip-{owner.pk}.pdf")
