"""The desk's page of the groups' phones: answer what they ask, withdraw an address that went astray."""

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from events.setup.access import AT_WORK, EventRequest, staff
from events.setup.asked import whole_number
from events.setup.models import Role, Round
from scoring.cards.asking import AskRefused, answer_group
from scoring.cards.group_desk import asked_in, phones_of
from scoring.cards.group_withdrawing import WithdrawRefused, withdraw_link
from scoring.cards.models import GroupMessage
from scoring.cards.pages import chosen, rounds_of

WRITERS = (Role.DIRECTOR, Role.CARD_ROOM)
ANSWERERS = (Role.DIRECTOR, Role.CARD_ROOM, Role.DESK, Role.MARSHAL)
Reachable = Callable[[HttpRequest, str], str]
Drawn = Callable[[str], str]


@staff(*AT_WORK, write=())
def phones(request: EventRequest, slug: str, reachable: Reachable, qr: Drawn) -> HttpResponse:
    """The phones of a round; `group` shows the code of that group's address, to be scanned from the screen."""
    rounds = rounds_of(request.event)
    round = chosen(rounds, request.GET.get("round"))
    groups = phones_of(round) if round else []
    number = whole_number(request.GET.get("group"))
    group = next((each for each in groups if each.number == number), None)
    address = reachable(request, group.path) if group else ""
    context = {
        "round": round,
        "tabs": [
            {"label": f"Round {each.number}", "url": _url(slug, each.number), "current": each == round}
            for each in rounds
        ],
        "groups": [(each, f"{_url(slug, round.number)}&group={each.number}") for each in groups if round],
        "asked": asked_in(round) if round else [],
        "group": group,
        "address": address,
        "qr": qr(address) if address else "",
        "may_withdraw": request.role in WRITERS,
        "may_answer": request.role in ANSWERERS,
    }
    return render(request, "cards/group_phones.html", context)


def _url(slug: str, round_number: int) -> str:
    return f"{reverse('phones:page', args=[slug])}?round={round_number}"


@staff(*ANSWERERS)
def answer(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """What the group's phones show below its question."""
    found = get_object_or_404(
        GroupMessage.objects.select_related("card__round"), pk=pk, card__round__event=request.event
    )
    if request.method == "POST":
        try:
            answer_group(
                message=found,
                answer=request.POST.get("answer", ""),
                actor=request.actor,
                now=timezone.now(),
            )
        except AskRefused as refused:
            messages.error(request, str(refused))
        else:
            messages.success(request, f"Group {found.card.group_number} is told.")
    return redirect(_url(slug, found.card.round.number))


@staff(*WRITERS)
def withdraw(request: EventRequest, slug: str, round_number: int, group: int) -> HttpResponse:
    """Let the group's address open nothing more; the next card that is printed carries the new one."""
    round = get_object_or_404(Round, event=request.event, number=round_number)
    if request.method == "POST":
        try:
            withdraw_link(
                round=round,
                group_number=group,
                number=whole_number(request.POST.get("link")) or 0,
                reason=request.POST.get("reason", ""),
                actor=request.actor,
                now=timezone.now(),
            )
        except WithdrawRefused as refused:
            messages.error(request, str(refused))
        else:
            messages.success(
                request,
                f"The address of group {group} is withdrawn. Let the group scan the new code, or print its card again.",
            )
    return redirect(f"{_url(slug, round_number)}&group={group}")
