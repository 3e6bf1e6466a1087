"""The director's word on a hole in one throw."""

from datetime import datetime

from django.db import transaction

from events.entries.models import Entry
from events.log.actions import Action
from events.log.services import Actor
from events.setup.models import Round
from scoring.games.models import Ace, Game
from scoring.games.services import GameRefused, locked, log_game


@transaction.atomic
def decide_ace(
    *,
    game: Game,
    entry: Entry,
    round: Round,
    hole_label: str,
    counts: bool,
    reason: str,
    against_card: bool = False,
    actor: Actor,
    now: datetime,
) -> Ace:
    """An ace counts for this pot or does not; decided twice alike is decided once. `against_card`: it counts although
    the card has another figure there by now, which takes a reason.

    Raises GameRefused for another round than the pot's, and for a refusal or a word against the card without its
    reason.
    """
    game = locked(game)
    if game.kind != Game.Kind.ACE:
        raise GameRefused(f"{game.name} is no ace pot.")
    if round.event_id != game.event_id or entry.event_id != game.event_id:
        raise GameRefused("This player or round is of another event.")
    if game.round is not None and game.round.pk != round.pk:
        raise GameRefused(f"{game.name} is for round {game.round.number} only.")
    if not hole_label.strip():
        raise GameRefused("Write the hole.")
    if not counts and not reason.strip():
        raise GameRefused("Write why it does not count.")
    if against_card and not reason.strip():
        raise GameRefused("Write why it still counts, although the card has no 1 there.")
    why = reason.strip()[:200] if against_card or not counts else ""
    label = hole_label.strip()[:6]
    held = Ace.objects.filter(
        game=game, entry=entry, round=round, hole_label=label, taken_back_at__isnull=True
    ).first()
    if held is not None and held.counts == counts and (why == held.reason or not against_card):
        return held
    if held is not None:
        _take_back(held, actor, now)
    ace = Ace.objects.create(
        game=game,
        entry=entry,
        round=round,
        hole_label=label,
        counts=counts,
        reason=why,
        at=now,
        by=actor.name[:150],
    )
    _log(game, Action.ACE_DECIDED, ace, actor, now)
    return ace


@transaction.atomic
def undo_ace(*, ace: Ace, actor: Actor, now: datetime) -> None:
    """Take the decision back; a 1 on a card then waits again."""
    game = locked(ace.game)
    ace = Ace.objects.select_related("entry__person", "round").get(pk=ace.pk)
    if ace.taken_back_at is None:
        _take_back(ace, actor, now)
        _log(game, Action.ACE_UNDONE, ace, actor, now)


def _take_back(ace: Ace, actor: Actor, now: datetime) -> None:
    ace.taken_back_at, ace.taken_back_by = now, actor.name[:150]
    ace.save(update_fields=["taken_back_at", "taken_back_by"])


def _log(game: Game, action: Action, ace: Ace, actor: Actor, now: datetime) -> None:
    detail = {
        "ace": ace.pk,
        "player": ace.entry.person.name,
        "round": ace.round.number,
        "hole": ace.hole_label,
        "counts": ace.counts,
    }
    log_game(game, action, actor, now, detail, reason=ace.reason)
