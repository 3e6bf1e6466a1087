"""The card room."""

from datetime import datetime
from typing import Any
from uuid import uuid4

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django_htmx.http import HttpResponseClientRedirect

from events.draw.models import Group, Sheet
from events.log.services import revision
from events.setup.access import EVERY_ROLE, EventRequest, staff
from events.setup.asked import whole_number
from events.setup.figures import clock_text
from events.setup.models import Role, Round
from events.setup.queries import rulebook_for
from scoring.cards import pages, services
from scoring.cards.deciding import compared
from scoring.cards.finding import group_by_code, matching
from scoring.cards.forms import BadClock, Typed, read_card, read_clock
from scoring.cards.grid import questions_of, standing_lines_in
from scoring.cards.models import CardVersion
from scoring.cards.presence import PING_SECONDS, open_card
from scoring.cards.queries import ABSENCE_OVER_PAR, cards_of
from scoring.cards.states import CardState
from scoring.cards.waiting import next_card

WRITERS = (Role.DIRECTOR, Role.CARD_ROOM)
RADIO = (*WRITERS, Role.DESK, Role.MARSHAL)  # who hears what is called in


@staff(*EVERY_ROLE, write=())
def room(request: EventRequest, slug: str) -> HttpResponse:
    """The list of cards and, with `group`, the open one; `q` opens the card that fits, or lists several."""
    rounds = pages.rounds_of(request.event)
    round = pages.chosen(rounds, request.GET.get("round"))
    if round is None:
        return render(request, "cards/room.html", _frame(request, rounds, None))
    states = cards_of(round)
    text = request.GET.get("q", "").strip()
    found = _found(request, round, states, text) if text else []
    if isinstance(found, HttpResponse):
        return found
    group = request.GET.get("group", "")
    state = next((state for state in states if str(state.number) == group), None)
    return _room(request, rounds, round, states, state, q=text, found=found)


def _found(
    request: EventRequest, round: Round, states: list[CardState], text: str
) -> HttpResponse | list[CardState]:
    by_name = matching(states, text)
    if len(by_name) > 1:
        return by_name
    if by_name:
        return redirect(pages.room_url(request.event, round.number, by_name[0].number))
    ref = group_by_code(round, text)
    if ref is None:
        return []
    return redirect(pages.room_url(request.event, ref.round_number, ref.group_number))


def _frame(request: EventRequest, rounds: list[Round], round: Round | None) -> dict[str, Any]:
    tabs = [
        {
            "label": f"Round {other.number}",
            "url": pages.room_url(request.event, other.number),
            "current": round is not None and other.number == round.number,
        }
        for other in rounds
    ]
    return {
        "tabs": tabs,
        "round": round,
        "state": None,
        "q": "",
        "found": [],
        "out": [],
        "done": [],
        "cards": 0,
        "can_radio": False,
    }


def _room(
    request: EventRequest,
    rounds: list[Round],
    round: Round,
    states: list[CardState],
    state: CardState | None,
    *,
    q: str = "",
    found: list[CardState] | None = None,
    status: int = 200,
    **card_facts: Any,
) -> HttpResponse:
    now = timezone.now()
    context = _frame(request, rounds, round)
    context |= pages.list_context(request.event, round, states, state.number if state else None, now)
    context |= {
        "q": q,
        "can_radio": request.role in RADIO and request.event.over_at is None,
        "can_verify_all": request.role in WRITERS and request.event.over_at is None,
        "radio_key": uuid4(),
        "radio_line": request.GET.get("radio", ""),
        "found": [
            {"state": one, "url": pages.room_url(request.event, round.number, one.number)}
            for one in found or []
        ],
    }
    if state is not None:
        context |= _card(request, round, state, **card_facts)
    return render(request, "cards/room.html", context, status=status)


def _card(request: EventRequest, round: Round, state: CardState, **card_facts: Any) -> dict[str, Any]:
    context = pages.card_context(
        request.event,
        round,
        state,
        can_write=request.role in WRITERS,
        role=request.role,
        blind="blind" in (request.POST if request.method == "POST" else request.GET),
        **card_facts,
    )
    held = state.presence(timezone.now())
    context["presence"] = held if held and held.name != request.actor.name else None
    context["newer"] = None
    context["may_radio"] = request.role in RADIO and request.event.over_at is None
    return context


