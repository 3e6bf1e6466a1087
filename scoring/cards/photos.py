"""Pictures of paper cards, as `events.paper.pictures` makes them."""

from datetime import datetime

from django.core.files.base import File
from django.db import transaction

from events.log.actions import Action
from events.log.services import Actor, record
from events.paper.pictures import PictureRefused, small_picture
from events.setup.models import Round
from scoring.cards.keeping import CardRefused, claim, place_of, refuse_over
from scoring.cards.models import CardPhoto


@transaction.atomic
def keep_photo(
    *, round: Round, group_number: int, file: "File[bytes]", actor: Actor, now: datetime
) -> CardPhoto:
    """Keep a photo or scan with the card. Raises CardRefused for what is no picture or too large, and once the event
    is over."""
    try:
        picture = small_picture(file, file.size)
    except PictureRefused as refused:
        raise CardRefused(str(refused)) from None
    locked, card = claim(round, group_number)
    refuse_over(locked)
    place_of(locked, group_number)
    photo = CardPhoto.objects.create(
        card=card,
        image=picture.content,
        width=picture.width,
        height=picture.height,
        at=now,
        by=actor.name[:150],
    )
    _log(Action.PHOTO_KEPT, locked, photo, actor, now)
    return photo


@transaction.atomic
def put_photo_away(*, photo: CardPhoto, actor: Actor, now: datetime) -> None:
    """For a picture of another card. It is kept and no longer shown."""
    locked, _ = claim(photo.card.round, photo.card.group_number)
    refuse_over(locked)
    if CardPhoto.objects.filter(pk=photo.pk, taken_back_at=None).update(taken_back_at=now):
        _log(Action.PHOTO_TAKEN_BACK, locked, photo, actor, now)


def _log(action: Action, round: Round, photo: CardPhoto, actor: Actor, now: datetime) -> None:
    record(
        chain=round.event.slug,
        action=action,
        subject=f"{round}, {photo.card}",
        actor=actor,
        now=now,
        detail={"round": round.number, "photo": photo.pk, "bytes": len(photo.image)},
    )
