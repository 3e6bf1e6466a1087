from django.http import HttpResponse
from django.shortcuts import render

from events.setup.access import EVERY_ROLE, EventRequest, staff


@staff(*EVERY_ROLE, write=())
def overview(request: EventRequest, slug: str) -> HttpResponse:
    return render(request, "base.html")