@staff(*EVERY_ROLE, write=())
def waiting_list(request: EventRequest, slug: str) -> HttpResponse:
    """The list alone, for the page that has it open; 204 while nothing was written since."""
    if request.GET.get("seen") == str(revision(slug)):
        return HttpResponse(status=204)
    round = get_object_or_404(Round, event=request.event, number=whole_number(request.GET.get("round")) or 0)
    group = whole_number(request.GET.get("group"))
    context = pages.list_context(request.event, round, cards_of(round), group, timezone.now())
    context["can_verify_all"] = request.role in WRITERS and request.event.over_at is None
    return render(request, "cards/list.html", context)


@staff(*WRITERS)
def save(request: EventRequest, slug: str, round_number: int, group: int) -> HttpResponse:
    """Keep what was typed, unless a question about it is open; then on to the next card."""
    if request.method != "POST":
        return redirect(pages.room_url(request.event, round_number, group))
    round = get_object_or_404(Round, event=request.event, number=round_number)
    states = cards_of(round)
    state = _state(states, group)
    typed = read_card(request.POST, state, rulebook_for(request.event).int(ABSENCE_OVER_PAR))
    if state.base and not typed.problems and _nothing(typed):
        messages.warning(request, f"Nothing was typed: group {group} stays as it is.")
        return _go(request, round, group)
    asked = [] if typed.problems else _open_questions(state, typed, blind="blind" in request.POST)
    if typed.problems or asked:
        return _again(request, round, states, state, typed=typed, asked=asked, problems=typed.problems)
    second, now = "blind" in request.POST and _typed_before(round, group), timezone.now()
    try:
        saved = services.save_card(
            round=round,
            group_number=group,
            lines=typed.lines,
            base=typed.base,
            submission=typed.submission,
            source=CardVersion.Source.SECOND if second else CardVersion.Source.PAPER,
            actor=request.actor,
            now=now,
            reason=typed.reason,
        )
    except services.CardRefused as refused:
        return _again(request, round, states, state, typed=typed, problems=refused.sentences)
    differs = _differs(round, group, saved, second=second)
    if differs:
        messages.warning(request, differs)
        return _go(request, round, group)
    same = ", and says the same as the first entry" if second else ""
    messages.success(request, f"Group {group} is saved{same}.")
    return _go(request, round, next_card(cards_of(round), group, now))


def _typed_before(round: Round, group: int) -> bool:
    """Whether the card was typed once: holes that the desk scored as not played are no card (1 query)."""
    versions = CardVersion.objects.filter(card__round=round, card__group_number=group)
    return versions.exclude(source=CardVersion.Source.DESK).exists()


def _nothing(typed: Typed) -> bool:
    """An empty card over one that stands: a page that the browser went back to."""
    return not any(
        line.written_total or line.additional or any(throws is not None for throws in line.throws)
        for line in typed.lines
    )


def _differs(round: Round, group: int, saved: services.Saved, *, second: bool) -> str:
    """What to say when somebody has to look at the card again; "": nothing differs."""
    if saved.conflict and not second:
        return f"Group {group} was saved by somebody else meanwhile and differs. Both are kept: who is right?"
    cells = compared(round, group).cells
    if cells:
        what = "hole" if all(each.index is not None for each in cells) else "figure"
        where = f"1 {what}" if len(cells) == 1 else f"{len(cells)} {what}s"
        return f"Group {group} is saved. Others say something else on {where}: who is right?"
    if saved.conflict:
        return f"The second entry of group {group} read another total. Both are kept: who is right?"
    return ""


def _open_questions(state: CardState, typed: Typed, *, blind: bool) -> list[Any]:
    """What was answered when the card was saved before is not asked again, except of somebody who types it blind."""
    standing = (
        set() if blind else {question.key for question in questions_of(state, standing_lines_in(state))}
    )
    return [
        question
        for question in questions_of(state, typed.lines)
        if question.key not in typed.sure and question.key not in standing
    ]


def _state(states: list[CardState], group: int) -> CardState:
    for state in states:
        if state.number == group:
            return state
    raise Http404("There is no such group on the published tee sheet.")


