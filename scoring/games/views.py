"""The games' pages: all of them, one of them, and its acts."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from events.entries.models import Entry, Payment
from events.setup.access import EventRequest, staff
from events.setup.answers import shown_pdf
from events.setup.figures import money_text
from events.setup.models import Role, Round
from scoring.games.aces import decide_ace, undo_ace
from scoring.games.forms import GameForm
from scoring.games.measuring import measure, take_back_mark
from scoring.games.models import Ace, Award, Game, Mark, PotLine
from scoring.games.pages import form_of, game_context
from scoring.games.paper import games_pdf
from scoring.games.queries import CAUTION, games_of, open_points
from scoring.games.raffling import close_sale, draw_tickets, open_sale
from scoring.games.services import (
    GameRefused,
    add_to_pot,
    change_game,
    make_game,
    remove_game,
    sell_place,
    sell_tickets,
    undo_pot_line,
)
from scoring.games.settling import hand_out, settle_game, undo_hand_out, unsettle_game

DESK = (Role.DIRECTOR, Role.DESK)
Refused = dict[str, Any]


@staff(*DESK, write=())
def overview(request: EventRequest, slug: str) -> HttpResponse:
    """Every game with its pot; the director sets up another one here."""
    form = GameForm(request.POST or None, event=request.event)
    if request.method == "POST" and form.is_valid():
        try:
            made = make_game(
                event=request.event,
                terms=form.terms(),
                apart=form.cleaned_data["apart"],
                actor=request.actor,
                now=timezone.now(),
            )
        except GameRefused as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, f"{' and '.join(game.name for game in made)}: set up.")
            return redirect("games:overview", slug)
    states = games_of(request.event)
    context = {
        "states": states,
        "points": [point for state in states for point in open_points(state)],
        "held": sum(state.pot.held for state in states),
        "form": form,
        "director": request.role is Role.DIRECTOR,
        "caution": CAUTION,
    }
    return render(request, "games/overview.html", context, status=422 if form.errors else 200)


@staff(*DESK, write=())
def game(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    return _page(request, _game(request, pk))


@staff(Role.DIRECTOR)
def change(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    found = _game(request, pk)
    form = GameForm(request.POST or None, event=request.event, game=found)
    if request.method == "POST" and form.is_valid():
        try:
            change_game(game=found, terms=form.terms(), actor=request.actor, now=timezone.now())
        except GameRefused as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, f"{found.name} is changed.")
            return redirect("games:game", slug, pk)
    return render(
        request, "games/change.html", {"game": found, "form": form}, status=422 if form.errors else 200
    )


@staff(*DESK, write=())
def paper(request: EventRequest, slug: str) -> HttpResponse:
    return shown_pdf(games_pdf(request.event, now=timezone.now()), f"{slug}-side-games.pdf")


@staff(Role.DIRECTOR)
@require_POST
def remove(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    found = _game(request, pk)
    try:
        remove_game(game=found, actor=request.actor, now=timezone.now())
    except GameRefused as refused:
        return _page(request, found, {"refused": str(refused)})
    messages.success(request, f"{found.name} is removed.")
    return redirect("games:overview", slug)


@staff(*DESK)
@require_POST
def place(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    return _typed(request, pk, "place", sell_place, lambda line: f"{line.name} is in.")


@staff(*DESK)
@require_POST
def tickets(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    def said(line: PotLine) -> str:
        first, last = line.first_ticket, line.last_ticket
        numbers = f"ticket {first}" if first == last else f"tickets {first} to {last}"
        return f"{line.name}: {numbers}, {money_text(line.amount_cents, request.event.currency)}."

    return _typed(request, pk, "tickets", sell_tickets, said)


@staff(Role.DIRECTOR)
@require_POST
def pot(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    return _typed(request, pk, "pot", add_to_pot, lambda line: f"{line.name}: in the pot.")


@staff(*DESK)
@require_POST
def mark(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    return _typed(request, pk, "mark", measure, lambda _: "Measured.")


@staff(Role.DIRECTOR)
@require_POST
def ace(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    def decide(**facts: Any) -> Ace:
        return decide_ace(counts=True, reason="", **facts)

    return _typed(request, pk, "ace", decide, lambda _: "The ace counts.")


@staff(Role.DIRECTOR)
@require_POST
def call(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    return _typed(request, pk, "called", draw_tickets, lambda draw: f"Drawn: {draw.drawn[0]} first.")


@staff(Role.DIRECTOR)
@require_POST
def answer_one(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """A 1 on a card counts for the pot, or does not; one that is gone from it still counts, or does not."""
    post = request.POST
    entry = get_object_or_404(Entry, event=request.event, pk=_number(post.get("entry")))
    round = get_object_or_404(Round, event=request.event, pk=_number(post.get("round")))
    return _act(
        request,
        _game(request, pk),
        decide_ace,
        "Decided.",
        entry=entry,
        round=round,
        hole_label=post.get("hole", ""),
        counts=post.get("counts") in {"yes", "still"},
        against_card=post.get("counts") == "still",
        reason=post.get("reason", ""),
    )


@staff(*DESK)
@require_POST
def undo_line(request: EventRequest, slug: str, pk: int, line: int) -> HttpResponse:
    found = get_object_or_404(PotLine, game__event=request.event, game=pk, pk=line)
    return _act(
        request, _game(request, pk), undo_pot_line, "Undone: give the money back.", key="line", row=found
    )


@staff(*DESK)
@require_POST
def back_mark(request: EventRequest, slug: str, pk: int, row: int) -> HttpResponse:
    found = get_object_or_404(Mark, game__event=request.event, game=pk, pk=row)
    reason = request.POST.get("reason", "")
    return _act(
        request, _game(request, pk), take_back_mark, "Taken back.", key="mark", row=found, reason=reason
    )


@staff(Role.DIRECTOR)
@require_POST
def back_ace(request: EventRequest, slug: str, pk: int, row: int) -> HttpResponse:
    found = get_object_or_404(Ace, game__event=request.event, game=pk, pk=row)
    return _act(request, _game(request, pk), undo_ace, "Open again.", key="ace", row=found)


@staff(Role.DIRECTOR)
@require_POST
def close(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    return _act(request, _game(request, pk), close_sale, "The sale is closed: read out the promise.")


@staff(Role.DIRECTOR)
@require_POST
def reopen(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    return _act(request, _game(request, pk), open_sale, "The sale goes on.")


@staff(Role.DIRECTOR)
@require_POST
def settle(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    found = _game(request, pk)
    winners: list[Any] = []
    if found.kind == Game.Kind.OTHER and found.settled_at is None:
        form = form_of("winners", found, request.POST)
        if not form.is_valid():
            return _page(request, found, {"winners": form})
        winners = form.winners()
    facts: dict[str, Any] = {
        "typed": winners,
        "seen_cents": _number(request.POST.get("seen")),
        "thing_to": _number(request.POST.get("thing_to")) or None,
    }
    return _act(request, found, settle_game, f"{found.name} is settled.", **facts)


@staff(Role.DIRECTOR)
@require_POST
def unsettle(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    return _act(request, _game(request, pk), unsettle_game, "Open again.")


@staff(*DESK)
@require_POST
def hand(request: EventRequest, slug: str, pk: int, row: int) -> HttpResponse:
    found = get_object_or_404(Award, game__event=request.event, game=pk, pk=row)
    method = request.POST.get("method", "")
    way = Payment.Method(method) if method in Payment.Method.values else Payment.Method.CASH
    said = f"{found.name} has it."
    return _act(request, _game(request, pk), hand_out, said, key="award", row=found, method=way)


@staff(*DESK)
@require_POST
def unhand(request: EventRequest, slug: str, pk: int, row: int) -> HttpResponse:
    found = get_object_or_404(Award, game__event=request.event, game=pk, pk=row)
    return _act(request, _game(request, pk), undo_hand_out, "Not handed out.", key="award", row=found)


def _game(request: EventRequest, pk: int) -> Game:
    rows = Game.objects.select_related("event", "round", "addon")
    return get_object_or_404(rows, event=request.event, pk=pk)


def _number(text: str | None) -> int:
    """0 for what is no number: it belongs to nothing."""
    return int(text) if text and text.isdecimal() and len(text) < 12 else 0


def _page(request: EventRequest, game: Game, typed: Refused | None = None) -> HttpResponse:
    context = game_context(request, game, typed or {})
    return render(request, "games/game.html", context, status=422 if typed else 200)


def _typed(
    request: EventRequest, pk: int, key: str, service: Callable[..., Any], said: Callable[[Any], str]
) -> HttpResponse:
    """One form, one service: what it refuses stands at the form, with what was typed."""
    found = _game(request, pk)
    form = form_of(key, found, request.POST)
    if form is None:
        return _page(request, found, {"refused": "This is not possible any more: look how the game stands."})
    if not form.is_valid():
        return _page(request, found, {key: form})
    try:
        made = service(game=found, actor=request.actor, now=timezone.now(), **form.cleaned_data)
    except GameRefused as refused:
        form.add_error(None, str(refused))
        return _page(request, found, {key: form})
    messages.success(request, said(made))
    return redirect("games:game", request.event.slug, pk)


def _act(
    request: EventRequest, game: Game, service: Callable[..., Any], said: str, *,
    key: str = "game", row: Any = None, **facts: Any,
) -> HttpResponse:  # fmt: skip
    """One button, one service: what it refuses stands at the top of the page."""
    try:
        service(**{key: game if row is None else row}, actor=request.actor, now=timezone.now(), **facts)
    except GameRefused as refused:
        return _page(request, game, {"refused": str(refused)})
    messages.success(request, said)
    return redirect("games:game", request.event.slug, game.pk)
