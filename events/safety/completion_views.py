"""The page of what counts when a round cannot be finished."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from events.safety.above import AboveSafety
from events.safety.completing import CompletionRefused, choices_of, choose
from events.safety.computed import CAUTIONS
from events.setup.access import EVERY_ROLE, EventRequest, staff
from events.setup.models import Role


@staff(*EVERY_ROLE, write=(Role.DIRECTOR,))
def completion(request: EventRequest, slug: str, above: AboveSafety) -> HttpResponse:
    """Options of each division with their consequences; posting takes one."""
    now = timezone.now()
    plays = above.unfinished(request.event)
    if request.method == "POST":
        try:
            play = next((each for each in plays if each.code == request.POST.get("division")), None)
            if play is None:
                raise CompletionRefused("This division has no unfinished round.")
            row = choose(
                event=request.event,
                play=play,
                option=request.POST.get("option", ""),
                approval=request.POST.get("approval", ""),
                reason=request.POST.get("reason", ""),
                actor=request.actor,
                now=now,
            )
        except CompletionRefused as refused:
            messages.error(request, str(refused))
        else:
            messages.success(request, f"{play.code}: {row.get_option_display()}.")
        return redirect("suspension:completion", slug)
    context = {
        "choices": choices_of(request.event, plays, now),
        "may_choose": request.role is Role.DIRECTOR and request.event.over_at is None,
        "cautions": CAUTIONS,
    }
    return render(request, "safety/completion.html", context)
