"""The page of notices: what hangs out, what is posted next, what was taken down."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from events.safety.forms import NoticeForm
from events.safety.models import Notice
from events.safety.queries import CAUTION, caution_for, notices_before, notices_now
from events.safety.services import NoticeRefused, post_notice, withdraw_notice
from events.setup.access import EVERY_ROLE, EventRequest, staff
from events.setup.models import Role

MAY_POST = (Role.DIRECTOR, Role.DESK, Role.MARSHAL)
KEPT_IN_SIGHT = 20


@staff(*EVERY_ROLE, write=MAY_POST)
def notices(request: EventRequest, slug: str) -> HttpResponse:
    form = NoticeForm(request.POST or None, zone=request.event.zone, initial={"kind": Notice.Kind.NEWS})
    if request.method == "POST" and form.is_valid():
        try:
            notice = post_notice(
                event=request.event, **form.cleaned_data, actor=request.actor, now=timezone.now()
            )
        except NoticeRefused as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, f"“{notice.title}” is on the board.")
            return redirect("safety:notices", slug)
    now = timezone.now()
    context = {
        "form": form,
        "hanging": [(notice, caution_for(notice)) for notice in notices_now(request.event, now)],
        "before": notices_before(request.event, now)[:KEPT_IN_SIGHT],
        "may_post": request.role in MAY_POST,
        "caution": CAUTION,
    }
    return render(request, "safety/notices.html", context, status=422 if form.errors else 200)


@staff(*MAY_POST)
@require_POST
def withdraw(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    notice = get_object_or_404(Notice, pk=pk, event=request.event)
    try:
        withdraw_notice(notice=notice, actor=request.actor, now=timezone.now())
    except NoticeRefused as refused:
        messages.warning(request, str(refused))
    else:
        messages.success(request, f"“{notice.title}” is taken down.")
    return redirect("safety:notices", slug)
