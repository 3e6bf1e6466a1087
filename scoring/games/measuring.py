"""Marks of a contest by distance: measured, put right."""

from datetime import datetime

from django.db import transaction

from events.entries.models import IN_THE_FIELD, Entry
from events.log.actions import Action
from events.log.services import Actor
from events.setup.figures import length_text
from scoring.games.distances import FARTHEST_CM, distance_text
from scoring.games.models import Game, Mark
from scoring.games.services import GameRefused, locked, log_game


@transaction.atomic
def measure(*, game: Game, entry: Entry, cm: int, measured_by: str, actor: Actor, now: datetime) -> Mark:
    """A throw that was measured, in centimetres. Raises GameRefused.

    A drive longer than twice the hole, or a putt left farther than the hole is long, is a slip of the keys.
    """
    game = locked(game)
    if not game.by_distance:
        raise GameRefused(f"Nothing is measured for {game.name}.")
    player = Entry.objects.select_related("person", "division").get(pk=entry.pk, event=game.event)
    if player.status not in IN_THE_FIELD:
        raise GameRefused(f"{player.person.name} is not in the field.")
    if game.divisions and player.division.code not in game.divisions:
        raise GameRefused(
            f"{player.person.name} plays {player.division.code}, not {', '.join(game.divisions)}."
        )
    if not measured_by.strip():
        raise GameRefused("Write who measured.")
    _refuse_far(game, cm)
    mark = Mark.objects.create(
        game=game, entry=player, cm=cm, measured_by=measured_by.strip()[:120], at=now, by=actor.name[:150]
    )
    detail = {"mark": mark.pk, "player": player.person.name, "cm": cm, "measured by": mark.measured_by}
    log_game(game, Action.MARK_MEASURED, actor, now, detail)
    return mark


def _refuse_far(game: Game, cm: int) -> None:
    units = game.event.units
    if not 0 <= cm <= FARTHEST_CM:
        raise GameRefused("No throw is longer than 600 m: look at the figure again.")
    length = game.layout_hole.hole.length_m if game.layout_hole else None
    most = None if length is None else length * (200 if game.kind == Game.Kind.LONGEST else 100)
    if most is not None and cm > most:
        said, hole = distance_text(cm, units), length_text(length, units)
        raise GameRefused(f"{said} cannot be on a hole of {hole}: look at the figure again.")


@transaction.atomic
def take_back_mark(*, mark: Mark, reason: str, actor: Actor, now: datetime) -> Mark:
    """It counts no longer, and stays to be read. Raises GameRefused without a reason."""
    game = locked(mark.game)
    mark = Mark.objects.select_related("entry__person").get(pk=mark.pk)
    if mark.taken_back_at is not None:
        return mark
    if not reason.strip():
        raise GameRefused("Write why the mark is taken back.")
    mark.taken_back_at, mark.taken_back_by = now, actor.name[:150]
    mark.taken_back_reason = reason.strip()[:200]
    mark.save(update_fields=["taken_back_at", "taken_back_by", "taken_back_reason"])
    detail = {"mark": mark.pk, "player": mark.entry.person.name, "cm": mark.cm}
    log_game(game, Action.MARK_TAKEN_BACK, actor, now, detail, reason=mark.taken_back_reason)
    return mark
