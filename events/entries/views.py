from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render

from events.entries.models import Entry
from events.setup.access import EVERY_ROLE, EventRequest, staff
from events.setup.models import Role


@staff(*EVERY_ROLE, write=())
def desk(request: EventRequest, slug: str) -> HttpResponse:
    return render(request, "base.html")


@staff(*EVERY_ROLE, write=())
def entry_list(request: EventRequest, slug: str) -> HttpResponse:
    return render(request, "base.html")


@staff(Role.DIRECTOR, Role.DESK)
def new(request: EventRequest, slug: str) -> HttpResponse:
    return render(request, "base.html")


@staff(*EVERY_ROLE, write=())
def waitlist(request: EventRequest, slug: str) -> HttpResponse:
    return render(request, "base.html")


@staff(*EVERY_ROLE, write=[Role.DIRECTOR, Role.DESK])
def entry(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    get_object_or_404(Entry, pk=pk, event=request.event)
    return render(request, "base.html")
