"""Drawing a raffle that anybody can check: a promise, words from the hall, tickets in their order.

The secret is chosen when the sale ends and its hash is read out; the words that somebody in the hall calls come
afterwards. Neither the desk nor the hall can choose the winner alone. The order is that of a keyed hash
(`events.bags.spot_draw`): a ticket has its rank whatever other tickets are in the drum.
"""

import secrets
from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from events.bags.spot_draw import commitment, ranking, revealed
from events.log.actions import Action
from events.log.services import Actor
from scoring.games.models import Game, PotLine, RaffleDraw
from scoring.games.services import GameRefused, locked, log_game


def drawn_from(tickets: Sequence[int], secret: str, called_out: str, count: int) -> list[int]:
    """The first `count` tickets in the order of their hashes; fewer where fewer are in the drum."""
    ranked = ranking([str(ticket) for ticket in tickets], revealed(secret), called_out)
    return [int(each.label) for each in ranked[:count]]


@transaction.atomic
def close_sale(*, game: Game, actor: Actor, now: datetime, secret: str | None = None) -> RaffleDraw:
    """Freeze the drum and make the promise. Raises GameRefused without a ticket. Twice is once."""
    game = locked(game)
    if game.kind != Game.Kind.RAFFLE:
        raise GameRefused(f"{game.name} is no raffle.")
    held = RaffleDraw.objects.filter(game=game).first()
    if held is not None:
        return held
    live = game.pot_lines.filter(kind=PotLine.Kind.TICKETS, undoes__isnull=True, undone_by__isnull=True)
    tickets = sorted(
        number for line in live for number in range(line.first_ticket or 0, line.last_ticket + 1)
    )
    if not tickets:
        raise GameRefused("No ticket is sold yet.")
    secret = secret or secrets.token_hex(16)
    draw = RaffleDraw.objects.create(
        game=game,
        tickets=tickets,
        secret=secret,
        commitment=commitment(secret),
        closed_at=now,
        closed_by=actor.name[:150],
    )
    log_game(game, Action.RAFFLE_CLOSED, actor, now, {"tickets": len(tickets), "commitment": draw.commitment})
    return draw


@transaction.atomic
def open_sale(*, game: Game, actor: Actor, now: datetime) -> None:
    """Sell on. Raises GameRefused once tickets were drawn: then everybody knows the winner."""
    game = locked(game)
    draw = RaffleDraw.objects.filter(game=game).first()
    if draw is None:
        return
    if draw.drawn_at is not None:
        raise GameRefused("The tickets were drawn: the sale stays closed.")
    log_game(game, Action.RAFFLE_REOPENED, actor, now, {"commitment": draw.commitment})
    draw.delete()


@transaction.atomic
def draw_tickets(*, game: Game, called_out: str, actor: Actor, now: datetime) -> RaffleDraw:
    """Draw. `called_out`: words or figures that somebody in the hall says now. Raises GameRefused; once only."""
    game = locked(game)
    draw = RaffleDraw.objects.filter(game=game).first()
    if draw is None:
        raise GameRefused("Close the sale first: the promise comes before the words.")
    if draw.drawn_at is not None:
        raise GameRefused("The tickets are drawn already.")
    words = " ".join(called_out.split())
    if not words:
        raise GameRefused("Let somebody in the hall call out a few words or figures, and write them.")
    draw.called_out = words[:120]
    draw.drawn = drawn_from(draw.tickets, draw.secret, draw.called_out, game.winners)
    draw.drawn_at, draw.drawn_by = now, actor.name[:150]
    draw.save(update_fields=["called_out", "drawn", "drawn_at", "drawn_by"])
    detail = {
        "called out": draw.called_out,
        "revealed": revealed(draw.secret),
        "commitment": draw.commitment,
        "drawn": draw.drawn,
    }
    log_game(game, Action.RAFFLE_DRAWN, actor, now, detail)
    return draw
