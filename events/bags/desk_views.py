"""The equipment desk: a player's bag on the table, piece by piece, keyboard first."""

from decimal import Decimal, InvalidOperation
from typing import Any
from uuid import UUID, uuid4

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from events.bags import weighings
from events.bags.above import AboveBags
from events.bags.desk_line import BadLine, read_line
from events.bags.desk_page import bag_desk, chosen_scale, scales_of, working_of
from events.bags.finding import found_entries
from events.bags.models import Question, Scale, ScaleCheck, Weighing
from events.bags.pages import chosen_round
from events.bags.slip import slip_pdf
from events.entries.models import Entry
from events.entries.paper_views import head_of
from events.setup.access import EVERY_ROLE, EventRequest, staff
from events.setup.asked import whole_number
from events.setup.models import Role, Round
from events.setup.overview import moment_text
from events.setup.queries import rulebook_for
from players.models import Disc

WRITERS = (Role.DIRECTOR, Role.EQUIPMENT)


@staff(*EVERY_ROLE, write=())
def desk(request: EventRequest, slug: str, above: AboveBags) -> HttpResponse:
    """Find a player; the bag of the round appears, with the cursor in the first piece that is not weighed."""
    text = request.GET.get("q", "").strip()
    round = chosen_round(request.event, request.GET.get("round"))
    entry = _entry(request, whole_number(request.GET.get("entry")))
    found = found_entries(request.event, text) if text else []
    if entry is None and len(found) == 1:
        entry = found[0]
    context = _frame(request, round) | {"q": text, "found": found if len(found) > 1 else [], "entry": None}
    context["nobody"] = bool(text) and not found
    if entry is not None and round is not None:
        context |= bag_desk(entry, round, at=whole_number(request.GET.get("at"))) | {"wrong": ""}
    return render(request, "bags/equipment.html", context)


def _frame(request: EventRequest, round: Round | None) -> dict[str, Any]:
    event = request.event
    scales = scales_of(event, rulebook_for(event), timezone.now())
    chosen = chosen_scale(scales, request.session.get("scale"))
    return {
        "round": round,
        "tabs": [
            {
                "label": f"Round {each.number}",
                "url": _url(event.slug, each.number, request.GET.get("entry")),
                "current": round is not None and each.pk == round.pk,
            }
            for each in event.rounds.order_by("number")
        ],
        "scales": scales,
        "scale": chosen,
        "may_write": request.role in WRITERS and event.over_at is None,
        "is_director": request.role == Role.DIRECTOR,
    }


def _url(slug: str, round_number: int, entry: Any = None, at: int | None = None) -> str:
    query = f"?round={round_number}" + (f"&entry={entry}" if entry else "") + (f"&at={at}" if at else "")
    return reverse("bags:desk", args=[slug]) + query


def _entry(request: EventRequest, pk: int | None) -> Entry | None:
    entries = Entry.objects.filter(event=request.event, pk=pk or 0)
    return entries.select_related("person", "division", "event").first()


def _piece(request: EventRequest, entry_pk: int, disc_pk: int) -> tuple[Entry, Disc]:
    entry = _entry(request, entry_pk)
    if entry is None:
        raise Http404("There is no such entry at this event.")
    return entry, get_object_or_404(Disc, pk=disc_pk, person=entry.person)


def _again(
    request: EventRequest, entry: Entry, round: Round | None, *, at: int | None = None, wrong: str = ""
) -> HttpResponse:
    """The bag after an act: the part alone for htmx, the page for a form without script."""
    if round is None:
        raise Http404("The event has no rounds yet.")
    if not request.htmx:  # type: ignore[attr-defined]
        if wrong:
            messages.error(request, wrong)
        return redirect(_url(request.event.slug, round.number, entry.pk, at))
    context = _frame(request, round) | bag_desk(entry, round, at=at) | {"wrong": wrong}
    return render(request, "bags/equipment_bag.html", context, status=422 if wrong else 200)


@staff(*WRITERS)
@require_POST
def keep(request: EventRequest, slug: str, entry: int, disc: int, above: AboveBags) -> HttpResponse:
    """One line for one piece: a reading, what was seen, or the number of another piece to go to."""
    owner, piece = _piece(request, entry, disc)
    round = chosen_round(request.event, request.POST.get("round"))
    try:
        line = read_line(request.POST.get("line", ""))
        if line.jump is not None:
            return _again(request, owner, round, at=line.jump)
        submission = _submission(request)
        if line.reading_g is not None:
            weighings.weigh(
                entry=owner,
                disc=piece,
                round=round,
                scale=_scale(request),
                reading_g=line.reading_g,
                submission=submission,
                actor=request.actor,
                now=timezone.now(),
            )
        if line.seen is not None:
            weighings.examine(
                entry=owner,
                disc=piece,
                round=round,
                seen=line.seen,
                note=request.POST.get("note", ""),
                submission=UUID(int=submission.int ^ 1),
                actor=request.actor,
                now=timezone.now(),
            )
    except (BadLine, weighings.DeskRefused) as refused:
        return _again(request, owner, round, at=piece.number, wrong=str(refused))
    return _again(request, owner, round)


