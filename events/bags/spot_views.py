"""Spot checks at the desk: freeze a pool, type the numbers, see who is drawn, plan a sample, print."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from events.bags import spot_checks, spot_pages
from events.bags.above import AboveBags
from events.bags.models import SpotCheck
from events.bags.pages import current_round, round_tabs
from events.bags.spot_checks import SpotCheckRefused
from events.bags.spot_draw import BadDraw, bits_of_throws, seed_string
from events.bags.spot_forms import FreezeForm, NoticeForm, NumbersForm, PlanForm
from events.bags.spot_planner import WANTED, BadPlan, percent, plan
from events.bags.spot_print import Summoned, notice
from events.entries.paper_views import head_of
from events.setup.access import EVERY_ROLE, EventRequest, staff
from events.setup.answers import shown_pdf
from events.setup.models import Role
from events.setup.overview import moment_text

WRITERS = (Role.DIRECTOR, Role.EQUIPMENT)
USUAL_SAMPLE = 8


def may_write(request: EventRequest) -> bool:
    return request.role in WRITERS and request.event.over_at is None


@staff(*EVERY_ROLE, write=WRITERS)
def checks(request: EventRequest, slug: str, above: AboveBags) -> HttpResponse:
    """Every spot check of the event, and the form that freezes another pool."""
    event = request.event
    round = current_round(event, request.GET.get("round"), above)
    size = spot_checks.present(event).count()
    form = FreezeForm(request.POST if request.method == "POST" else None, initial=_usual(size))
    if request.method == "POST" and round is not None and form.is_valid():
        try:
            check = spot_checks.freeze_pool(
                round=round, **form.cleaned_data, actor=request.actor, now=timezone.now()
            )
        except SpotCheckRefused as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, f"The pool of {len(check.pool)} is frozen and published.")
            return redirect("bags:spot_check", slug, round.number, check.number)
    found = spot_checks.checks_of(event)
    context = {
        "round": round,
        "tabs": round_tabs(event, round),
        "checks": [check for check in found if round is not None and check.round_id == round.pk],
        "size": size,
        "form": form,
        "closes": event.checkin_closes_at,
        "checkin_open": event.checkin_closes_at is not None and timezone.now() < event.checkin_closes_at,
        "may_write": may_write(request),
    }
    return render(request, "bags/spot_checks.html", context, status=422 if form.errors else 200)


def _usual(size: int) -> dict[str, int]:
    return {"wanted": max(1, min(USUAL_SAMPLE, size)), "spares": min(2, max(0, size - USUAL_SAMPLE))}


def _check(request: EventRequest, round_number: int, number: int) -> SpotCheck:
    found = SpotCheck.objects.select_related("round__event")
    return get_object_or_404(found, round__event=request.event, round__number=round_number, number=number)


@staff(*EVERY_ROLE, write=WRITERS)
def check(request: EventRequest, slug: str, round_number: int, number: int, above: AboveBags) -> HttpResponse:
    """One check: before the draw the form for the numbers, which are read back first; then who is drawn."""
    shown = _check(request, round_number, number)
    form = NumbersForm(request.POST if request.method == "POST" else None)
    asked: dict[str, Any] | None = None
    if request.method == "POST" and form.is_valid():
        try:
            numbers = spot_checks.read_numbers(form.cleaned_data["numbers"], single=form.each_alone)
            asked = _read_back(shown, numbers)
            if request.POST.get("sure") == "yes":
                shown = spot_checks.draw(
                    check=shown, numbers=numbers, actor=request.actor, now=timezone.now()
                )
                messages.success(request, "The draw is made; everything about it is published.")
                return redirect("bags:spot_check", slug, round_number, number)
        except (SpotCheckRefused, BadDraw) as refused:
            form.add_error("numbers", str(refused))
            asked = None
    return _check_page(request, shown, form, asked, above)


def _read_back(check: SpotCheck, numbers: list[list[int]]) -> dict[str, Any]:
    """What was understood, to be confirmed: a draw is never made twice. Raises SpotCheckRefused, BadDraw."""
    if check.result is not None:
        raise SpotCheckRefused("This draw is made. Freeze another pool for another draw.")
    flat = [number for source in numbers for number in source]
    dice = all(len(source) == 1 for source in numbers) and all(1 <= number <= 6 for number in flat)
    held = bits_of_throws(6, len(flat)) if dice else None
    return {
        "seed": seed_string(numbers),
        "count": len(flat),
        "held": held,
        "short": held is not None and held < spot_pages.needed_for(check).bits,
    }


def _check_page(
    request: EventRequest,
    shown: SpotCheck,
    form: NumbersForm,
    asked: dict[str, Any] | None,
    above: AboveBags,
) -> HttpResponse:
    called = spot_pages.called_of(shown) if shown.result is not None else []
    due = [line for line in called if line.drawn.called]
    path = spot_pages.public_path(shown)
    address = above.reachable(request, path)
    context = {
        "check": shown,
        "round": shown.round,
        "form": form,
        "asked": asked,
        "typed": form.data if asked else {},
        "needed": spot_pages.needed_for(shown),
        "called": called,
        "due": due,
        "done": sum(line.done for line in due),
        "path": path,
        "address": address,
        "qr": above.qr_image(address),
        "notice": NoticeForm(),
        "may_write": may_write(request),
    }
    return render(request, "bags/spot_check.html", context, status=422 if form.errors else 200)


@staff(*EVERY_ROLE, write=())
@require_safe
def print_notice(
    request: EventRequest, slug: str, round_number: int, number: int, above: AboveBags
) -> HttpResponse:
    """“Bring your whole bag”: the names, where and when."""
    shown = _check(request, round_number, number)
    form = NoticeForm(request.GET)
    if shown.drawn_at is None or not form.is_valid():
        why = "The draw is not made yet." if shown.drawn_at is None else "Write where and when they come."
        messages.error(request, why)
        return redirect("bags:spot_check", slug, round_number, number)
    players = [
        Summoned(line.drawn.label, line.drawn.name, line.division, line.drawn.spare)
        for line in spot_pages.called_of(shown)
        if line.drawn.called
    ]
    place, when = form.cleaned_data["place"], form.cleaned_data["when"]
    event = request.event
    pdf = notice(
        head_of(event),
        f"Spot check: bring your whole bag to {place}, {when}",
        f"{event.name} · round {shown.round.number}, check {shown.number} · drawn {moment_text(event, shown.drawn_at)}",
        players,
        qr=above.reachable(request, spot_pages.public_path(shown)),
        printed=moment_text(event, timezone.now()),
    )
    return shown_pdf(pdf, f"{slug}-spot-check-{round_number}-{number}-notice.pdf")


@staff(*EVERY_ROLE, write=())
@require_safe
def planner(request: EventRequest, slug: str, above: AboveBags) -> HttpResponse:
    """What a sample finds: the chance for pool, sample and offenders, in one round and over all."""
    event = request.event
    size = spot_checks.present(event).count() or event.entries.filter(status="confirmed").count()
    usual = {
        "pool": max(size, 1),
        "sample": min(USUAL_SAMPLE, max(size, 1)),
        "offenders": 1,
        "rounds": max(event.rounds.count(), 1),
    }
    form = PlanForm(request.GET if request.GET else usual)
    found = None
    if form.is_valid():
        try:
            found = plan(**form.figures())
        except BadPlan as bad:
            form.add_error(None, str(bad))
    context: dict[str, Any] = {"form": form, "plan": found}
    if found is not None:
        context |= {
            "once": percent(found.asked.once),
            "over": percent(found.asked.over_rounds),
            "drawn": percent(found.to_be_drawn),
            "wanted": [percent(each).replace(".0", "") for each in WANTED],
            "lines": [(line, percent(line.once), percent(line.over_rounds)) for line in found.lines],
        }
    return render(request, "bags/spot_planner.html", context, status=422 if form.errors else 200)
