"""What a group's phones say while it plays. Every entry is kept for good; what counts is worked out from all."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cache
from uuid import UUID

from django.db import transaction
from django.db.models import Q

from events.course.models import LayoutHole
from events.draw.models import Seat, Sheet
from events.entries.models import Entry, Status
from events.log.actions import Action
from events.log.models import Act
from events.log.services import Actor, record
from events.setup.models import Round
from scoring.cards.arithmetic import HoleSpec, ImpossibleThrows, check_throws
from scoring.cards.keeping import CardRefused, claim, count, refuse_over, typed_lines
from scoring.cards.merging import Said
from scoring.cards.models import Card, CardLine, Device, HoleEntry, StandingLine
from scoring.cards.restanding import Kept, Read, as_kept

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


@dataclass(frozen=True, slots=True)
class Figures:
    """How a group's figures stand with an entry, read while the round was locked: everything that its phones `said` of
    its players, the desk's `typed` lines, and what `stands` of the players that the entry is about. `act`: what the log
    has of the entry; `labels`: the holes in layout order."""

    act: Act
    players: Sequence[int]
    labels: Sequence[str]
    said: Sequence[Kept]
    devices: Mapping[int, Device]
    typed: Mapping[int, CardLine]
    stands: Mapping[int, StandingLine]


@dataclass(frozen=True, slots=True)
class Entered:
    """The answer to each saying, in their order. `figures` is None where nothing was new, where the card is verified,
    and where phones of another group spoke of the same players: then the card says how it stands."""

    answers: Sequence[Answered]
    figures: Figures | None = None


@dataclass(frozen=True, slots=True)
class _Group:
    """The status of everybody in the published group, by entry in card order; `members` were in it at any time; the
    holes of its layout."""

    status: Mapping[int, str]
    members: frozenset[int]
    holes: Sequence[HoleSpec]


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
) -> Entered:
    """Keep what one phone says, and count it. A key that is here already is answered as kept, and kept once.

    Entries that come after the card was verified are kept too and change nothing. Raises CardRefused when there is
    no published tee sheet or the group is not on it, for too many at once, and once the event is over.
    """
    if len(sayings) > MOST_ACTS:
        raise CardRefused(f"Send at most {MOST_ACTS} at once.")
    locked, card = claim(round, group_number)
    refuse_over(locked)
    group = _group(locked, group_number)
    device, devices = _speaker(card, device_key, device_name, now)
    held, said = _known(locked, group, sayings)
    answers, new = _sorted_out(sayings, held, device, group)
    if not new:
        return Entered(answers)
    said += _write(locked, device, new, now)
    stands = None if card.locked else _stand(locked, card, group, devices, said, new, now)
    act = _log(locked, card, device, new, actor, now)
    if stands is None:
        return Entered(answers)
    labels = [hole.label for hole in group.holes]
    return Entered(answers, Figures(act, list(group.status), labels, said, devices, *stands))


def _group(round: Round, group_number: int) -> _Group:
    """The group as it is on the published sheet (2 queries). A phone that was offline while a player was moved to
    another group still knows what that player threw, so whoever was in it on an earlier sheet is a member too.

    Raises CardRefused when the group is not on the published sheet.
    """
    drawn = [Sheet.State.PUBLISHED, Sheet.State.SUPERSEDED]
    seats = Seat.objects.filter(sheet__round=round, sheet__state__in=drawn, group__number=group_number)
    status: dict[int, str] = {}
    members, layout = set(), None
    for entry, sheet, its_layout, its_status in seats.order_by("order").values_list(
        "entry_id", "sheet__state", "group__layout_id", "entry__status"
    ):
        members.add(entry)
        if sheet == Sheet.State.PUBLISHED:
            status[entry], layout = its_status, its_layout
    if layout is None:
        raise CardRefused(f"Group {group_number} is not on the tee sheet of round {round.number}.")
    holes = LayoutHole.objects.filter(layout=layout).order_by("position").values_list("label", "par")
    return _Group(status, frozenset(members), [HoleSpec(label, par) for label, par in holes])


def _speaker(card: Card, key: UUID, name: str, now: datetime) -> tuple[Device, dict[int, Device]]:
    """The phone that speaks, and all devices of the card by id (1 query; 1 more once a minute)."""
    devices = {device.pk: device for device in Device.objects.filter(card=card)}
    name = name[:60]
    device = next((each for each in devices.values() if each.key == key), None)
    if device is None:
        device = Device.objects.create(card=card, key=key, name=name, first_at=now, last_at=now)
        devices[device.pk] = device
    elif device.name != name or now - device.last_at > _SEEN_EVERY:
        device.name, device.last_at = name, now
        device.save(update_fields=["name", "last_at"])
    return device, devices


def _known(round: Round, group: _Group, sayings: Sequence[Saying]) -> tuple[dict[str, int], list[Kept]]:
    """The device of each key that is here already, and what was said of the group's players, and of the others that
    are spoken of, in this round (1 query)."""
    about = group.status.keys() | {each.entry_id for each in sayings if each.entry_id in group.members}
    keys = [each.key for each in sayings]
    rows = as_kept(HoleEntry.objects.filter(Q(key__in=keys) | Q(round=round, entry__in=about)))
    held = {row.said.key: row.said.device for row in rows}
    return held, [row for row in rows if row.round_id == round.pk and row.said.entry_id in about]


def _sorted_out(
    sayings: Sequence[Saying], held: Mapping[str, int], device: Device, group: _Group
) -> tuple[list[Answered], list[Saying]]:
    """The answer to each, and those that are to be kept (no query while nothing is refused, else 1)."""

    @cache
    def names() -> Mapping[int, str]:
        entries = Entry.objects.filter(pk__in=group.members).select_related("person")
        return {entry.pk: entry.person.name for entry in entries}

    answers, new = [], {}
    for saying in sayings:
        refused = ""
        if str(saying.key) in held:
            theirs = held[str(saying.key)] != device.pk
            refused = "This entry is another phone’s already." if theirs else ""
        elif saying.key not in new:
            refused = _fault(saying, group, names)
            if not refused:
                new[saying.key] = saying
        answers.append(Answered(saying.key, refused))
    return answers, list(new.values())


def _fault(saying: Saying, group: _Group, names: Callable[[], Mapping[int, str]]) -> str:
    if saying.entry_id not in group.members:
        return "This player is not in the group: tell the desk."
    if all(saying.hole != hole.label for hole in group.holes):
        where = f"{names()[saying.entry_id]}, hole {saying.hole}"
        return f"{where}: the layout has no such hole any more. Tell the desk."
    if saying.throws is not None:
        try:
            check_throws(saying.throws)
        except ImpossibleThrows as refused:
            return f"{names()[saying.entry_id]}, hole {saying.hole}: {refused}"
    return ""


def _stand(
    round: Round,
    card: Card,
    group: _Group,
    devices: Mapping[int, Device],
    said: Sequence[Kept],
    new: Sequence[Saying],
    now: datetime,
) -> tuple[Mapping[int, CardLine], Mapping[int, StandingLine]] | None:
    """Bring what stands up to date (4 queries): the group's typed lines, and the new lines by entry. None where it
    takes more than was read here: another group's card may be verified, another layout played."""
    about = {each.entry_id for each in new}
    if about <= group.status.keys() and all(row.said.device in devices for row in said):
        typed = typed_lines(round, list(group.status))
        spoken = [row.said for row in said if row.said.entry_id in about]
        lines = count(round, about, Read(spoken, typed, dict.fromkeys(about, group.holes)))
        found = typed, {entry: line for entry, line in lines.items() if line is not None}
    else:
        lines, found = count(round, about), None
    _note_finished(round, card, group, lines, now)
    return found


