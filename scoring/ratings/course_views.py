"""What scores and ratings say about the holes."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode

from events.setup.access import EVERY_ROLE, EventRequest, staff
from events.setup.answers import nothing_to_print, shown_pdf
from events.setup.asked import whole_number
from scoring.ratings.course_pages import course_page
from scoring.ratings.course_paper import course_pdf
from scoring.ratings.course_queries import LayoutReport, course_reports
from scoring.ratings.views import section_tabs


@staff(*EVERY_ROLE, write=())
def course(request: EventRequest, slug: str) -> HttpResponse:
    """Hole by hole; `?layout=` chooses the layout."""
    reports = course_reports(request.event)
    shown = _chosen(request, reports)
    context: dict[str, Any] = {
        "section_tabs": section_tabs(request, "course"),
        "tabs": [
            {"label": each.layout.name, "url": _address(request, each), "current": each is shown}
            for each in reports
        ],
        "page": course_page(shown) if shown is not None else None,
        "pdf_url": _address(request, shown, "ratings:course_pdf") if shown is not None else "",
    }
    return render(request, "ratings/course.html", context)


@staff(*EVERY_ROLE, write=())
def pdf(request: EventRequest, slug: str) -> HttpResponse:
    """The same on paper."""
    shown = _chosen(request, course_reports(request.event))
    if shown is None:
        return nothing_to_print(request, "No layout has a complete round yet.", "ratings:course", slug)
    content = course_pdf(request.event, shown, now=timezone.now())
    return shown_pdf(content, f"{slug}-holes-{shown.layout.id}.pdf")


def _chosen(request: EventRequest, reports: list[LayoutReport]) -> LayoutReport | None:
    wanted = whole_number(request.GET.get("layout"))
    return next((each for each in reports if each.layout.id == wanted), reports[0] if reports else None)


def _address(request: EventRequest, report: LayoutReport, name: str = "ratings:course") -> str:
    return f"{reverse(name, args=[request.event.slug])}?{urlencode({'layout': report.layout.id})}"
