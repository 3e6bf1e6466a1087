"""Rulings on an open card: booked by hand, asked about, taken back."""

from django.contrib import messages
from django.http import Http404, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST
from django_htmx.http import HttpResponseClientRefresh

from events.setup.access import EventRequest, staff
from events.setup.asked import page_key, whole_number
from events.setup.models import Role, Round
from events.sheets.cells import clean
from scoring.cards import pages
from scoring.cards.models import Ruling
from scoring.cards.queries import NoSuchCard, card
from scoring.cards.ruling_lines import TYPED, rulings_context
from scoring.cards.ruling_rights import refuse_verified
from scoring.cards.rulings import (
    NEEDS_NOBODY,
    RulingRefused,
    StandsAlready,
    make_ruling,
    say_in_card,
    take_back_ruling,
)
from scoring.cards.states import CardState

WRITERS = (Role.DIRECTOR, Role.CARD_ROOM)
MOST_THROWS = 30  # what cannot be one ruling; the product's own bound, no source
LONGEST = {"rule": 200, "what": 180, "caller": 120, "confirmer": 120}


@staff(*WRITERS)
@require_POST
def in_card(request: EventRequest, slug: str, round_number: int, group: int, pk: int) -> HttpResponse:
    """Whether the written score has a ruling already; `ask` opens the question again."""
    ruling = _ruling(request, round_number, pk)
    answer = {"yes": True, "no": False}.get(request.POST.get("in_card", ""))
    wrong = ""
    try:
        refuse_verified(role=request.role, round=ruling.round, group_number=group)
        say_in_card(ruling=ruling, in_card=answer, actor=request.actor, now=timezone.now())
    except RulingRefused as refused:
        wrong = str(refused)
    return _again(request, ruling.round, group, wrong)


@staff(*WRITERS)
@require_POST
def book(request: EventRequest, slug: str, round_number: int, group: int) -> HttpResponse:
    """A ruling written by hand, on a hole or on the round's total; throws may be taken off too."""
    round = get_object_or_404(Round, event=request.event, number=round_number)
    state = _state(round, group)
    wrong, twin = "", False
    try:
        refuse_verified(role=request.role, round=round, group_number=group)
        _book(request, round, state)
    except RulingRefused as refused:
        wrong, twin = str(refused), isinstance(refused, StandsAlready)
    return _again(request, round, group, wrong, twin=twin)


def _book(request: EventRequest, round: Round, state: CardState) -> None:
    post = request.POST
    seated = {player.entry_id for player in state.players}
    entry = whole_number(post.get("entry"))
    hole = post.get("hole", "")
    if entry not in seated:
        raise RulingRefused("Choose the player.")
    if hole and hole not in {each.label for each in state.layout.holes}:
        raise RulingRefused(f"This layout has no hole {hole[:10]}.")
    said = {name: _text(post, name) for name in LONGEST}
    if not said["rule"] or not said["what"]:
        raise RulingRefused("Write what was decided, and the rule it follows.")
    if not said["caller"]:
        raise RulingRefused("Write who made the call.")
    if not said["confirmer"] and not post.get("alone"):
        raise RulingRefused("Write who confirmed the call, or tick that it needs nobody.")
    said["confirmer"] = said["confirmer"] or NEEDS_NOBODY
    make_ruling(
        entry=request.event.entries.get(pk=entry),
        round=round,
        hole_label=hole,
        throws=_throws(post.get("throws", "")),
        origin=f"by hand {page_key(post.get('submission'))}",
        actor=request.actor,
        now=timezone.now(),
        twice=bool(post.get("twice")),
        **said,
    )


def _text(post: QueryDict, name: str) -> str:
    text = clean(post.get(name, ""))
    if len(text) > LONGEST[name]:
        raise RulingRefused(f"“{text[:20]}…” is longer than {LONGEST[name]} letters.")
    return text


def _throws(text: str) -> int:
    """Throws as +2, 2 or \N{MINUS SIGN}2. Raises RulingRefused."""
    text = clean(text).replace("\N{MINUS SIGN}", "-").replace("\N{EN DASH}", "-")
    sign, figure = (-1, text[1:]) if text.startswith("-") else (1, text.removeprefix("+"))
    count = whole_number(figure.strip())
    if count is None or not 0 < count <= MOST_THROWS:
        raise RulingRefused(
            f"Write the throws as 2, or \N{MINUS SIGN}2 to take some off; at most {MOST_THROWS}."
        )
    return sign * count


@staff(*WRITERS)
@require_POST
def take_back(request: EventRequest, slug: str, round_number: int, group: int, pk: int) -> HttpResponse:
    """A ruling written by hand counts no longer. One that came from a call goes with its call."""
    ruling = _ruling(request, round_number, pk)
    wrong = ""
    try:
        refuse_verified(role=request.role, round=ruling.round, group_number=group)
        if not ruling.by_hand:
            raise RulingRefused("This ruling came from a call: take back the call.")
        reason = clean(request.POST.get("reason", ""))
        take_back_ruling(ruling=ruling, reason=reason, actor=request.actor, now=timezone.now())
    except RulingRefused as refused:
        wrong = str(refused)
    return _again(request, ruling.round, group, wrong)


def _ruling(request: EventRequest, round_number: int, pk: int) -> Ruling:
    return get_object_or_404(
        Ruling.objects.select_related("round"), pk=pk, round__event=request.event, round__number=round_number
    )


def _state(round: Round, group: int) -> CardState:
    try:
        return card(round, group).state
    except NoSuchCard as nothing:
        raise Http404(str(nothing)) from None


def _again(
    request: EventRequest, round: Round, group: int, wrong: str, *, twin: bool = False
) -> HttpResponse:
    """The rulings alone for htmx, so that what is typed into the grid stays; the card for a form without script.
    A locked card comes whole, since its grid says what counts. `twin`: ask whether it happened twice."""
    if not request.htmx:  # type: ignore[attr-defined]
        if wrong:
            messages.error(request, wrong)
        return redirect(pages.room_url(request.event, round.number, group))
    state = _state(round, group)
    if state.verified and not wrong:
        return HttpResponseClientRefresh()
    can_write = not state.verified or request.role is Role.DIRECTOR
    context = rulings_context(request.event, round, state, can_write=can_write)
    if wrong:
        typed = {name: request.POST.get(name, "") for name in TYPED}
        context |= {"wrong": wrong, "typed": typed, "twin": twin}
    return render(request, "cards/rulings.html", context, status=422 if wrong else 200)
