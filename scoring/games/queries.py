"""Reading games: who is in, what is in the pot, who stands to win it."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import Any

from django.db.models import QuerySet

from events.entries.models import IN_THE_FIELD, Entry, EntryAddOn
from events.entries.queries import with_money
from events.setup.figures import money_text
from events.setup.models import AddOn, Event
from scoring.games import marks as order
from scoring.games.models import Ace, Award, Game, Mark, PotLine, RaffleDraw
from scoring.games.ones import Hole, Ones, ones_of
from scoring.games.pots import Paid, Pot, Source
from scoring.games.states import GameState, One, Player

ADULT_FROM = 18  # by calendar year; where another age counts, the local law does
CAUTION = (
    "Raffles, pots and games for money may need a permit, may be forbidden, and are often closed to minors. "
    "Ask the local authority before you sell a place; this list decides nothing."
)


def games_of(event: Event) -> list[GameState]:
    """Every game with its pot and people (1 query without games, else 9, and 3 more where a card has a 1 or an ace is
    decided)."""
    games = list(Game.objects.filter(event=event).select_related("round", "addon", "event"))
    if not games:
        return []
    field = list(_field(event))
    sold = _sold(event)
    lines, awards = _lines(event), _awards(event)
    marks, aces = _marks(event), _aces(event)
    draws = {draw.game_id: draw for draw in RaffleDraw.objects.filter(game__event=event)}
    ones = ones_of(event, [_hole(ace) for each in aces.values() for ace in each])
    return [
        _state(
            game,
            field,
            sold[game.addon_id],
            lines[game.pk],
            marks[game.pk],
            aces[game.pk],
            ones,
            draws.get(game.pk),
            awards[game.pk],
        )
        for game in games
    ]


def game_of(game: Game) -> GameState:
    """One game as `games_of` has it, with the same number of queries."""
    return next(state for state in games_of(game.event) if state.game.pk == game.pk)


def open_games(event: Event) -> list[str]:
    """What has to be done before the games' money is in order, as sentences (as many queries as `games_of`)."""
    return [sentence for state in games_of(event) for sentence in open_points(state)]


def open_points(state: GameState) -> list[str]:
    """The same of one game."""
    game, points = state.game, []
    currency = game.event.currency
    if state.pot.short:
        points.append(
            f"{game.name}: {money_text(-state.pot.rest, currency)} more was awarded than is in the pot. "
            "Settle it again."
        )
    if state.waiting:
        names = ", ".join(f"{one.name} on hole {one.hole_label}" for one in state.waiting)
        points.append(f"{game.name}: a 1 on a card is not decided ({names}).")
    if state.lost:
        names = ", ".join(f"{ace.entry.person.name} on hole {ace.hole_label}" for ace in state.lost)
        points.append(f"{game.name}: no longer a 1 on the card ({names}). Say whether it still counts.")
    if not state.settled and (state.pot.total or game.prize):
        points.append(f"{game.name} is not settled: {_to_win(state)}.")
    waiting = [award for award in state.awards if award.handed_at is None]
    if waiting:
        points.append(
            f"{game.name}: not handed out to {', '.join(dict.fromkeys(award.name for award in waiting))}."
        )
    if state.owing:
        names = ", ".join(player.name for player in state.owing)
        points.append(f"{game.name}: in the pot, but still owing money at the desk: {names}.")
    return points


def _to_win(state: GameState) -> str:
    """What is in a game that somebody still wins."""
    game, cents = state.game, state.pot.total
    pot = [f"{money_text(cents, game.event.currency)} in the pot"] if cents else []
    return ", and ".join([*pot, *([f"its prize is {game.prize}"] if game.prize else [])])


def addons_to_choose(event: Event) -> "QuerySet[AddOn]":
    """Add-ons that can let somebody into a game: extras on top of the fee, since a fee never pays for a game."""
    return AddOn.objects.filter(event=event, kind=AddOn.Kind.EXTRA, included=False).order_by("name")


def _field(event: Event) -> Iterable[Any]:
    """Who plays, with what each owes (1 query)."""
    entries = with_money(Entry.objects.filter(event=event, status__in=IN_THE_FIELD))
    return entries.select_related("person", "division").order_by("person__sort_name", "pk")


def _sold(event: Event) -> dict[int | None, set[int]]:
    """Add-on id → entries that bought it (1 query)."""
    found: dict[int | None, set[int]] = defaultdict(set)
    rows = EntryAddOn.objects.filter(addon__event=event, addon__games__isnull=False)
    for addon, entry in rows.values_list("addon_id", "entry_id"):
        found[addon].add(entry)
    return found


def _lines(event: Event) -> dict[int, list[PotLine]]:
    found: dict[int, list[PotLine]] = defaultdict(list)
    for line in PotLine.objects.filter(game__event=event):
        found[line.game_id].append(line)
    return found


