"""What the director decides about a pool: method, joined rounds, conditions, who is left out."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_POST

from events.course.models import Layout
from events.entries.models import Entry
from events.setup.access import EventRequest, staff
from events.setup.asked import whole_number
from events.setup.models import Role, Round
from events.sheets.cells import clean
from scoring.ratings import services
from scoring.ratings.forms import MethodForm, SplitForm
from scoring.ratings.models import MethodDecision
from scoring.ratings.refusal import RatingRefused
from scoring.ratings.views import address, pool_answer

LONGEST_REASON = 200


@staff(Role.DIRECTOR)
@require_POST
def method(request: EventRequest, slug: str) -> HttpResponse:
    """How this pool is rated from now on."""
    form = MethodForm(request.POST)
    if not form.is_valid():
        return pool_answer(request, forms={"method_form": form, "deciding": True}, status=422)
    try:
        services.choose_method(
            event=request.event,
            pool=request.POST.get("pool", ""),
            method=MethodDecision.Method(form.cleaned_data["method"]),
            ssa=form.throws if form.cleaned_data["method"] == MethodDecision.Method.FIXED else None,
            reason=form.cleaned_data["reason"],
            actor=request.actor,
            now=timezone.now(),
        )
    except RatingRefused as refused:
        return pool_answer(request, refused=str(refused), forms={"method_form": form}, status=422)
    messages.success(request, "The method is chosen.")
    return redirect(address(slug, request.POST.get("pool", "")))


@staff(Role.DIRECTOR)
@require_POST
def join(request: EventRequest, slug: str) -> HttpResponse:
    """Which rounds of the layout share an average; fewer than two ticked: each has its own."""
    layout = get_object_or_404(Layout, event=request.event, pk=whole_number(request.POST.get("layout")))
    ticked = [number for text in request.POST.getlist("round") if (number := whole_number(text)) is not None]

    def act() -> None:
        services.join_rounds(
            event=request.event,
            layout=layout,
            rounds=ticked if len(ticked) > 1 else [],
            reason=_reason(request),
            actor=request.actor,
            now=timezone.now(),
        )

    said = "The rounds share one average." if len(ticked) > 1 else "Each round has its own average."
    joined = ".".join(map(str, sorted(ticked)))
    target = f"{joined}-{layout.pk}" if len(ticked) > 1 else ""
    return _done(request, slug, act, said, target)


@staff(Role.DIRECTOR)
@require_POST
def split(request: EventRequest, slug: str) -> HttpResponse:
    """From which starts on conditions were others."""
    layout = get_object_or_404(Layout, event=request.event, pk=whole_number(request.POST.get("layout")))
    round = get_object_or_404(Round, event=request.event, number=whole_number(request.POST.get("round")))
    form = SplitForm(request.POST)
    if not form.is_valid():
        return pool_answer(request, forms={"split_form": form, "deciding": True}, status=422)
    starts = form.cleaned_data["starts"]

    def act() -> None:
        services.split_round(
            round=round,
            layout=layout,
            starts=starts,
            reason=form.cleaned_data["reason"],
            actor=request.actor,
            now=timezone.now(),
        )

    said = "The parts are rated apart." if starts else "All starts are rated together."
    key = f"{round.number}-{layout.pk}"
    return _done(request, slug, act, said, f"{key}-part0" if starts else key, {"split_form": form})


@staff(Role.DIRECTOR)
@require_POST
def leave_out(request: EventRequest, slug: str) -> HttpResponse:
    """Let the average rest on a player's round no longer, or again; or on one of which not every hole was played."""
    again, let_in = (request.POST.get(name) == "yes" for name in ("again", "let_in"))
    chosen, number = _chosen(request, let_in)
    if not (chosen and number):
        return pool_answer(
            request, refused="Choose the player, and the round where there are several.", status=422
        )
    round = get_object_or_404(Round, event=request.event, number=whole_number(number))
    entry = get_object_or_404(
        Entry.objects.select_related("person"), event=request.event, pk=whole_number(chosen)
    )

    def act() -> None:
        given: dict[str, Any] = {
            "round": round,
            "entry": entry,
            "actor": request.actor,
            "now": timezone.now(),
        }
        if again:
            services.take_back(**given)
        elif let_in:
            services.let_in(**given, reason=_reason(request))
        else:
            services.leave_out(**given, reason=_reason(request))

    words = "counts as the rules say." if again else "counts." if let_in else "is left out of the average."
    said = f"{entry.person.name} {words}"
    return _done(request, slug, act, said, request.POST.get("pool", ""))


def _chosen(request: EventRequest, let_in: bool) -> tuple[str, str]:
    """Entry and number of the round as they were sent; one choice says both where a player is let in."""
    if let_in:
        entry, _, number = request.POST.get("player", "").partition("-")
        return entry, number
    return request.POST.get("entry", ""), request.POST.get("round", "")


def _done(
    request: EventRequest,
    slug: str,
    act: Callable[[], None],
    said: str,
    pool: str,
    forms: dict[str, Any] | None = None,
) -> HttpResponse:
    try:
        act()
    except RatingRefused as refused:
        return pool_answer(request, refused=str(refused), forms=forms, status=422)
    messages.success(request, said)
    return redirect(address(slug, pool))


def _reason(request: EventRequest) -> str:
    return clean(request.POST.get("reason", ""))[:LONGEST_REASON]
