"""The same sent several times at the same moment: each is answered with the one that was kept.

A database in memory has one writer, so there they come one after the other; on PostgreSQL they come at once.
"""

import threading
from collections.abc import Callable
from decimal import Decimal
from uuid import uuid4

import pytest
from django.db import connection

from build import ACTOR, NOW, make_entry
from build_bags import act, make_disc, make_list, send
from build_cards import make_field, publish
from desk.above_the_bags import ABOVE_BAGS
from events.bags import scales, weighings
from events.bags.calls import CallIn, record_call
from events.bags.models import BagAct, Call, Examination, Question, Scale, Weighing
from events.bags.spot_checks import freeze_pool
from events.entries.models import Entry
from events.setup.models import Event
from players.models import Disc
from scoring.cards.models import Ruling

pytestmark = pytest.mark.django_db(transaction=True)
MANY = 6


def at_once(write: Callable[[], object]) -> list[object]:
    """What each of several got for the same: a result, or what was raised."""
    if connection.vendor == "sqlite":
        return [_tried(write) for _ in range(MANY)]
    found: list[object] = []
    start = threading.Barrier(MANY)

    def run() -> None:
        start.wait()
        found.append(_tried(write))
        connection.close()

    threads = [threading.Thread(target=run) for _ in range(MANY)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return found


def _tried(write: Callable[[], object]) -> object:
    try:
        return write()
    except Exception as raised:
        return raised


@pytest.fixture
def entry(event: Event) -> Entry:
    make_list()
    return make_entry(event)


def test_one_reading_and_one_look_are_one_each(event: Event, entry: Entry) -> None:
    disc, key = make_disc(entry), uuid4()
    scale = Scale.objects.create(event=event, name="fine", kind="class_iii", resolution_g=Decimal("0.1"))
    common = {"entry": entry, "disc": disc, "round": None, "submission": key, "actor": ACTOR, "now": NOW}

    read = at_once(lambda: weighings.weigh(scale=scale, reading_g=Decimal(170), **common))
    seen = at_once(lambda: weighings.examine(seen={"cracked": True}, note="", **common))

    assert read == [Weighing.objects.get()] * MANY
    assert seen == [Examination.objects.get()] * MANY


def test_one_question_is_one(entry: Entry) -> None:
    disc = make_disc(entry)
    asked = at_once(
        lambda: weighings.question_disc(
            entry=entry, disc=disc, round=None, asked_by="Hale", reason="a crack", actor=ACTOR, now=NOW
        )
    )
    assert asked == [Question.objects.get()] * MANY


def test_one_call_is_one_call_and_one_ruling(event: Event) -> None:
    first, *others = make_field(event, 3)
    round_ = event.rounds.get(number=1)
    publish(round_, [[first, *others]])
    key, told = uuid4(), CallIn(("illegal",), "7", 1, "", others[0].person.name, others[1].person.name)
    written = at_once(
        lambda: record_call(
            entry=first,
            round=round_,
            disc=None,
            told=told,
            submission=key,
            book=ABOVE_BAGS.book,
            actor=ACTOR,
            now=NOW,
        )
    )
    assert written == [Call.objects.get()] * MANY
    assert Ruling.objects.count() == 1


def test_one_act_is_one_piece(entry: Entry) -> None:
    added = act("add", uuid4(), 1, model="Plinthor")
    answers = at_once(lambda: [each.refused for each in send(entry, added)])
    assert answers == [[""]] * MANY
    assert (Disc.objects.count(), BagAct.objects.count()) == (1, 1)


def test_one_name_is_one_scale_and_the_others_are_told(event: Event) -> None:
    made = at_once(
        lambda: scales.register_scale(
            event=event, name="fine", kind="class_iii", resolution_g=Decimal("0.1"), actor=ACTOR, now=NOW
        )
    )
    said = sorted(str(each) for each in made)
    assert said == ["A scale called fine is registered."] * (MANY - 1) + ["fine"]
    assert Scale.objects.count() == 1


def test_each_pool_has_a_number_of_its_own(event: Event) -> None:
    make_entry(event, checked_in_at=NOW)
    round_ = event.rounds.get(number=1)
    facts = {"method": "keyed", "wanted": 1, "spares": 0, "source": "dice", "actor": ACTOR, "now": NOW}
    made = at_once(lambda: freeze_pool(round=round_, **facts).number)
    assert sorted(made, key=str) == list(range(1, MANY + 1))