def _awards(event: Event) -> dict[int, list[Award]]:
    found: dict[int, list[Award]] = defaultdict(list)
    for award in Award.objects.filter(game__event=event, taken_back_at__isnull=True):
        found[award.game_id].append(award)
    return found


def _marks(event: Event) -> dict[int, list[Mark]]:
    found: dict[int, list[Mark]] = defaultdict(list)
    for mark in Mark.objects.filter(game__event=event).select_related("entry__person", "entry__division"):
        found[mark.game_id].append(mark)
    return found


def _aces(event: Event) -> dict[int, list[Ace]]:
    found: dict[int, list[Ace]] = defaultdict(list)
    decided = Ace.objects.filter(game__event=event, taken_back_at__isnull=True)
    for ace in decided.select_related("entry__person", "round"):
        found[ace.game_id].append(ace)
    return found


def _state(
    game: Game,
    field: Sequence[Any],
    bought: set[int],
    lines: list[PotLine],
    marks: list[Mark],
    aces: list[Ace],
    ones: Ones,
    draw: RaffleDraw | None,
    awards: list[Award],
) -> GameState:
    undone = frozenset(line.undoes_id for line in lines if line.undoes_id is not None)
    players = _players(game, field, bought, lines, undone)
    inside = {player.entry for player in players}
    live = [mark for mark in marks if mark.taken_back_at is None and mark.entry_id in inside]
    measured = [order.Measured(mark.pk, mark.entry_id, mark.cm) for mark in live]
    ordered = order.in_order(measured, longest=game.kind == Game.Kind.LONGEST)
    by_pk = {mark.pk: mark for mark in marks}
    return GameState(
        game=game,
        pot=_pot(game, players, lines, awards),
        players=players,
        lines=tuple(lines),
        undone=undone,
        marks=tuple(by_pk[each.mark] for each in ordered),
        places=tuple(order.places(ordered)),
        back=tuple(mark for mark in marks if mark.taken_back_at is not None),
        aces=tuple(aces),
        waiting=_waiting(game, inside, aces, ones.found),
        lost=tuple(ace for ace in aces if ace.counts and not ace.reason and _hole(ace) in ones.other),
        draw=draw,
        awards=tuple(awards),
    )


BY_ADDON, BY_HAND, FREE = "at check-in", "by hand", "everybody"


def _players(
    game: Game, field: Sequence[Any], bought: set[int], lines: Sequence[PotLine], undone: frozenset[int]
) -> tuple[Player, ...]:
    """Who may win: who paid a place, or everybody where no place is sold; always of the game's divisions."""
    live = [line for line in lines if line.undoes_id is None and line.pk not in undone]
    by_hand = {line.entry_id for line in live if line.kind == PotLine.Kind.PLACE}
    free = game.addon_id is None and game.stake_cents == 0
    found = []
    for entry in field:
        if game.divisions and entry.division.code not in game.divisions:
            continue
        how = BY_ADDON if entry.pk in bought else BY_HAND if entry.pk in by_hand else FREE if free else ""
        if how:
            year = entry.person.birth_year
            minor = year is not None and game.event.starts_on.year - year < ADULT_FROM
            owes = entry.owed if how == BY_ADDON else 0
            found.append(Player(entry.pk, entry.person.name, entry.division.code, how, owes, minor))
    return tuple(found)


def _pot(game: Game, players: Sequence[Player], lines: Sequence[PotLine], awards: Sequence[Award]) -> Pot:
    sources = []
    if game.addon is not None:
        count = sum(player.how == BY_ADDON for player in players)
        sources.append(Source(f"{game.addon.name}, sold at check-in", count * game.addon.fee_cents, count))
    for kind in PotLine.Kind:
        rows = [line for line in lines if line.kind == kind]
        if rows:
            signs = [-1 if line.undoes_id is not None else 1 for line in rows]
            each = [line.tickets if kind == PotLine.Kind.TICKETS else 1 for line in rows]
            count = sum(sign * number for sign, number in zip(signs, each, strict=True))
            sold = kind in {PotLine.Kind.PLACE, PotLine.Kind.TICKETS}
            cents = sum(line.amount_cents for line in rows)
            sources.append(Source(kind.label, cents, count if sold else None))
    paid = tuple(
        Paid(award.name, award.amount_cents, award.handed_at is not None)
        for award in awards
        if award.amount_cents
    )
    return Pot(tuple(sources), paid, game.settled_at is not None, game.rest_to)


def _waiting(game: Game, inside: set[int], aces: Sequence[Ace], ones: Sequence[One]) -> tuple[One, ...]:
    """Ones that belong to an ace pot and on which the director has said nothing yet."""
    if game.kind != Game.Kind.ACE:
        return ()
    decided = {_hole(ace) for ace in aces}
    return tuple(
        one
        for one in ones
        if one.entry in inside
        and game.round_id in {None, one.round}
        and (one.entry, one.round, one.hole_label) not in decided
    )


def _hole(ace: Ace) -> Hole:
    return ace.entry_id, ace.round_id, ace.hole_label
