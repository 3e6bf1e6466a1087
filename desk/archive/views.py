"""Taking the archive of an event, and opening one."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from desk.archive.forms import ArchiveForm
from desk.archive.opening import Opened, open_archive
from desk.archive.packing import PERSONAL, pack_event
from desk.archive.refusal import ArchiveRefused
from desk.archive.version import VERSION
from events.log.services import Actor
from events.setup.access import EventRequest, installation, staff
from events.setup.models import Role


@staff(Role.DIRECTOR)
@require_POST
def take_archive(request: EventRequest, slug: str) -> HttpResponse:
    """Asked for by POST, since the log keeps who took it."""
    content = pack_event(event=request.event, actor=request.actor, now=timezone.now())
    answer = HttpResponse(content, content_type="application/zip")
    answer["Content-Disposition"] = f'attachment; filename="{slug}-archive.zip"'
    return answer


@installation
def open_page(request: HttpRequest) -> HttpResponse:
    form = ArchiveForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        try:
            opened = open_archive(
                content=form.cleaned_data["file"].read(),
                as_slug=form.cleaned_data["as_slug"],
                actor=Actor.of(request.user),  # type: ignore[arg-type]  # signed in: the decorator says so
                now=timezone.now(),
            )
        except ArchiveRefused as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, _words(opened))
            return redirect("day", opened.event.slug)
    context = {"form": form, "version": VERSION, "personal": PERSONAL}
    return render(request, "desk/open_archive.html", context, status=422 if form.errors else 200)


def _words(opened: Opened) -> str:
    parts = [f"{opened.event.name} is open. Give roles to your accounts under Plan."]
    if opened.known:
        parts.append(f"{opened.known} players were known here and stay as they are here.")
    return " ".join([*parts, opened.fault_words]).strip()