def _go(request: HttpRequest, round: Round, group: int | None) -> HttpResponse:
    """On to a card of the round, whether the page sent the form itself or by script."""
    url = pages.room_url(round.event, round.number, group)
    return HttpResponseClientRedirect(url) if request.htmx else HttpResponseRedirect(url)  # type: ignore[attr-defined]


def _again(
    request: EventRequest, round: Round, states: list[CardState], state: CardState, **card_facts: Any
) -> HttpResponse:
    """The card as it was typed, with what is asked or wrong."""
    if request.htmx:  # type: ignore[attr-defined]
        return render(request, "cards/card.html", _card(request, round, state, **card_facts), status=422)
    rounds = pages.rounds_of(request.event)
    return _room(request, rounds, round, states, state, status=422, **card_facts)


@staff(*WRITERS)
def opened(request: EventRequest, slug: str, round_number: int, group: int) -> HttpResponse:
    """A page that has the card open says so every few seconds, and hears who else has it."""
    round = get_object_or_404(Round, event=request.event, number=round_number)
    if request.method != "POST":
        return redirect(pages.room_url(request.event, round_number, group))
    get_object_or_404(Group, sheet__round=round, sheet__state=Sheet.State.PUBLISHED, number=group)
    held = open_card(round=round, group_number=group, actor=request.actor, now=timezone.now())
    newest = CardVersion.objects.filter(
        card__round=round, card__group_number=group, state=CardVersion.State.CURRENT
    ).first()
    base = whole_number(request.GET.get("base")) or 0
    context = {
        "presence": held,
        "newer": newest if newest and newest.number != base else None,
        "base": base,
        "pinging": False,
        "ping_seconds": PING_SECONDS,
        "urls": {"open": request.path},
    }
    return render(request, "cards/presence.html", context)


@staff(*WRITERS)
def mark(request: EventRequest, slug: str, round_number: int, group: int, what: str) -> HttpResponse:
    """The group has finished, or the card is in: now, at the time typed, or taken back."""
    round = get_object_or_404(Round, event=request.event, number=round_number)
    if request.method != "POST":
        return redirect(pages.room_url(request.event, round_number, group))
    now = timezone.now()
    state = _state(cards_of(round), group)
    service = services.mark_finished if what == "finished" else services.mark_returned
    words = "finished" if what == "finished" else "card in"
    try:
        at = _moment(request, round, state, now)
        service(round=round, group_number=group, at=at, actor=request.actor, now=now)
    except (services.CardRefused, BadClock) as refused:
        messages.error(request, str(refused))
    else:
        said = clock_text(request.event.local(at)) if at else "taken back"
        messages.success(request, f"Group {group}: {words} {said}.")
    if not request.htmx:  # type: ignore[attr-defined]
        return redirect(pages.room_url(request.event, round_number, group))
    # What is typed into the grid stays: only the line with the clock is exchanged.
    fresh = _state(cards_of(round), group)
    return render(
        request, "cards/clock_answer.html", pages.clock_context(request.event, round, fresh, can_write=True)
    )


def _moment(request: EventRequest, round: Round, state: CardState, now: datetime) -> datetime | None:
    """The time of the mark: typed, else now; None takes it back. Raises BadClock."""
    if "undo" in request.POST:
        return None
    typed = request.POST.get("at", "").strip()
    return read_clock(typed, request.event, round.date, state.starts_at) if typed else now


@staff(*WRITERS)
def decide(request: EventRequest, slug: str, round_number: int, group: int, version: int) -> HttpResponse:
    """Which of two versions that differ is right."""
    found = get_object_or_404(
        CardVersion.objects.select_related("card__round"),
        pk=version,
        card__round__event=request.event,
        card__round__number=round_number,
        card__group_number=group,
    )
    if request.method == "POST":
        take = request.POST.get("take") == "yes"
        try:
            services.resolve_difference(
                version=found,
                take=take,
                reason=request.POST.get("reason", ""),
                actor=request.actor,
                now=timezone.now(),
            )
        except services.CardRefused as refused:
            messages.error(request, str(refused))
        else:
            said = "is the current one now" if take else "was not taken"
            messages.success(request, f"Group {group}: version {found.number} {said}.")
    return redirect(pages.room_url(request.event, round_number, group))
