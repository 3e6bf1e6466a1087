"""Spot checks as anybody sees them: names and labels, and everything to check a draw by hand."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from events.bags.models import SpotCheck
from events.bags.spot_checks import checks_of, drawn
from events.bags.spot_pages import Published, published
from events.bags.spot_print import PoolRow, ProofSheet, proof
from events.entries.paper_views import head_of
from events.setup.access import public
from events.setup.answers import shown_pdf
from events.setup.models import Event
from events.setup.overview import moment_text

CAUTION = (
    "A spot check deters. A clean sample absolves nobody, and being drawn says nothing about anybody: the draw is by"
    " lot."
)


class EventPage(HttpRequest):
    event: Event


@public
@require_safe
@never_cache
def index(request: EventPage, slug: str) -> HttpResponse:
    """Every spot check of the event, drawn or not: none can be made and hidden."""
    return render(request, "bags/public_spot_checks.html", {"checks": checks_of(request.event)})


def _check(request: EventPage, round_number: int, number: int) -> SpotCheck:
    found = SpotCheck.objects.select_related("round__event")
    return get_object_or_404(found, round__event=request.event, round__number=round_number, number=number)


@public
@require_safe
@never_cache
def check(request: EventPage, slug: str, round_number: int, number: int) -> HttpResponse:
    """One draw; before it is made, its pool and its commitment."""
    found = _check(request, round_number, number)
    called = drawn(found) if found.result is not None else []
    context = {"check": found, "shown": published(found), "drawn": called, "caution": CAUTION}
    return render(request, "bags/public_spot_check.html", context)


@public
@require_safe
@never_cache
def proof_print(request: EventPage, slug: str, round_number: int, number: int) -> HttpResponse:
    """The same on paper. It holds what was published and nothing that changes, so its bytes stay the same."""
    found = _check(request, round_number, number)
    pdf = proof(head_of(request.event), sheet_of(published(found)))
    return shown_pdf(pdf, f"{slug}-spot-check-{round_number}-{number}.pdf")


def sheet_of(shown: Published) -> ProofSheet:
    """A draw as its sheet."""
    check = shown.check
    event = check.round.event
    facts = [
        (
            "Pool",
            f"{len(check.pool)} players, frozen {moment_text(event, check.frozen_at)}",
        ),
        ("To draw", f"{check.wanted} and {check.spares} spare, {check.get_method_display()}"),
        ("Numbers from", check.source),
    ]
    if check.method == SpotCheck.Method.KEYED:
        facts.append(("Commitment", check.commitment))
    if check.result is not None and check.drawn_at is not None:
        facts += [
            ("Drawn", moment_text(event, check.drawn_at)),
            ("Numbers as text", shown.seed),
        ]
        if shown.revealed:
            facts.append(("Code revealed", shown.revealed))
    else:
        facts.append(("Drawn", "not yet"))
    return ProofSheet(
        f"Spot check {check.number} of round {check.round.number}",
        event.name,
        tuple(facts),
        shown.steps,
        tuple(
            f"{row.i} · {row.digest} · {row.left} · {row.index} · number {row.number}, {label} {name}"
            for row, label, name in shown.rows
        ),
        tuple(
            PoolRow(str(line.rank or ""), line.label, line.name, line.digest, line.place)
            for line in shown.lines
        ),
        CAUTION,
    )