def _submission(request: EventRequest) -> UUID:
    try:
        return UUID(request.POST.get("submission", ""))
    except ValueError:
        return uuid4()


def _scale(request: EventRequest) -> Scale:
    """The scale of this station. Raises DeskRefused where none is chosen."""
    scales = Scale.objects.filter(event=request.event, retired_at__isnull=True)
    chosen = scales.filter(pk=request.session.get("scale") or 0).first()
    if chosen is None and scales.count() == 1:
        chosen = scales.first()
    if chosen is None:
        raise weighings.DeskRefused("Choose the scale first: it stands beside each reading.")
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
    except weighings.DeskRefused as refused:
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
    except weighings.DeskRefused as refused:
        wrong = str(refused)
    return _again(request, found.entry, round, wrong=wrong)


@staff(*WRITERS)
@require_POST
def use_scale(request: EventRequest, slug: str, above: AboveBags) -> HttpResponse:
    """The scale that stands at this station, until another is chosen."""
    scale = get_object_or_404(Scale, event=request.event, pk=whole_number(request.POST.get("scale")) or 0)
    request.session["scale"] = scale.pk
    number = whole_number(request.POST.get("round")) or 1
    return redirect(_url(slug, number, whole_number(request.POST.get("entry"))))


@staff(*EVERY_ROLE, write=WRITERS)
def scales(request: EventRequest, slug: str, above: AboveBags) -> HttpResponse:
    """Scales, and the reference mass that each is held to before a session."""
    if request.method == "POST":
        try:
            said = _change_scales(request)
        except weighings.DeskRefused as refused:
            messages.error(request, str(refused))
        else:
            messages.success(request, said)
        return redirect("bags:scales", slug)
    book = rulebook_for(request.event)
    checks = (
        ScaleCheck.objects.filter(scale__event=request.event).select_related("scale").order_by("-at")[:30]
    )
    context = {
        "scales": scales_of(request.event, book, timezone.now()),
        "checks": checks,
        "kinds": Scale.Kind.choices,
        "reference": book.int("weighing.reference_g"),
        "holds_hours": book.int("weighing.check_holds_hours"),
        "may_write": request.role in WRITERS and request.event.over_at is None,
    }
    return render(request, "bags/scales.html", context)


def _change_scales(request: EventRequest) -> str:
    post, now = request.POST, timezone.now()
    if post.get("act") == "register":
        scale = weighings.register_scale(
            event=request.event,
            name=post.get("name", "")[:40],
            kind=post.get("kind", ""),
            resolution_g=_grams(post.get("step", ""), "The step"),
            actor=request.actor,
            now=now,
        )
        return f"{scale.name} is registered. Hold it to the reference mass before you weigh."
    scale = get_object_or_404(Scale, event=request.event, pk=whole_number(post.get("scale")) or 0)
    if post.get("act") == "retire":
        weighings.retire_scale(scale=scale, actor=request.actor, now=now)
        return f"{scale.name} is put aside; its readings stay."
    check = weighings.check_scale(
        scale=scale,
        reference_g=_grams(post.get("reference", ""), "The reference mass"),
        reading_g=_grams(post.get("reading", ""), "The reading"),
        actor=request.actor,
        now=now,
    )
    if check.passed:
        return f"{scale.name} is held to {check.reference_g} g: it showed {check.reading_g} g."
    off = abs(check.reading_g - check.reference_g)
    return f"{scale.name} is off by {off} g, more than {check.tolerance_g} g: readings on it say so."


def _grams(text: str, what: str) -> Decimal:
    try:
        found = Decimal(text.strip().removesuffix("g").strip().replace(",", "."))
    except InvalidOperation:
        raise weighings.DeskRefused(f"{what} is written in grams, as 200.0.") from None
    if not found.is_finite() or not 0 < found < 1000:
        raise weighings.DeskRefused(f"{what} lies between 0 and 1000 g.")
    return found.quantize(Decimal("0.01"))


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
    owner = _entry(request, entry)
    if owner is None:
        raise Http404("There is no such entry at this event.")
    round = get_object_or_404(Round, event=request.event, number=round_number)
    facts = bag_desk(owner, round)
    pdf = slip_pdf(head_of(request.event), owner, round, facts, moment_text(request.event, timezone.now()))
    answer = HttpResponse(pdf, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{slug}-slip-{owner.pk}.pdf"'
    return answer
