"""Settling a game: the pot paid out or rolled over, whole; what was handed out; taking it back."""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from events.entries.models import Payment
from events.log.actions import Action
from events.log.services import Actor
from events.setup.apportioning import apportion
from events.setup.figures import money_text
from scoring.games.models import Award, Game
from scoring.games.queries import game_of
from scoring.games.services import GameRefused, locked, log_game
from scoring.games.shares import paid_part
from scoring.games.states import GameState, Winner
from scoring.games.winners import winners_of


@transaction.atomic
def settle_game(
    *,
    game: Game,
    seen_cents: int,
    typed: Sequence[Winner] = (),
    thing_to: int | None = None,
    actor: Actor,
    now: datetime,
) -> Game:
    """Share the pot among its winners by largest remainder; without a winner all of it stays for `rest_to`.

    `seen_cents`: the pot as the page showed it. `typed`: the winners of a game that the tool cannot know, with
    their parts; `thing_to`: the entry that takes the one thing, where several won it equally.

    Raises GameRefused where money came in between, and where a decision is still open.
    """
    game = locked(game)
    state = game_of(game)
    _refuse_open(state, seen_cents)
    winners = list(typed) if game.kind == Game.Kind.OTHER else winners_of(state)
    things = with_thing(game, winners, thing_to)
    pays = paid_part(state.pot.total, game.pays_percent)
    shares = apportion(pays, [winner.parts for winner in winners]) if winners else ()
    for at, (winner, cents) in enumerate(zip(winners, shares, strict=True)):
        if cents or at in things:
            Award.objects.create(
                game=game,
                entry_id=winner.entry,
                name=winner.name[:120],
                amount_cents=cents,
                thing=game.prize if at in things else "",
                why=winner.why[:200],
                at=now,
                by=actor.name[:150],
            )
    game.settled_at, game.settled_by = now, actor.name[:150]
    game.save(update_fields=["settled_at", "settled_by"])
    detail = {
        "pot_cents": state.pot.total,
        "winners": [[winner.name, winner.why, cents] for winner, cents in zip(winners, shares, strict=True)],
        "rest_cents": state.pot.total - sum(shares),
        "rest to": game.rest_to,
    }
    if game.prize and things:
        detail["thing to"] = ", ".join(winners[at].name for at in sorted(things))
    log_game(game, Action.GAME_SETTLED, actor, now, detail)
    return game


def with_thing(game: Game, winners: Sequence[Winner], thing_to: int | None) -> set[int]:
    """Which winners, by position, take the game's thing: every ticket drawn and every winner that was typed has one;
    of an ace or a distance there is one. Raises GameRefused where several won it equally and none of them is said."""
    if not game.prize or not winners:
        return set()
    if game.kind in {Game.Kind.RAFFLE, Game.Kind.OTHER}:
        return set(range(len(winners)))
    entries = [winner.entry for winner in winners]
    if len(set(entries)) == 1:
        return {0}
    if thing_to is None or thing_to not in entries:
        raise GameRefused(
            f"{len(set(entries))} won equally, and there is one thing ({game.prize}): say who takes it. "
            "They may throw for it."
        )
    return {entries.index(thing_to)}


def _refuse_open(state: GameState, seen_cents: int) -> None:
    """Raises GameRefused for what has to be decided before the game is settled."""
    if state.pot.total != seen_cents:
        now_in = money_text(state.pot.total, state.game.event.currency)
        raise GameRefused(f"The pot is {now_in} now: somebody sold or gave back a place. Look again.")
    if state.waiting:
        raise GameRefused("A 1 on a card is not decided: say first whether it counts.")
    if state.lost:
        ace = state.lost[0]
        raise GameRefused(
            f"{ace.entry.person.name} has no 1 on hole {ace.hole_label} any more: "
            "say first whether the ace still counts."
        )
    if state.draw is not None and state.draw.drawn_at is None:
        raise GameRefused("The tickets are not drawn yet.")
    if state.tickets and state.draw is None:
        raise GameRefused("Tickets are sold: close the sale and draw first.")


@transaction.atomic
def unsettle_game(*, game: Game, actor: Actor, now: datetime) -> Game:
    """Take the settling back. Raises GameRefused once something was handed out: undo that first."""
    game = locked(game, settled=True)
    if game.settled_at is None:
        return game
    live = Award.objects.select_for_update().filter(game=game, taken_back_at__isnull=True)
    if given := live.filter(handed_at__isnull=False).first():
        raise GameRefused(f"{given.name} has the prize already: undo the handing out first.")
    live.update(taken_back_at=now, taken_back_by=actor.name[:150])
    game.settled_at, game.settled_by = None, ""
    game.save(update_fields=["settled_at", "settled_by"])
    log_game(game, Action.GAME_UNSETTLED, actor, now, {})
    return game


@transaction.atomic
def hand_out(*, award: Award, method: Payment.Method, actor: Actor, now: datetime) -> Award:
    """The winner has it; `method`: how the money went. Raises GameRefused. Twice is once."""
    game = locked(award.game, settled=True)
    award = Award.objects.select_for_update().get(pk=award.pk)
    if award.taken_back_at is not None:
        raise GameRefused("This award was taken back with its settling.")
    if award.handed_at is None:
        if any(ace.entry_id == award.entry_id for ace in game_of(game).lost):
            raise GameRefused(
                "The 1 is not on the card any more: take the settling back and decide on the ace again."
            )
        award.handed_at, award.handed_by, award.method = now, actor.name[:150], method
        award.save(update_fields=["handed_at", "handed_by", "method"])
        _log(game, Action.AWARD_HANDED_OUT, award, actor, now)
    return award


@transaction.atomic
def undo_hand_out(*, award: Award, actor: Actor, now: datetime) -> Award:
    """The winner has it not, after all."""
    game = locked(award.game, settled=True)
    award = Award.objects.select_for_update().get(pk=award.pk)
    if award.handed_at is not None:
        award.handed_at, award.handed_by, award.method = None, "", ""
        award.save(update_fields=["handed_at", "handed_by", "method"])
        _log(game, Action.AWARD_NOT_HANDED_OUT, award, actor, now)
    return award


def _log(game: Game, action: Action, award: Award, actor: Actor, now: datetime) -> None:
    detail = {"award": award.pk, "who": award.name, "amount_cents": award.amount_cents, "thing": award.thing}
    log_game(game, action, actor, now, detail)
