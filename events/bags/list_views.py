"""Lists of approved discs: which one the event goes by, a new one, and models that are on none."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django_tables2 import RequestConfig

from events.bags.list_files import drop_file, keep_file, take_file
from events.bags.list_forms import DecisionForm, ListFileForm, SearchForm
from events.bags.list_page import changes_context, check_context, lists_context, odd_limits, searched
from events.bags.list_tables import ModelTable
from events.bags.lists import ListChoiceRefused, choose_list, decide_model, list_in_use, lists_for
from events.bags.models import ListFile
from events.bags.rules import mass_rule
from events.setup.access import EVERY_ROLE, EventRequest, staff
from events.setup.announcing import AnnouncementRefused, announce_night_or_snow
from events.setup.models import Role, Round
from events.setup.queries import rulebook_for
from events.sheets.refusal import Refused
from players.approved import ListRefused, list_before
from players.models import Disc

WRITERS = (Role.DIRECTOR, Role.EQUIPMENT)
PAGE = 100
STEPS = ("Choose the list", "Check it", "Bring it in")


def _steps(current: int) -> list[dict[str, Any]]:
    return [
        {"label": label, "current": at == current, "past": at < current} for at, label in enumerate(STEPS)
    ]


@staff(*EVERY_ROLE, write=())
def lists(request: EventRequest, slug: str, above: object = None) -> HttpResponse:
    """All lists, the one that the event goes by, and what entrants carry that is not on it."""
    context = lists_context(request.event) | {
        "may_import": request.role in WRITERS,
        "may_decide": request.role is Role.DIRECTOR,
    }
    return render(request, "bags/lists.html", context)


@staff(*WRITERS)
def upload(request: EventRequest, slug: str, above: object = None) -> HttpResponse:
    """Choose a list. A file that cannot be read is refused here, with the reason, and is not kept."""
    now = timezone.now()
    form = ListFileForm(request.POST or None, request.FILES or None, today=request.event.local(now).date())
    refused = ""
    if request.method == "POST" and form.is_valid():
        chosen = form.cleaned_data["file"]
        try:
            file = keep_file(
                event=request.event,
                content=chosen.read(),
                file_name=chosen.name,
                as_of=form.cleaned_data["as_of"],
                actor=request.actor,
                now=now,
            )
        except (Refused, ListChoiceRefused) as reason:
            refused = str(reason)
        else:
            return redirect("bags:list_check", slug, file.pk)
    context = {"form": form, "refused": refused, "steps": _steps(0)}
    return render(request, "bags/list_upload.html", context, status=200 if request.method == "GET" else 422)


@staff(*WRITERS, write=())
def check(request: EventRequest, slug: str, pk: int, above: object = None) -> HttpResponse:
    """What the file holds, row by row what is wrong, and what differs from the list before."""
    file = get_object_or_404(ListFile.objects.select_related("event"), pk=pk, event=request.event)
    if file.taken_id is not None:
        return redirect("bags:list", slug, file.taken_id)
    try:
        context = check_context(file)
    except Refused as reason:
        messages.error(request, str(reason))
        return redirect("bags:list_upload", slug)
    context |= {"steps": _steps(1), "may_choose": request.role is Role.DIRECTOR}
    return render(request, "bags/list_check.html", context)


@staff(*WRITERS)
def bring_in(request: EventRequest, slug: str, pk: int, above: object = None) -> HttpResponse:
    """Take the list as it was shown, or nothing."""
    file = get_object_or_404(ListFile.objects.defer("content"), pk=pk, event=request.event)
    if request.method != "POST":
        return redirect("bags:list_check", slug, pk)
    use = request.role is Role.DIRECTOR and "use" in request.POST
    try:
        snapshot = take_file(file=file, use=use, actor=request.actor, now=timezone.now())
    except (ListRefused, ListChoiceRefused, Refused) as refused:
        messages.error(request, f"Nothing was brought in. {refused}")
        return redirect("bags:list_check", slug, pk)
    used = list_in_use(request.event)
    goes_by = "it" if used == snapshot else f"the {used}"
    messages.success(request, f"The {snapshot} is here: {snapshot.rows} models. The event goes by {goes_by}.")
    return redirect("bags:lists", slug)


@staff(*WRITERS)
def drop(request: EventRequest, slug: str, pk: int, above: object = None) -> HttpResponse:
    """Forget an upload that waits."""
    file = get_object_or_404(ListFile.objects.defer("content"), pk=pk, event=request.event)
    if request.method != "POST":
        return redirect("bags:list_check", slug, pk)
    drop_file(file=file)
    messages.success(request, f"{file.name} is not brought in.")
    return redirect("bags:lists", slug)


@staff(*EVERY_ROLE, write=())
def one(request: EventRequest, slug: str, pk: int, above: object = None) -> HttpResponse:
    """One list, searched and by pages."""
    approved = get_object_or_404(lists_for(request.event), pk=pk)
    form = SearchForm(request.GET)
    wanted = form.cleaned_data if form.is_valid() else {"q": "", "only": ""}
    rule = mass_rule(rulebook_for(request.event))
    odd = odd_limits(approved, rule)
    rows = searched(approved, wanted["q"], wanted["only"], odd)
    table = ModelTable(rows, rule=rule)
    RequestConfig(request, paginate={"per_page": PAGE, "silent": True}).configure(table)
    context = {
        "approved": approved,
        "form": form,
        "table": table,
        "found": table.paginator.count,
        "odd": len(odd),
        "used": list_in_use(request.event) == approved,
        "before": list_before(approved.as_of, invented=approved.invented, but=approved),
        "may_choose": request.role is Role.DIRECTOR,
    }
    return render(request, "bags/list.html", context)


@staff(*EVERY_ROLE, write=())
def changes(request: EventRequest, slug: str, pk: int, above: object = None) -> HttpResponse:
    """What a list changed since the one before."""
    approved = get_object_or_404(lists_for(request.event), pk=pk)
    before = list_before(approved.as_of, invented=approved.invented, but=approved)
    context = {
        "approved": approved,
        "before": before,
        "changes": changes_context(before, approved) if before is not None else None,
    }
    return render(request, "bags/list_changes.html", context)


@staff(Role.DIRECTOR)
def use(request: EventRequest, slug: str, pk: int, above: object = None) -> HttpResponse:
    """Let the event go by this list."""
    approved = get_object_or_404(lists_for(request.event), pk=pk)
    if request.method != "POST":
        return redirect("bags:list", slug, pk)
    try:
        choose_list(event=request.event, approved=approved, actor=request.actor, now=timezone.now())
    except ListChoiceRefused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, f"The event goes by the {approved}.")
    return redirect("bags:lists", slug)


@staff(Role.DIRECTOR)
def decide(request: EventRequest, slug: str, above: object = None) -> HttpResponse:
    """The director's word on a model that is not on the list."""
    if request.method != "POST":
        return redirect("bags:lists", slug)
    form = DecisionForm(request.POST)
    if not form.is_valid():
        said = [str(error) for errors in form.errors.values() for error in errors]
        messages.error(request, f"Nothing was decided. {said[0]}")
        return redirect("bags:lists", slug)
    pieces = Disc.objects.filter(person__entries__event=request.event).distinct()
    piece = get_object_or_404(pieces, pk=form.cleaned_data["piece"])
    allowed = form.cleaned_data["word"] == "allow"
    try:
        decision = decide_model(
            event=request.event,
            maker=piece.maker,
            model=piece.model,
            allowed=allowed,
            reason=form.cleaned_data["reason"],
            actor=request.actor,
            now=timezone.now(),
        )
    except ListChoiceRefused as refused:
        messages.error(request, str(refused))
    else:
        name = f"{decision.maker} {decision.model}".strip()
        messages.success(request, f"{name}: {'may' if allowed else 'may not'} be thrown at this event.")
    return redirect("bags:lists", slug)


@staff(Role.DIRECTOR)
def night_or_snow(request: EventRequest, slug: str, number: int, above: object = None) -> HttpResponse:
    """Announce night or snow play for a round (`on` is "yes") or take it back; then back to `next`."""
    back = request.POST.get("next", "")
    if request.method == "POST":
        round_ = get_object_or_404(Round, event=request.event, number=number)
        on = request.POST.get("on") == "yes"
        try:
            announce_night_or_snow(round=round_, on=on, actor=request.actor, now=timezone.now())
        except AnnouncementRefused as refused:
            messages.error(request, str(refused))
        else:
            played = "is night or snow play: discs may carry lights or tape" if on else "is played as usual"
            messages.success(request, f"Round {number} {played}.")
    if url_has_allowed_host_and_scheme(back, allowed_hosts={request.get_host()}):
        return redirect(back)
    return redirect("bags:lists", slug)
