"""The walk: the work of every hole on a phone, for whoever holds the address and for staff who are signed in."""

from collections.abc import Callable
from functools import wraps
from typing import Any
from urllib.parse import urlencode
from uuid import UUID, uuid4

from django.core.files.uploadedfile import UploadedFile
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from events.course.models import Hole
from events.log.services import Actor
from events.logistics.ready.links import BadToken, event_of
from events.logistics.ready.queries import readiness_of
from events.logistics.ready.sending import name_in, said_in
from events.logistics.ready.services import Answer, ReadyRefused, keep_photo, say_work
from events.setup.access import public
from events.setup.asked import page_key, whole_number
from events.setup.models import Event

View = Callable[..., HttpResponse]
NOBODY = "somebody on the walk"


def walk_page(view: View) -> View:
    """Find the event of a token, and set the page to it and its clock."""

    @public
    @wraps(view)
    def found(request: HttpRequest, token: str) -> HttpResponse:
        try:
            event = event_of(token)
        except BadToken as why:
            raise Http404(str(why)) from None
        timezone.activate(event.zone)
        request.event = event  # type: ignore[attr-defined]
        return view(request, event, token)

    return found


@walk_page
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def page(request: HttpRequest, event: Event, token: str) -> HttpResponse:
    """Without script a tap posts here and comes back to its hole; the script posts to `acts`."""
    if request.method != "POST":
        return _page(request, event, token)
    try:
        answers = _say(request, event)
    except ReadyRefused as refused:
        return _page(request, event, token, refused=(str(refused),))
    if any(answer.refused for answer in answers):
        return _page(request, event, token, refused=tuple(each.refused for each in answers if each.refused))
    return _back(request, token)


def _back(request: HttpRequest, token: str) -> HttpResponse:
    hole, name = whole_number(request.POST.get("hole")), name_in(request)
    asked = urlencode({"by": name, "hole": hole or ""})
    return redirect(f"{reverse('walk:page', args=[token])}?{asked}#hole-{hole}")


def _page(request: HttpRequest, event: Event, token: str, *, refused: tuple[str, ...] = ()) -> HttpResponse:
    context = {
        **_walk(request, event, token),
        "token": token,
        "refused": refused,
        "acts_url": reverse("walk:acts", args=[token]),
    }
    return render(request, "ready/walk.html", context, status=422 if refused else 200)


def _walk(request: HttpRequest, event: Event, token: str) -> dict[str, Any]:
    """What ready/holes.html needs. The hole that was worked on is open, else the first with open work."""
    ready = readiness_of(event)
    chosen = whole_number(request.GET.get("hole") or request.POST.get("hole"))
    first = next((state.hole.id for state in ready.open_holes), None)
    return {
        "ready": ready,
        "opened": chosen or first,
        "by": name_in(request),
        "post_url": reverse("walk:page", args=[token]),
        "photo_url": reverse("walk:photo", args=[token]),
        "over": event.over_at is not None,
        "new_key": uuid4,
    }


def _say(request: HttpRequest, event: Event) -> list[Answer]:
    actor = Actor(name=f"{name_in(request) or NOBODY} (walk)"[:150])
    return say_work(event=event, said=said_in(request), actor=actor, now=timezone.now())


@walk_page
@require_POST
def acts(request: HttpRequest, event: Event, token: str) -> HttpResponse:
    """A phone's acts in their order; the answer names each and brings the holes as they stand now."""
    try:
        answers = _say(request, event)
    except ReadyRefused as refused:
        return JsonResponse({"error": str(refused)}, status=422)
    html = render_to_string("ready/holes.html", _walk(request, event, token), request)
    said = [{"key": str(answer.key), "refused": answer.refused} for answer in answers]
    return JsonResponse({"answers": said, "html": html})


@walk_page
@require_POST
def photo(request: HttpRequest, event: Event, token: str) -> HttpResponse:
    """One picture of one hole. A script asks for JSON, since it sends again until it is answered."""
    pk = whole_number(request.POST.get("hole"))
    known = Hole.objects.select_related("event").filter(event=event)
    hole = known.filter(pk=pk).first() if pk is not None else None
    file = request.FILES.get("photo")
    actor = Actor(name=f"{name_in(request) or NOBODY} (walk)"[:150])
    refused = _keep(hole, page_key(request.POST.get("key")), file, actor)
    if request.headers.get("Accept") == "application/json":
        return JsonResponse({"refused": refused})
    if refused:
        return _page(request, event, token, refused=(refused,))
    return _back(request, token)


def _keep(hole: Hole | None, key: UUID, file: "UploadedFile[bytes] | None", actor: Actor) -> str:
    """Why the picture is not kept; empty when it is."""
    if hole is None:
        return "This photo was not taken: the hole is not there any more. Send it with another hole."
    if file is None:
        return "Choose a picture first."
    try:
        keep_photo(hole=hole, key=key, file=file, size=file.size, actor=actor, now=timezone.now())
    except ReadyRefused as refused:
        return str(refused)
    return ""