def _note_finished(
    round: Round, card: Card, group: _Group, lines: Mapping[int, StandingLine | None], now: datetime
) -> None:
    """The group's clock starts with the last score that its phones say, unless the desk has started it: 30 minutes
    are counted from the moment that all have holed out on the last hole (Official Rules 2025, 808.F). (No query
    while one of these lines is not complete.)"""
    playing = {entry for entry, status in group.status.items() if status == Status.CONFIRMED}
    if card.finished_at is not None or not playing:
        return
    if not all(line is not None and line.complete for entry, line in lines.items() if entry in playing):
        return
    others = playing - lines.keys()
    whole = StandingLine.objects.filter(round=round, entry__in=others, complete=True)
    if not others or whole.count() == len(others):
        card.finished_at = now
        card.save(update_fields=["finished_at"])


def keep(round: Round, card: Card, device: Device, sayings: Iterable[Saying], now: datetime) -> None:
    """Write entries of one device, and bring what stands up to date unless the card is verified."""
    said = list(sayings)
    _write(round, device, said, now)
    if not card.locked:
        count(round, {each.entry_id for each in said})


def _write(round: Round, device: Device, sayings: Sequence[Saying], now: datetime) -> list[Kept]:
    made = HoleEntry.objects.bulk_create(
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
            for each in sayings
        ]
    )
    return [
        Kept(
            row.pk,
            round.pk,
            Said(str(row.key), device.pk, row.seq, row.entry_id, row.hole, row.throws, tuple(row.over)),
        )
        for row in made
    ]


def _log(
    round: Round, card: Card, device: Device, sayings: Iterable[Saying], actor: Actor, now: datetime
) -> Act:
    return record(
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
