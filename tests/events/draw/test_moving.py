"""Moving the starts of a published sheet: a new version at once, the same groups, an open draft kept."""

from datetime import UTC, datetime

import pytest

import build
import build_cards
from events.draw.models import Group, Pool, Seat, Sheet
from events.draw.moving import publish_moved
from events.draw.placing import DrawRefused
from events.draw.services import publish, reopen
from events.log.models import Act
from events.setup.models import Event, Round, StartType

LATER = datetime(2026, 6, 12, 15, 2, tzinfo=UTC)


@pytest.fixture
def round_(event: Event) -> Round:
    round_ = event.rounds.get(number=1)
    field = build_cards.make_field(event, 6)
    sheet = build_cards.publish(round_, [field[:3], field[3:]], starts=[1, 1])
    Pool.objects.update(start_type=StartType.TEE_TIMES)
    sheet.groups.filter(number=2).update(starts_at=datetime(2026, 6, 12, 14, 10, tzinfo=UTC))
    return round_


def move(round_: Round) -> Sheet:
    return publish_moved(
        round=round_,
        starts={2: LATER},
        notes=["Group 1 goes on from hole 5."],
        reason="play suspended",
        actor=build.ACTOR,
        now=build.NOW,
    )


def seats(sheet: Sheet) -> list[tuple[int, int, int]]:
    rows = Seat.objects.filter(sheet=sheet).order_by("group__number", "order")
    return list(rows.values_list("group__number", "order", "entry"))


def test_only_the_named_groups_start_elsewhen(round_: Round) -> None:
    before = Sheet.objects.get(round=round_)
    old = {group.number: group.starts_at for group in before.groups.all()}
    sheet = move(round_)
    assert {group.number: group.starts_at for group in sheet.groups.all()} == {1: old[1], 2: LATER}
    assert {group.number: group.starts_at for group in before.groups.all()} == old  # frozen
    assert seats(sheet) == seats(before)
    states = list(Sheet.objects.order_by("version").values_list("version", "state"))
    assert states == [(1, "superseded"), (2, "published")]


def test_the_log_tells_the_change_and_the_reason(round_: Round) -> None:
    move(round_)
    act = Act.objects.get(action="draw.published")
    assert (act.subject, act.reason) == ("round 1, version 2", "play suspended")
    assert act.detail["changes"] == ["Group 2: 14:10 hole 1 → 15:02 hole 1"]


def test_a_draft_follows_and_is_published_after_it(round_: Round) -> None:
    draft = reopen(round=round_, actor=build.ACTOR, now=build.NOW)
    sheet = move(round_)
    draft.refresh_from_db()
    assert (sheet.version, draft.version, draft.state, draft.revision) == (2, 3, "draft", 2)
    assert Group.objects.get(sheet=draft, number=2).starts_at == LATER
    publish(sheet=draft, actor=build.ACTOR, now=build.NOW, reason="as planned", keep="stopped")
    assert Sheet.objects.get(round=round_, state=Sheet.State.PUBLISHED).version == 3


def test_nothing_published_cannot_be_moved(event: Event) -> None:
    with pytest.raises(DrawRefused, match="has no published tee sheet to move"):
        move(event.rounds.get(number=2))


def test_an_event_that_is_over_stays_as_it_is(round_: Round) -> None:
    Event.objects.update(over_at=build.NOW)
    with pytest.raises(DrawRefused):
        move(Round.objects.get(pk=round_.pk))
    assert Sheet.objects.count() == 1
