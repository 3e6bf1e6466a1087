"""Whatever comes in whatever order, twice, late or refused first: the same facts end in the same standings, and nothing
that was acknowledged is gone. Three holes, so that a card is complete; everybody who can say something does."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import build
from build_cards import make_field, publish, save
from events.draw.models import Seat, Sheet
from events.entries.models import Entry
from events.log.services import verify
from events.setup.models import Event, Round
from scoring.cards.calling import keep_call
from scoring.cards.checking import LineIn
from scoring.cards.comparing import ADDITIONAL
from scoring.cards.deciding import compared, decide_cells
from scoring.cards.keeping import CardRefused
from scoring.cards.live import Saying, enter_holes
from scoring.cards.models import Card, CardVersion, Confirmation, HoleEntry, RadioCall, Ruling
from scoring.cards.radio import Call
from scoring.cards.rulings import make_ruling, say_in_card
from scoring.cards.services import resolve_difference
from scoring.cards.signing import confirm
from scoring.cards.verifying import unlock_card, verify_card
from scoring.standings.queries import standings

FACTS = {"actor": build.ACTOR, "now": build.NOW}
PARS = (3, 3, 4)
TRUE = (
    (3, 4, 2),
    (5, 3, 3),
    (2, 3, 4),
)  # throws of three players, hole by hole; the first two play in group 1
RULED = 2  # on the second hole of the first player, not in the written score
SLIP = 9


@dataclass(frozen=True)
class World:
    event: Event
    round: Round
    field: list[Entry]

    def group_of(self, entry: Entry) -> int:
        seat = Seat.objects.get(entry=entry, sheet__round=self.round, sheet__state=Sheet.State.PUBLISHED)
        return seat.group.number


@pytest.fixture
def world(event: Event) -> World:
    round_ = event.rounds.get(number=1)
    layout = build.make_layout(event, "Short", pars=PARS, tees="short tee")
    build.use_layout(round_, layout)
    field = make_field(event, 3)
    publish(round_, [field[:2], field[2:]], layout=layout)
    return World(event, round_, field)


Act = tuple[str, UUID, Any]  # what, its key, what it says


def phone(world: World, key: UUID, said: tuple[int, int, Saying]) -> None:
    group, device, saying = said
    enter_holes(
        round=world.round, group_number=group, device_key=UUID(int=device), device_name=f"phone {device}",
        sayings=[saying], **FACTS,
    )  # fmt: skip


def card(world: World, key: UUID, facts: tuple[str, int, bool, int]) -> None:
    """A card as somebody types it, of those who are in the first group by now."""
    source, base, slip, additional = facts
    lines = []
    for place, entry in enumerate(world.field):
        if world.group_of(entry) == 1:
            figures = (SLIP, *TRUE[0][1:]) if slip and place == 0 else TRUE[place]
            more = (
                {"additional": additional, "additional_reason": "late"} if additional and place == 0 else {}
            )
            lines.append(LineIn(entry.pk, figures, **more))
    save(world.round, 1, lines, base=base, submission=key, source=source)


def radio(world: World, key: UUID, call: Call) -> None:
    keep_call(round=world.round, call=call, key=key, **FACTS)


def move(world: World, key: UUID, group: int) -> None:
    """The second player to this group, by a new tee sheet."""
    first, second, third = world.field
    groups = [[first, second], [third]] if group == 1 else [[first], [third, second]]
    publish(world.round, groups, layout=world.event.layouts.get(name="Short"))


def ruling(world: World, key: UUID, _: None) -> None:
    made = make_ruling(
        entry=world.field[0], round=world.round, hole_label="2", throws=RULED, rule="806.02", what="out of bounds",
        caller="x", confirmer="y", origin=f"by hand {key}", **FACTS,
    )  # fmt: skip
    say_in_card(ruling=made, in_card=False, **FACTS)


def yes(world: World, key: UUID, place: int) -> None:
    entry = world.field[place]
    confirm(
        round=world.round, group_number=world.group_of(entry), entry_id=entry.pk, source="phone",
        total=sum(TRUE[place]), key=key, **FACTS,
    )  # fmt: skip


def lock(world: World, key: UUID, group: int) -> None:
    verify_card(round=world.round, group_number=group, why="looked at", **FACTS)


def decide(world: World, key: UUID, group: int) -> None:
    """Somebody asks the group and writes what is true."""
    right = {
        (entry.pk, cell): figure
        for entry, figures in zip(world.field, TRUE, strict=True)
        for cell, figure in [
            *((str(hole), throws) for hole, throws in enumerate(figures, 1)),
            (ADDITIONAL, 0),
        ]
    }
    cells = compared(world.round, group).cells
    decide_cells(
        round=world.round, group_number=group, key=key, reason="asked the group",
        chosen={(each.entry_id, each.cell): right[each.entry_id, each.cell] for each in cells}, **FACTS,
    )  # fmt: skip


DOES: dict[str, Callable[[World, UUID, Any], None]] = {
    "phone": phone, "card": card, "radio": radio, "move": move, "ruling": ruling, "yes": yes, "lock": lock,
    "decide": decide,
}  # fmt: skip


def _acts(world: World, draw: Callable[..., Any]) -> list[Act]:
    acts: list[Act] = []
    for device, group, places in ((1, 1, (0, 1)), (2, 1, (0, 1)), (3, 2, (2,))):
        seq = 0
        for place in places:
            for hole, figure in enumerate(TRUE[place], start=1):
                slips = [SLIP] if draw(st.booleans(), label="a slip first") else []
                for throws in [*slips, figure]:
                    seq += 1
                    key = uuid4()
                    saying = Saying(key, seq, world.field[place].pk, str(hole), throws)
                    acts.append(("phone", key, (group, device, saying)))
    kinds = CardVersion.Source
    acts += [
        ("card", uuid4(), (kinds.PAPER, 0, draw(st.booleans(), label="paper with a slip"), 0)),
        ("card", uuid4(), (kinds.SECOND, 0, draw(st.booleans(), label="second with a slip"), 2)),
        ("card", uuid4(), (kinds.PAPER, 1, draw(st.booleans(), label="a stale page with a slip"), 0)),
        ("radio", uuid4(), Call(1, 2, (0, 1))),
        ("ruling", uuid4(), None),
    ]
    acts += [("yes", uuid4(), place) for place in (0, 1, 2)]
    acts += [(what, uuid4(), group) for what in ("lock", "decide") for group in (1, 2)]
    acts += [("move", uuid4(), group) for group in draw(st.sampled_from([(), (2,), (2, 1)]), label="moves")]
    return acts


def _settle(world: World, refused: list[Act]) -> None:
    """What was refused is sent again on open cards; then somebody decides what differs, and the cards are locked."""
    for group in (1, 2):
        if Card.objects.filter(round=world.round, group_number=group, verified_at__isnull=False).exists():
            unlock_card(round=world.round, group_number=group, reason="more came", **FACTS)
    for what, key, said in refused:
        if what in {"phone", "card", "ruling"}:
            DOES[what](world, key, said)
    for group in (1, 2):
        decide(world, uuid4(), group)
        for version in CardVersion.objects.filter(card__group_number=group, state="differs"):
            resolve_difference(version=version, take=False, reason="of who plays elsewhere now", **FACTS)
        lock(world, uuid4(), group)


def _nothing_is_gone(acknowledged: list[Act]) -> None:
    keys = {what: {key for kind, key, _ in acknowledged if kind == what} for what in DOES}
    assert set(HoleEntry.objects.values_list("key", flat=True)) >= keys["phone"]
    assert set(CardVersion.objects.values_list("submission", flat=True)) >= keys["card"]
    assert set(RadioCall.objects.values_list("key", flat=True)) >= keys["radio"]
    assert set(Confirmation.objects.values_list("key", flat=True)) >= keys["yes"]
    assert set(Ruling.objects.values_list("origin", flat=True)) == {
        f"by hand {key}" for key in keys["ruling"]
    }


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_any_interleaving_ends_in_the_standings_of_the_same_facts_entered_once(world: World, data):
    """Phones with slips and corrections, retries, a radio call, the card room, a second entry, a stale page, decisions,
    a ruling, confirmations, cards locked in between, and a player who is moved to another group."""
    with transaction.atomic():
        acts = _acts(world, data.draw)
        again = data.draw(st.lists(st.sampled_from(acts), max_size=6), label="sent again")
        acknowledged, refused = [], []
        for act in data.draw(st.permutations([*acts, *again]), label="arrival"):
            what, key, said = act
            try:
                with transaction.atomic():
                    DOES[what](world, key, said)
            except CardRefused:
                refused.append(act)
            else:
                acknowledged.append(act)
        _settle(world, refused)
        _nothing_is_gone(acknowledged)
        late = Saying(uuid4(), 99, world.field[0].pk, "1", SLIP)
        enter_holes(
            round=world.round, group_number=1, device_key=UUID(int=1), device_name="phone 1", sayings=[late],
            actor=build.ACTOR, now=build.NOW + timedelta(minutes=5),
        )  # fmt: skip

        rows = standings(world.event)[0].rows
        found = {row.entry_id: (row.standing.total, row.standing.rounds[0].complete) for row in rows}
        totals = [sum(TRUE[0]) + RULED, sum(TRUE[1]), sum(TRUE[2])]
        assert found == {entry.pk: (total, True) for entry, total in zip(world.field, totals, strict=True)}
        assert HoleEntry.objects.filter(key=late.key).exists()
        assert verify(world.event.slug)[1] == []
        transaction.set_rollback(True)
