"""Spot checks at the desk: freeze a pool, type the public numbers, send for who is drawn; and what a sample finds."""

from fractions import Fraction
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from events.bags import spot_checks
from events.bags.above import AboveBags
from events.bags.detection import chance_over_rounds, chance_to_be_drawn, chance_to_find, sample_for
from events.bags.judging import judge
from events.bags.models import SpotCheck
from events.bags.pages import chosen_round
from events.bags.queries import bags_of
from events.bags.spot_draw import bits_needed
from events.bags.spot_print import notice_pdf, working_pdf
from events.bags.spot_working import working_of
from events.entries.models import Entry, Status
from events.entries.paper_views import head_of
from events.setup.access import EVERY_ROLE, EventRequest, public, staff
from events.setup.asked import whole_number
from events.setup.models import Event, Role, Round
from events.setup.overview import moment_text

WRITERS = (Role.DIRECTOR, Role.EQUIPMENT)
OFFENDERS = (1, 3, 5)
WANTED = (50, 80, 90, 95)


@staff(*EVERY_ROLE, write=WRITERS)
def spot_checks_page(request: EventRequest, slug: str, above: AboveBags) -> HttpResponse:
    """Every spot check of a round; freeze the pool of another."""
    round = chosen_round(request.event, request.POST.get("round") or request.GET.get("round"))
    if request.method == "POST" and round is not None:
        return _freeze(request, round)
    checks = list(SpotCheck.objects.filter(round=round).order_by("-number")) if round else []
    present = Entry.objects.filter(
        event=request.event, status=Status.CONFIRMED, checked_in_at__isnull=False
    ).count()
    context = {
        "round": round,
        "tabs": [
            {
                "label": f"Round {each.number}",
                "url": f"?round={each.number}",
                "current": round is not None and each.pk == round.pk,
            }
            for each in request.event.rounds.order_by("number")
        ],
        "checks": [_check(check, round) for check in checks if round is not None],
        "present": present,
        "wanted": min(8, present),
        "may_write": request.role in WRITERS and request.event.over_at is None,
        "planner": planner(request, present),
        "methods": SpotCheck.Method.choices,
    }
    return render(request, "bags/spot_checks.html", context)


def _freeze(request: EventRequest, round: Round) -> HttpResponse:
    post = request.POST
    try:
        check = spot_checks.freeze_pool(
            round=round,
            method=post.get("method", ""),
            wanted=whole_number(post.get("wanted")) or 0,
            spares=whole_number(post.get("spares")) or 0,
            source=post.get("source", ""),
            actor=request.actor,
            now=timezone.now(),
        )
    except spot_checks.SpotCheckRefused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(
            request,
            f"The pool of spot check {check.number} is frozen: show its page before the numbers are known.",
        )
    return redirect(f"{reverse('bags:spot_checks', args=[request.event.slug])}?round={round.number}")


def _check(check: SpotCheck, round: Round) -> dict[str, Any]:
    """One check with who was drawn and how far their bags are weighed (9 queries)."""
    who = spot_checks.drawn(check) if check.result is not None else []
    entries = Entry.objects.filter(pk__in=[each.entry_id for each in who]).select_related("person", "event")
    bags = bags_of(entries, round)
    discs = [disc for bag in bags.values() for disc in bag.carried]
    judged = judge(round.event, discs, round) if discs else {}
    rows = []
    for each in who:
        carried = bags[each.entry_id].carried if each.entry_id in bags else ()
        weighed = sum(judged[disc.pk].weighing is not None for disc in carried)
        rows.append({"drawn": each, "carried": len(carried), "weighed": weighed})
    need = bits_needed(len(check.pool), check.wanted + check.spares)
    return {"check": check, "rows": rows, "bits": need, "dice": dice_for(need)}


def dice_for(bits: int) -> int:
    """Dice thrown one after the other that hold so many bits (6 sides, log2 6 = 2.585 each)."""
    return next(dice for dice in range(1, 400) if int(6**dice).bit_length() - 1 >= bits)


def planner(request: EventRequest, present: int) -> dict[str, Any]:
    """What a sample finds: for the pool, sample, offenders and rounds that are typed (no query)."""
    get = request.GET
    pool = min(whole_number(get.get("pool")) or present or 72, 2000)
    sample = min(whole_number(get.get("sample")) or 8, pool)
    rounds = min(max(whole_number(get.get("rounds")) or 3, 1), 12)
    rows = [
        {
            "offenders": offenders,
            "one": _percent(chance_to_find(pool, sample, offenders)),
            "all": _percent(chance_over_rounds(pool, sample, offenders, rounds)),
            "needed": [sample_for(pool, offenders, Fraction(percent, 100)) for percent in WANTED],
        }
        for offenders in OFFENDERS
        if offenders <= pool
    ]
    return {
        "pool": pool,
        "sample": sample,
        "rounds": rounds,
        "rows": rows,
        "wanted": WANTED,
        "drawn_once": _percent(chance_to_be_drawn(pool, sample, rounds)),
    }


def _percent(chance: Fraction) -> str:
    return f"{float(chance) * 100:.1f} %"


@staff(*WRITERS)
@require_POST
def draw(request: EventRequest, slug: str, pk: int, above: AboveBags) -> HttpResponse:
    """The announced numbers are typed in; the draw is made once."""
    check = get_object_or_404(SpotCheck.objects.select_related("round"), pk=pk, round__event=request.event)
    try:
        numbers = spot_checks.read_numbers(request.POST.get("numbers", "")[:5000])
        spot_checks.draw(check=check, numbers=numbers, actor=request.actor, now=timezone.now())
    except spot_checks.SpotCheckRefused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(
            request, f"Spot check {check.number} is drawn. Its page shows how, for anybody to check."
        )
    return redirect(f"{reverse('bags:spot_checks', args=[slug])}?round={check.round.number}")


@staff(*EVERY_ROLE, write=())
@require_safe
def notice(request: EventRequest, slug: str, pk: int, above: AboveBags) -> HttpResponse:
    """Who is to come to the equipment desk, to hang up."""
    check = get_object_or_404(SpotCheck.objects.select_related("round"), pk=pk, round__event=request.event)
    pdf = notice_pdf(head_of(request.event), check, moment_text(request.event, timezone.now()))
    return _pdf(pdf, f"{slug}-spot-check-{check.number}.pdf")


def _pdf(content: bytes, name: str) -> HttpResponse:
    answer = HttpResponse(content, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{name}"'
    return answer


def _public_check(slug: str, round_number: int, number: int) -> tuple[Event, SpotCheck]:
    event = get_object_or_404(Event, slug=slug)
    found = SpotCheck.objects.select_related("round__event")
    return event, get_object_or_404(found, round__event=event, round__number=round_number, number=number)


@public
@require_safe
def public_page(request: EventRequest, slug: str, round_number: int, number: int) -> HttpResponse:
    """Everything that is needed to check the draw by hand; before it is made, pool and commitment alone."""
    _, check = _public_check(slug, round_number, number)
    return render(request, "bags/spot_public.html", {"check": check, "working": working_of(check)})


@public
@require_safe
def public_print(request: EventRequest, slug: str, round_number: int, number: int) -> HttpResponse:
    """The same on paper."""
    event, check = _public_check(slug, round_number, number)
    return _pdf(working_pdf(head_of(event), working_of(check)), f"{slug}-spot-check-{number}.pdf")
