"""The pages of notices: what hangs out, what comes, what was taken down; one notice with its versions and texts."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from events.safety import notice_words as words
from events.safety.computed import CAUTIONS
from events.safety.forms import NoticeForm, begun_from
from events.safety.models import Notice
from events.safety.notice_print import notice_sheet
from events.safety.paper_parts import printed_text
from events.safety.papers import head_of
from events.safety.queries import CAUTION, notices_before, notices_now, notices_to_come
from events.safety.services import NoticeRefused, post_notice, withdraw_notice
from events.setup.access import EVERY_ROLE, EventRequest, staff
from events.setup.answers import shown_pdf
from events.setup.models import Role

MAY_POST = (Role.DIRECTOR, Role.DESK, Role.MARSHAL)
KEPT_IN_SIGHT = 20


@staff(*EVERY_ROLE, write=MAY_POST)
def notices(request: EventRequest, slug: str) -> HttpResponse:
    form = _form(request)
    if request.method == "POST" and form.is_valid():
        notice = _post(request, form, None)
        if notice is not None:
            return redirect("safety:notices", slug)
    now = timezone.now()
    context = {
        "form": form,
        "hanging": [(notice, CAUTION) for notice in notices_now(request.event, now)],
        "to_come": notices_to_come(request.event, now),
        "before": notices_before(request.event, now)[:KEPT_IN_SIGHT],
        "may_post": request.role in MAY_POST,
        "caution": CAUTION,
        "cautions": CAUTIONS,
        "here": "notices",
    }
    return render(request, "safety/notices.html", context, status=422 if form.errors else 200)


def _form(request: EventRequest, before: Notice | None = None) -> NoticeForm:
    initial = begun_from(before) if before is not None else {"kind": Notice.Kind.NEWS}
    return NoticeForm(request.POST or None, zone=request.event.zone, initial=initial)


def _post(request: EventRequest, form: NoticeForm, replaces: Notice | None) -> Notice | None:
    """The notice that was posted; None, with the reason on the form, where it was refused."""
    now = timezone.now()
    try:
        notice = post_notice(
            event=request.event, **form.facts(), replaces=replaces, actor=request.actor, now=now
        )
    except NoticeRefused as refused:
        form.add_error(None, str(refused))
        return None
    later = f" from {request.event.local(notice.valid_from):%H:%M}" if notice.valid_from else ""
    messages.success(request, f"“{notice.title}” is on the board{later}.")
    return notice


@staff(*EVERY_ROLE, write=())
def notice(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """One notice: its texts to paste, its sheet to hang up, its versions."""
    found = _found(request, pk)
    context = {
        "notice": found,
        "words": words.words_of(found),
        "times": words.times_of(found, request.event),
        "plain": words.plain_text(found, request.event),
        "versions": [(each, words.times_of(each, request.event)) for each in words.versions_of(found)],
        "next": getattr(found, "replaced_by", None),
        "may_post": request.role in MAY_POST and found.withdrawn_at is None,
        "caution": CAUTION,
        "cautions": CAUTIONS,
        "here": "notices",
    }
    return render(request, "safety/notice.html", context)


def _found(request: EventRequest, pk: int) -> Notice:
    rows = Notice.objects.select_related("event", "replaces", "replaced_by")
    return get_object_or_404(rows, pk=pk, event=request.event)


@staff(*EVERY_ROLE, write=())
def notice_paper(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """The notice as a sheet to be read from three metres."""
    found, event = _found(request, pk), request.event
    content = notice_sheet(
        head_of(event),
        words.words_of(found),
        kind=words.kind_words(found),
        times=words.times_of(found, event),
        withdrawn=f"withdrawn {event.local(found.withdrawn_at):%H:%M}" if found.withdrawn_at else "",
        printed=printed_text(event, timezone.now()),
    )
    return shown_pdf(content, f"{slug}-notice-{pk}.pdf")


@staff(*MAY_POST)
def replace(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """A next version: the form begins with the notice as it stands, which goes down when the new one is posted."""
    before = _found(request, pk)
    form = _form(request, before)
    if request.method == "POST" and form.is_valid():
        posted = _post(request, form, before)
        if posted is not None:
            return redirect("safety:notice", slug, posted.pk)
    context = {"form": form, "before": before, "caution": CAUTION, "cautions": CAUTIONS, "here": "notices"}
    return render(request, "safety/replace.html", context, status=422 if form.errors else 200)


@staff(*MAY_POST)
@require_POST
def withdraw(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    found = get_object_or_404(Notice, pk=pk, event=request.event)
    try:
        withdraw_notice(notice=found, actor=request.actor, now=timezone.now())
    except NoticeRefused as refused:
        messages.warning(request, str(refused))
    else:
        messages.success(request, f"“{found.title}” is taken down.")
    return redirect("safety:notices", slug)
