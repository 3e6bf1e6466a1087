"""What a group's phones say while it plays. Every entry is kept for good; what counts is worked out from all."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.db import transaction

from events.course.models import LayoutHole
from events.draw.models import Seat, Sheet
from events.entries.models import Status
from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.models import Round
from scoring.cards.arithmetic import ImpossibleThrows, check_throws
from scoring.cards.keeping import CardRefused, claim, count, refuse_over
from scoring.cards.models import Card, Device, HoleEntry, StandingLine

MOST_ACTS = 100  # in one answer; the phone sends the rest after it
_SEEN_EVERY = timedelta(minutes=1)


@dataclass(frozen=True, slots=True)
class Saying:
    """One figure as a phone sends it. `over`: keys of other devices' entries that the group decided against;
    `throws` None takes the figure away again; `typed_at` by the phone's own clock."""

    key: UUID
    seq: int
    entry_id: int
    hole: str
    throws: int | None
    over: tuple[UUID, ...] = ()
    typed_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Answered:
    """What became of one saying: kept, or `refused` with a sentence."""

    key: UUID
    refused: str = ""


@transaction.atomic
def enter_holes(
    *,
    round: Round,
    group_number: int,
    device_key: UUID,
    device_name: str,
    sayings: Sequence[Saying],
    actor: Actor,
    now: datetime,
) -> list[Answered]:
    """Keep what one phone says, and count it. A key that is here already is answered as kept, and kept once.

    Entries that come after the card was verified are kept too and change nothing. Raises CardRefused when there is
    no published tee sheet or the group is not on it, for too many at once, and once the event is over.
    """
    if len(sayings) > MOST_ACTS:
        raise CardRefused(f"Send at most {MOST_ACTS} at once.")
    locked, card = claim(round, group_number)
    refuse_over(locked)
    members, labels = _members(locked, group_number)
    device = _device(card, device_key, device_name, now)
    held = dict(
        HoleEntry.objects.filter(key__in=[each.key for each in sayings]).values_list("key", "device_id")
    )
    answers, new = [], {}
    for saying in sayings:
        if saying.key in held or saying.key in new:
            theirs = held.get(saying.key, device.pk) != device.pk
            answers.append(Answered(saying.key, "This entry is another phone’s already." if theirs else ""))
            continue
        refused = _fault(saying, members, labels)
        answers.append(Answered(saying.key, refused))
        if not refused:
            new[saying.key] = saying
    if new:
        keep(locked, card, device, new.values(), now)
        _note_finished(locked, card, now)
        _log(locked, card, device, new.values(), actor, now)
    return answers


def keep(round: Round, card: Card, device: Device, sayings: Iterable[Saying], now: datetime) -> None:
    """Write entries of one device, and bring what stands up to date unless the card is verified."""
    said = list(sayings)
    HoleEntry.objects.bulk_create(
        [
            HoleEntry(
                device=device,
                round=round,
                entry_id=each.entry_id,
                hole=each.hole,
                throws=each.throws,
                key=each.key,
                seq=each.seq,
                over=[str(key) for key in each.over],
                typed_at=each.typed_at,
                at=now,
            )
            for each in said
        ]
    )
    if card.locked:
        return
    count(round, {each.entry_id for each in said})


def _note_finished(round: Round, card: Card, now: datetime) -> None:
    """The group's clock starts with the last score that its phones say, unless the desk has started it: 30 minutes
    are counted from the moment that all have holed out on the last hole (Official Rules 2025, 808.F)."""
    if card.finished_at is not None or card.locked:
        return
    seated = Seat.objects.filter(
        sheet__round=round, sheet__state=Sheet.State.PUBLISHED, group__number=card.group_number
    )
    playing = seated.filter(entry__status=Status.CONFIRMED)
    whole = StandingLine.objects.filter(round=round, complete=True).values("entry")
    if playing.exists() and not playing.exclude(entry__in=whole).exists():
        card.finished_at = now
        card.save(update_fields=["finished_at"])


def _members(round: Round, group_number: int) -> tuple[Mapping[int, str], frozenset[str]]:
    """Names by entry of everybody who is or was in the group, and the labels of its layout (2 queries). A phone that
    was offline while a player was moved to another group still knows what that player threw.

    Raises CardRefused when the group is not on the published sheet.
    """
    drawn = [Sheet.State.PUBLISHED, Sheet.State.SUPERSEDED]
    seats = Seat.objects.filter(sheet__round=round, sheet__state__in=drawn, group__number=group_number)
    names: dict[int, str] = {}
    layouts = set()
    for seat in seats.select_related("group", "sheet", "entry__person"):
        names[seat.entry_id] = seat.entry.person.name
        if seat.sheet.state == Sheet.State.PUBLISHED:
            layouts.add(seat.group.layout_id)
    if not layouts:
        raise CardRefused(f"Group {group_number} is not on the tee sheet of round {round.number}.")
    labels = LayoutHole.objects.filter(layout__in=layouts).values_list("label", flat=True)
    return names, frozenset(labels)


def _device(card: Card, key: UUID, name: str, now: datetime) -> Device:
    device, made = Device.objects.get_or_create(
        card=card, key=key, defaults={"name": name[:60], "first_at": now, "last_at": now}
    )
    if not made and (device.name != name[:60] or now - device.last_at > _SEEN_EVERY):
        device.name, device.last_at = name[:60], now
        device.save(update_fields=["name", "last_at"])
    return device


def _fault(saying: Saying, members: Mapping[int, str], labels: frozenset[str]) -> str:
    if saying.entry_id not in members:
        return "This player is not in the group: tell the desk."
    where = f"{members[saying.entry_id]}, hole {saying.hole}"
    if saying.hole not in labels:
        return f"{where}: the layout has no such hole any more. Tell the desk."
    if saying.throws is not None:
        try:
            check_throws(saying.throws)
        except ImpossibleThrows as refused:
            return f"{where}: {refused}"
    return ""


def _log(
    round: Round, card: Card, device: Device, sayings: Iterable[Saying], actor: Actor, now: datetime
) -> None:
    record(
        chain=round.event.slug,
        action=Action.HOLES_SAID,
        subject=f"{round}, {card}",
        actor=actor,
        now=now,
        detail={
            "round": round.number,
            "group": card.group_number,
            "device": device.name,
            "said": [[each.entry_id, each.hole, each.throws, str(each.key)] for each in sayings],
        },
    )
