"""The page of the log: an event's, and the installation's own."""

from urllib.parse import urlencode
from zoneinfo import ZoneInfo

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from desk.logbook import acts_of, line
from events.log.actions import Action
from events.log.models import Chain
from events.log.services import INSTALLATION, verify
from events.setup.access import EVERY_ROLE, EventRequest, installation, staff

ACTS_ON_A_PAGE = 50


@staff(*EVERY_ROLE, write=())
def log_page(request: EventRequest, slug: str) -> HttpResponse:
    return _log(request, chain=slug, zone=request.event.zone, currency=request.event.currency)


@installation
def installation_log(request: HttpRequest) -> HttpResponse:
    """What happened outside of any event: passwords that were set."""
    return _log(request, chain=INSTALLATION, zone=ZoneInfo("UTC"), currency="")


def _log(request: HttpRequest, *, chain: str, zone: ZoneInfo, currency: str) -> HttpResponse:
    action, text = request.GET.get("action", ""), request.GET.get("q", "").strip()
    head = Chain.objects.filter(key=chain).first()
    page = Paginator(acts_of(chain, action, text), ACTS_ON_A_PAGE).get_page(request.GET.get("page"))
    context = {
        "page": page,
        "lines": [line(act, zone, currency) for act in page],
        "actions": Action.choices,
        "action": action,
        "q": text,
        "query": urlencode({"action": action, "q": text}) if action or text else "",
        "held": head.length if head else 0,
        "newest_hash": head.head if head else "",
        "checked": verify(chain) if "check" in request.GET else None,
        "zone": str(zone),
    }
    return render(request, "desk/log.html", context)
