"""What one game's page shows, form by form; a form that was refused comes back as it was typed."""

from typing import Any
from uuid import uuid4

from events.bags.spot_draw import revealed
from events.entries.models import IN_THE_FIELD, Entry
from events.setup.access import EventRequest
from events.setup.apportioning import apportion
from events.setup.models import Role
from scoring.games.forms import AceForm, CalledForm, MarkForm, PlaceForm, PotForm, TicketsForm, WinnersForm
from scoring.games.models import Game
from scoring.games.queries import BY_ADDON, BY_HAND, CAUTION, game_of, open_points
from scoring.games.shares import paid_part
from scoring.games.states import GameState, Winner
from scoring.games.winners import winners_of


def game_context(request: EventRequest, game: Game, typed: dict[str, Any]) -> dict[str, Any]:
    """`typed`: key of a form → the bound form that was refused."""
    state = game_of(game)
    director = request.role is Role.DIRECTOR
    field = _field(game)
    inside = [player.entry for player in state.players]
    forms: dict[str, Any] = {}
    if not state.settled:
        forms = _forms(state, field, inside, director=director)
    shares = _shares(state)
    return {
        "game": game,
        "state": state,
        "for_thing": _for_thing(game, shares),
        "director": director,
        "caution": CAUTION,
        "points": open_points(state),
        "shares": shares,
        "forms": {key: typed.get(key, form) for key, form in forms.items()},
        "by_hand": BY_HAND,
        "by_addon": BY_ADDON,
        "revealed": revealed(state.draw.secret) if state.draw and state.draw.drawn_at else "",
        "refused": typed.get("refused", ""),
    }


def form_of(key: str, game: Game, data: Any) -> Any:
    """The bound form of one act."""
    state = game_of(game)
    inside = [player.entry for player in state.players]
    made = _forms(state, _field(game), inside, director=True, data=data)
    return made.get(key)


def _field(game: Game) -> list[int]:
    entries = Entry.objects.filter(event=game.event, status__in=IN_THE_FIELD)
    if game.divisions:
        entries = entries.filter(division__code__in=game.divisions)
    return list(entries.values_list("pk", flat=True))


def _forms(
    state: GameState, field: list[int], inside: list[int], *, director: bool, data: Any = None
) -> dict[str, Any]:
    game, kinds = state.game, Game.Kind
    key = {"submission": uuid4()}
    forms: dict[str, Any] = {}
    if game.kind == kinds.RAFFLE:
        if state.draw is None:
            forms["tickets"] = TicketsForm(data, entries=field, prefix="tickets", initial=key)
        elif director and state.draw.drawn_at is None:
            forms["called"] = CalledForm(data, prefix="called")
    elif game.stake_cents:
        out = [entry for entry in field if entry not in set(inside)]
        forms["place"] = PlaceForm(data, entries=out, prefix="place")
    if game.by_distance:
        last = {"measured_by": state.marks[-1].measured_by} if state.marks else {}
        forms["mark"] = MarkForm(data, entries=inside, units=game.event.units, prefix="mark", initial=last)
    if director:
        forms["pot"] = PotForm(data, prefix="pot", initial=key)
        if game.kind == kinds.ACE:
            forms["ace"] = AceForm(data, entries=inside, game=game, prefix="ace")
        if game.kind == kinds.OTHER:
            forms["winners"] = WinnersForm(data, players=state.players, prefix="winners")
    return forms


def _shares(state: GameState) -> list[dict[str, Any]]:
    """Who would win what, were the game settled now."""
    if state.settled:
        return []
    winners = winners_of(state)
    pays = paid_part(state.pot.total, state.game.pays_percent)
    cents = apportion(pays, [winner.parts for winner in winners]) if winners else ()
    return [{"winner": winner, "cents": share} for winner, share in zip(winners, cents, strict=True)]


def _for_thing(game: Game, shares: list[dict[str, Any]]) -> list[Winner]:
    """Who won the game's one thing equally, each once; nobody where there is nothing to ask."""
    if not game.prize or game.kind in {Game.Kind.RAFFLE, Game.Kind.OTHER}:
        return []
    equal = {share["winner"].entry: share["winner"] for share in shares}
    return list(equal.values()) if len(equal) > 1 else []
