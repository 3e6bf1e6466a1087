"""Scales: which one stands at a station, and the reference mass that each is held to before a session."""

from decimal import Decimal, InvalidOperation

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from events.bags.above import AboveBags
from events.bags.desk_page import scales_of
from events.bags.desk_views import WRITERS, desk_url
from events.bags.models import Scale, ScaleCheck
from events.bags.models.weighing import plain
from events.bags.scales import DeskRefused, check_scale, register_scale, retire_scale
from events.setup.access import EVERY_ROLE, EventRequest, staff
from events.setup.asked import whole_number
from events.setup.queries import rulebook_for


@staff(*WRITERS)
@require_POST
def use_scale(request: EventRequest, slug: str, above: AboveBags) -> HttpResponse:
    """The scale that stands at this station, until another is chosen."""
    scale = get_object_or_404(Scale, event=request.event, pk=whole_number(request.POST.get("scale")) or 0)
    request.session["scale"] = scale.pk
    number = whole_number(request.POST.get("round")) or 1
    return redirect(desk_url(slug, number, entry=whole_number(request.POST.get("entry"))))


@staff(*EVERY_ROLE, write=WRITERS)
def scales(request: EventRequest, slug: str, above: AboveBags) -> HttpResponse:
    """Scales, and the reference mass that each is held to before a session."""
    if request.method == "POST":
        try:
            said = _change_scales(request)
        except DeskRefused as refused:
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
        scale = register_scale(
            event=request.event,
            name=post.get("name", ""),
            kind=post.get("kind", ""),
            resolution_g=_grams(post.get("step", ""), "The step"),
            actor=request.actor,
            now=now,
        )
        return f"{scale.name} is registered. Hold it to the reference mass before you weigh."
    scale = get_object_or_404(Scale, event=request.event, pk=whole_number(post.get("scale")) or 0)
    if post.get("act") == "retire":
        retire_scale(scale=scale, actor=request.actor, now=now)
        return f"{scale.name} is put aside; its readings stay."
    check = check_scale(
        scale=scale,
        reference_g=_grams(post.get("reference", ""), "The reference mass"),
        reading_g=_grams(post.get("reading", ""), "The reading"),
        actor=request.actor,
        now=now,
    )
    if check.passed:
        return f"{scale.name} is held to its mass: {check.words}."
    off = plain(abs(check.reading_g - check.reference_g))
    return f"{scale.name} is off by {off} g, more than {plain(check.tolerance_g)} g: readings on it say so."


def _grams(text: str, what: str) -> Decimal:
    try:
        found = Decimal(text.strip().removesuffix("g").strip().replace(",", "."))
    except InvalidOperation:
        raise DeskRefused(f"{what} is written in grams, as 200.0.") from None
    if not found.is_finite() or not 0 < found < 1000:
        raise DeskRefused(f"{what} lies between 0 and 1000 g.")
    return found.quantize(Decimal("0.01"))
