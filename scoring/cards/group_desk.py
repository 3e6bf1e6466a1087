"""What the desk sees of the groups' phones: what they asked, which phones speak, and under which address."""

from collections import Counter, defaultdict
from dataclasses import dataclass
from datetime import datetime

from events.draw.models import Group, Seat, Sheet
from events.setup.models import Round
from scoring.cards.links import group_path
from scoring.cards.models import Card, Device, GroupMessage


@dataclass(frozen=True, slots=True)
class GroupPhones:
    """One group of the published sheet. `path` is its page under the address that is good now, `link` that address's
    number: so many were withdrawn before it."""

    number: int
    players: tuple[str, ...]
    phones: tuple[str, ...]
    last_at: datetime | None
    path: str
    link: int


def phones_of(round: Round) -> list[GroupPhones]:
    """Every group of the published sheet by number (4 queries)."""
    published = Group.objects.filter(sheet__round=round, sheet__state=Sheet.State.PUBLISHED)
    numbers = published.order_by("number").values_list("number", flat=True)
    names: dict[int, list[str]] = defaultdict(list)
    seats = Seat.objects.filter(sheet__round=round, sheet__state=Sheet.State.PUBLISHED).order_by("order")
    for number, family in seats.values_list("group__number", "entry__person__family_name"):
        names[number].append(family)
    phones: dict[int, list[Device]] = defaultdict(list)
    devices = Device.objects.filter(card__round=round, kind=Device.Kind.PHONE).select_related("card")
    for device in devices.order_by("first_at", "pk"):
        phones[device.card.group_number].append(device)
    links = dict(Card.objects.filter(round=round).values_list("group_number", "link_number"))
    return [
        GroupPhones(
            number=number,
            players=tuple(names[number]),
            phones=_named(phones[number]),
            last_at=max((device.last_at for device in phones[number]), default=None),
            path=group_path(round, number, links.get(number, 0)),
            link=links.get(number, 0),
        )
        for number in numbers
    ]


def _named(devices: list[Device]) -> tuple[str, ...]:
    """Names as they were given; where several phones gave the same, how many did."""
    counts = Counter(device.name or "a phone" for device in devices)
    return tuple(f"{name} ({count})" if count > 1 else name for name, count in counts.items())


def asked_in(round: Round) -> list[GroupMessage]:
    """What the groups of a round asked: dangers that wait, then rulings that wait, then what was answered, newest
    first (1 query)."""
    rows = GroupMessage.objects.filter(card__round=round).select_related("card", "entry__person", "device")
    waits = [row for row in rows.order_by("pk") if row.answered_at is None]
    answered = rows.filter(answered_at__isnull=False).order_by("-answered_at", "-pk")
    waits.sort(key=lambda row: row.kind != GroupMessage.Kind.DANGER)
    return [*waits, *answered]
