"""The results to take away: paper, JSON, csv. They hold what the board shows, so that every role may take them."""

from pathlib import Path

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils import timezone

from events.setup.access import EVERY_ROLE, EventRequest, staff
from events.setup.answers import shown_pdf
from scoring.ratings.queries import ratings_of
from scoring.report.paper import results_pdf
from scoring.report.rated import rated_rounds
from scoring.report.results import results_csv, results_json
from scoring.standings.queries import standings

SCHEMA = Path(__file__).with_name("results.schema.json")


@staff(*EVERY_ROLE, write=())
def results_paper(request: EventRequest, slug: str) -> HttpResponse:
    """All divisions, or with `division` one of them."""
    code = request.GET.get("division")
    try:
        content = results_pdf(request.event, codes=[code] if code else None, now=timezone.now())
    except ValueError:
        messages.error(request, f"There is nobody to print{f' in {code}' if code else ''} yet.")
        return redirect("report:close", slug)
    return shown_pdf(content, f"{slug}-results{f'-{code}' if code else ''}.pdf")


@staff(*EVERY_ROLE, write=())
def as_json(request: EventRequest, slug: str) -> HttpResponse:
    event = request.event
    content = results_json(event, standings(event), rated_rounds(ratings_of(event)), now=timezone.now())
    return _file(content, "application/json", f"{slug}-results.json")


@staff(*EVERY_ROLE, write=())
def as_csv(request: EventRequest, slug: str) -> HttpResponse:
    event = request.event
    content = results_csv(event, standings(event), rated_rounds(ratings_of(event)))
    return _file(content, "text/csv; charset=utf-8", f"{slug}-results.csv")


@staff(*EVERY_ROLE, write=())
def schema(request: EventRequest, slug: str) -> HttpResponse:
    return _file(SCHEMA.read_bytes(), "application/schema+json", "starthorn-results-1.schema.json")


def _file(content: bytes, kind: str, name: str) -> HttpResponse:
    answer = HttpResponse(content, content_type=kind)
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer
