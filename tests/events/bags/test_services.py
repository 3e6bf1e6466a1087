from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from build import ACTOR, NOW, make_entry, make_event
from build_bags import act, make_disc, make_list, send
from events.bags.models import Bag, BagAct, InBag
from events.bags.queries import bag_of
from events.bags.services import MOST_ACTS, ActIn, BagRefused, apply_acts
from events.entries.models import Entry, Status
from events.log.models import Act
from events.setup.models import Event
from players.models import Disc

pytestmark = pytest.mark.django_db


@pytest.fixture
def entry(event: Event) -> Entry:
    return make_entry(event)


def numbers(entry: Entry, round: int) -> list[int]:
    view = bag_of(entry, entry.event.rounds.get(number=round))
    return [disc.number for disc in view.carried]


def test_a_piece_goes_into_box_and_bag_and_gets_its_number(entry: Entry) -> None:
    first = make_disc(entry, "Ostwall Plinthor", plastic="gum", stamped_mass_g="174,5", role="putting")
    second = make_disc(entry, "Ostwall Plinthor", round=None)
    assert (first.number, second.number) == (1, 2)
    assert (first.model, first.plastic, first.stamped_mass_g) == ("Ostwall Plinthor", "gum", Decimal("174.5"))
    assert numbers(entry, 1) == [1]


def test_maker_and_model_are_told_apart_where_the_list_knows_them(entry: Entry) -> None:
    make_list()
    entry.event.is_demo = True
    disc = make_disc(entry, "fjøsdal ørnbue")
    assert (disc.maker, disc.model) == ("Fjøsdal", "Ørnbue")
    other = make_disc(entry, "Somebody's Own")
    assert (other.maker, other.model) == ("", "Somebody's Own")


def test_the_same_act_sent_twice_is_done_once(entry: Entry) -> None:
    once = act("add", uuid4(), 1, model="Plinthor")
    assert [a.refused for a in send(entry, once, once)] == ["", ""]
    assert [a.refused for a in send(entry, once)] == [""]
    assert (Disc.objects.count(), BagAct.objects.count(), InBag.objects.count()) == (1, 1, 1)


def test_round_two_opens_with_the_bag_of_round_one(entry: Entry) -> None:
    one, two, three = (make_disc(entry) for _ in range(3))
    view = bag_of(entry, entry.event.rounds.get(number=2))
    assert (view.opened, [d.number for d in view.carried]) == (False, [1, 2, 3])
    assert not Bag.objects.filter(round__number=2).exists()
    send(entry, act("take_out", one.key, 2))
    four = make_disc(entry, round=2)
    view = bag_of(entry, entry.event.rounds.get(number=2))
    assert [d.number for d in view.carried] == [2, 3, 4]
    assert ([d.pk for d in view.came_in], [d.pk for d in view.went_out]) == ([four.pk], [one.pk])
    assert numbers(entry, 1) == [1, 2, 3]
    assert [two.number, three.number] == [2, 3]


def test_what_joins_after_the_declaration_carries_its_time(entry: Entry) -> None:
    make_disc(entry)
    spare = make_disc(entry, round=None)
    send(entry, act("declare", round=1))
    later = NOW + timedelta(hours=2)
    send(entry, act("put_in", spare.key, 1), now=later)
    view = bag_of(entry, entry.event.rounds.get(number=1))
    assert view.declared_at == NOW
    assert [(p.disc.number, p.late_at) for p in view.pieces] == [(1, None), (2, later)]
    send(entry, act("declare", round=1), now=later)
    assert bag_of(entry, entry.event.rounds.get(number=1)).declared_at == later


def test_two_people_who_change_different_fields_lose_nothing(entry: Entry) -> None:
    disc = make_disc(entry, colour="red")
    send(entry, act("change", disc.key, colour="blue"))
    send(entry, act("change", disc.key, stamped_mass_g="171"), source="desk")
    disc.refresh_from_db()
    assert (disc.colour, disc.stamped_mass_g) == ("blue", Decimal("171.0"))


def test_of_two_who_change_one_field_the_earlier_word_is_kept_with_the_later_act(entry: Entry) -> None:
    disc = make_disc(entry, stamped_mass_g="170")
    send(entry, act("change", disc.key, stamped_mass_g="171"))
    send(entry, act("change", disc.key, stamped_mass_g="172"), source="desk")
    kept = BagAct.objects.filter(kind="change").order_by("pk")
    assert [(a.before, a.after) for a in kept] == [
        ({"stamped_mass_g": "170.0"}, {"stamped_mass_g": "171.0"}),
        ({"stamped_mass_g": "171.0"}, {"stamped_mass_g": "172.0"}),
    ]


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"model": "x" * 101}, "The model is 101 letters long: at most 100."),
        ({"model": " \u200b "}, "Write the model of the disc."),
        ({"model": "P", "stamped_mass_g": "heavy"}, "“heavy” is no mass: write it in grams, as 175 or 174.5."),
        ({"model": "P", "stamped_mass_g": "17"}, "A stamped mass lies between 50 and 250 g, not 17."),
        ({"model": "P", "stamped_mass_g": "NaN"}, "A stamped mass lies between 50 and 250 g, not nan."),
        ({"model": "P", "role": "juggling"}, "A role is one of putting, throwing, approach, midrange, fairway, "
            "distance, utility, unknown."),
        ({"model": "P", "owner": "me"}, "A piece has no field 'owner'."),
    ],
)  # fmt: skip
def test_what_cannot_be_said_of_a_piece_is_answered_and_kept(
    entry: Entry, fields: dict[str, str], sentence: str
) -> None:
    good = act("add", uuid4(), 1, model="Plinthor")
    answers = send(entry, ActIn(uuid4(), "add", uuid4(), 1, fields), good)
    assert [a.refused for a in answers] == [sentence, ""]
    assert [a.refused for a in BagAct.objects.order_by("pk")] == [sentence, ""]
    assert Disc.objects.count() == 1


def test_nobody_reaches_into_another_box(entry: Entry) -> None:
    other = make_disc(make_entry(entry.event))
    answers = send(
        entry, act("take_out", other.key, 1), act("add", other.key, 1, model="P"), act("nap", other.key)
    )
    assert [a.refused for a in answers] == [
        "That piece is not in this box.",
        "That piece is in another box.",
        "Nothing is known of an act “nap”.",
    ]


def test_a_round_whose_card_is_in_keeps_its_bag(entry: Entry) -> None:
    disc = make_disc(entry)
    (answer,) = send(entry, act("take_out", disc.key, 1), closed={1})
    assert answer.refused == "The card of round 1 is in: its bag stays as it was."
    assert numbers(entry, 1) == [1]


@pytest.mark.parametrize(
    ("status", "over", "sentence"),
    [
        (Status.WITHDRAWN, False, "Player is out of the event: the bag stays as it is."),
        (Status.CONFIRMED, True, "The event is over: bags stay as they are."),
    ],
)
def test_who_is_out_and_what_is_over_stays(entry: Entry, status: str, over: bool, sentence: str) -> None:
    Entry.objects.filter(pk=entry.pk).update(status=status)
    if over:
        Event.objects.filter(pk=entry.event_id).update(over_at=NOW)
    (answer,) = send(entry, act("add", uuid4(), 1, model="P"))
    assert answer.refused.replace(entry.person.name, "Player") == sentence


def test_a_piece_put_away_leaves_the_bag_and_may_come_back(entry: Entry) -> None:
    disc = make_disc(entry)
    send(entry, act("put_away", disc.key))
    assert numbers(entry, 1) == []
    (answer,) = send(entry, act("put_in", disc.key, 1))
    assert answer.refused == "Piece 1 is put away: bring it back into the box first."
    send(entry, act("bring_back", disc.key), act("put_in", disc.key, 1))
    assert numbers(entry, 1) == [1]


def test_too_many_acts_at_once_are_refused_whole(entry: Entry) -> None:
    with pytest.raises(BagRefused):
        send(entry, *(act("add", uuid4(), 1, model="P") for _ in range(MOST_ACTS + 1)))
    assert not BagAct.objects.exists()


def test_a_request_is_one_line_in_the_log_and_a_declaration_one_more(entry: Entry) -> None:
    send(entry, *(act("add", uuid4(), 1, model="P") for _ in range(3)), act("declare", round=1))
    lines = Act.objects.filter(action__startswith="bag.").order_by("number")
    assert [(line.action, line.detail) for line in lines] == [
        ("bag.changed", {"source": "phone", "add": 3}),
        ("bag.declared", {"source": "phone", "round": 1, "pieces": 3}),
    ]


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_any_interleaving_with_retries_ends_the_same(db: None, data: st.DataObject) -> None:
    """A phone and two desks say different things; whatever the order, and however often each is sent, box and bag
    end the same and no act is lost."""
    event = make_event(f"e{uuid4().hex[:12]}")
    entry = make_entry(event)
    discs = [make_disc(entry) for _ in range(4)]
    new = [uuid4() for _ in range(3)]
    said = [
        act("change", discs[0].key, colour="blue"),
        act("change", discs[0].key, mark="JO"),
        act("take_out", discs[1].key, 1),
        act("put_away", discs[2].key),
        act("change", discs[3].key, stamped_mass_g="171"),
        *(act("add", key, 1, model=f"Model {index}") for index, key in enumerate(new)),
    ]
    order = data.draw(st.permutations(said)) + data.draw(st.lists(st.sampled_from(said), max_size=6))
    cuts = data.draw(st.integers(1, 4))
    for at in range(0, len(order), cuts):
        apply_acts(entry=entry, acts=order[at : at + cuts], source="desk", actor=ACTOR, now=NOW)
    assert BagAct.objects.filter(entry=entry, key__in=[a.key for a in said], refused="").count() == len(said)
    box = {d.key: d for d in Disc.objects.filter(person=entry.person)}
    first = box[discs[0].key]
    assert (first.colour, first.mark) == ("blue", "JO")
    assert box[discs[3].key].stamped_mass_g == Decimal("171.0")
    assert sorted(d.number for d in box.values()) == list(range(1, 8))
    view = bag_of(entry, event.rounds.get(number=1))
    assert {d.key for d in view.carried} == {discs[0].key, discs[3].key, *new}


@pytest.mark.parametrize("count", [1, 3])
def test_reading_a_bag_takes_three_queries(entry: Entry, count: int, django_assert_num_queries) -> None:
    for _ in range(count):
        make_disc(entry)
    round_ = entry.event.rounds.get(number=1)
    with django_assert_num_queries(3):
        assert len(bag_of(entry, round_).carried) == count
