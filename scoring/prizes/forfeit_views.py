"""The page on which a prize that nobody claimed is given up, and its undo."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from events.entries.models import Entry
from events.setup.access import EventRequest, staff
from events.setup.models import Role
from scoring.prizes import hand_page, pages
from scoring.prizes.awards import awards_of
from scoring.prizes.forfeiting import forfeit_prize, undo_forfeit
from scoring.prizes.forms import ForfeitForm
from scoring.prizes.models import Forfeit
from scoring.prizes.services import PrizesRefused


@staff(Role.DIRECTOR)
def forfeit(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """Says which prize; what is refused stands at the form, with what was typed."""
    entry = get_object_or_404(Entry.objects.select_related("person"), pk=pk, event=request.event)
    if request.method == "POST":
        form = ForfeitForm(request.POST)
        if form.is_valid():
            try:
                forfeit_prize(
                    entry=entry,
                    expected_cents=form.cleaned_data["cents"],
                    asked=form.cleaned_data["asked"],
                    asked_on=form.cleaned_data["asked_on"],
                    actor=request.actor,
                    now=timezone.now(),
                )
            except PrizesRefused as refused:
                form.add_error(None, str(refused))
            else:
                messages.success(request, f"{entry.person.name}: forfeited.")
                return redirect("prizes:hand_out", slug)
    due = awards_of(request.event).due_of(entry.pk)
    if request.method != "POST":
        form = ForfeitForm(initial={"cents": due.open if due is not None else 0})
    context = {
        "form": form,
        "entry": entry,
        "prize": hand_page.prize_words(due) if due is not None else "no prize",
        "tabs": pages.tabs(request.event, "hand_out"),
    }
    return render(request, "prizes/forfeit.html", context, status=422 if form.errors else 200)


@staff(Role.DIRECTOR)
@require_POST
def undo(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """The player turned up after all, or was taken for another."""
    row = get_object_or_404(Forfeit, pk=pk, entry__event=request.event)
    try:
        undone = undo_forfeit(row=row, actor=request.actor, now=timezone.now())
    except PrizesRefused as refused:
        messages.warning(request, str(refused))
    else:
        messages.success(request, f"Undone: the prize waits for {undone.entry.person.name}.")
    return redirect("prizes:hand_out", slug)
