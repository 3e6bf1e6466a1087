"""Lost and found: whose it may be, where it went, and what the card room is told."""

from typing import Any

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse

import build
import pdf_pages
from events.log.models import Act
from events.logistics.matching import Owner, suggest
from events.logistics.models import FoundThing
from events.logistics.queries import found_things, open_found, taken_waiting
from events.logistics.services import FoundRefused, hand_in, hand_over, hold_again, settle_taken, was_taken
from events.setup.models import Event, Role
from players.models import Contact

OWNERS = (
    Owner(1, "Ludvik Moravec", "Moravec", "Ludvik", 70011, "+47 555 01 234 56"),
    Owner(2, "Mira Moravec", "Moravec", "Mira", 70012),
    Owner(3, "Åse van der Lunde", "van der Lunde", "Åse", None),
)


def find(event: Event, what: str = "blue putter", written: str = "", **facts: Any) -> FoundThing:
    facts = {"hole_label": "7", "round": None, "found_by": "a marshal", **facts}
    return hand_in(event=event, what=what, written=written, **facts, actor=build.ACTOR, now=build.NOW)


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("70012", [(2, "member number")]),
        ("#70012 M.", [(2, "member number")]),
        ("L. Moravec", [(1, "name")]),
        ("MORAVEC mira", [(2, "name")]),
        ("Moravec", [(1, "family name"), (2, "family name")]),
        ("555 01 23456", [(1, "telephone number")]),
        ("ase VAN DER LUNDE", [(3, "name")]),
        ("Mira M.", [(2, "name")]),
        ("Mira", []),
        ("70012 0171 5551234", [(2, "member number")]),
        ("70099 555 01 23456", [(1, "telephone number")]),
        ("Lunde, der", []),
        ("700", []),
        ("", []),
    ],
)
def test_whose_it_may_be(written: str, expected: list[tuple[int, str]]) -> None:
    assert [(hit.owner.entry_id, hit.why) for hit in suggest(written, OWNERS)] == expected


def test_a_thing_gets_the_next_number_and_is_open_until_it_is_collected(event: Event) -> None:
    first, second = find(event, written="Quist"), find(event, "keys", hole_label="")
    assert (first.number, second.number) == (1, 2)
    assert open_found(event) == [
        "Nobody has collected no. 1, blue putter, hole 7.",
        "Nobody has collected no. 2, keys.",
    ]
    entry = build.make_entry(event)
    hand_over(thing=first, outcome="returned", to="", entry=entry, actor=build.ACTOR, now=build.NOW)
    hand_over(thing=second, outcome="given_away", to="the club", entry=None, actor=build.ACTOR, now=build.NOW)
    assert open_found(event) == []
    first.refresh_from_db()
    assert (first.outcome_to, first.outcome_by) == (entry.person.name, "Tester")


def test_a_thing_goes_once_and_the_undo_holds_it_again(event: Event) -> None:
    thing = find(event)
    give = {"outcome": "returned", "entry": None, "actor": build.ACTOR, "now": build.NOW}
    with pytest.raises(FoundRefused, match="Say who has"):
        hand_over(thing=thing, to=" ", **give)
    hand_over(thing=thing, to="Ivo Quist", **give)
    with pytest.raises(FoundRefused, match="returned already, to Ivo Quist"):
        hand_over(thing=thing, to="Runa Halloran", **give)
    assert hold_again(thing=thing, actor=build.ACTOR, now=build.NOW).held
    with pytest.raises(FoundRefused, match="is held"):
        hold_again(thing=thing, actor=build.ACTOR, now=build.NOW)
    acts = Act.objects.order_by("number").values_list("action", flat=True)
    assert list(acts) == ["thing.found", "thing.handed_over", "thing.held_again"]


def test_a_disc_that_was_taken_waits_for_the_card_room(event: Event) -> None:
    """Official Rules of Disc Golf 2025, 805.03: two throws come off, before the event ends."""
    round_, entry = event.rounds.get(number=1), build.make_entry(event)
    thing = find(event, round=round_)
    was_taken(thing=thing, entry=entry, actor=build.ACTOR, now=build.NOW)
    (waits,) = taken_waiting(event)
    assert waits.text == (
        f"{entry.person.name}: the lost disc was taken on hole 7 in round 1; 2 throws come off (805.03)"
    )
    settle_taken(thing=thing, actor=build.ACTOR, now=build.NOW)
    assert taken_waiting(event) == []
    with pytest.raises(FoundRefused, match="Nothing waits"):
        settle_taken(thing=thing, actor=build.ACTOR, now=build.NOW)


def test_after_the_event_a_lost_disc_changes_nothing(event: Event) -> None:
    thing, entry = find(event), build.make_entry(event)
    event.over_at = build.NOW
    event.save()
    with pytest.raises(FoundRefused, match="The event is over"):
        was_taken(thing=thing, entry=entry, actor=build.ACTOR, now=build.NOW)


@pytest.mark.parametrize(
    "facts",
    [{"what": ""}, {"outcome": "returned"}, {"outcome": "lost", "outcome_to": "x", "outcome_at": build.NOW}],
)
def test_the_database_refuses_what_cannot_be(event: Event, facts: dict[str, Any]) -> None:
    thing = find(event)
    with pytest.raises(IntegrityError), transaction.atomic():
        FoundThing.objects.filter(pk=thing.pk).update(**facts)


def address(event: Event, name: str, *args: int) -> str:
    return reverse(f"logistics:{name}", args=[event.slug, *args])


def test_the_page_writes_down_suggests_and_hands_over(event: Event, client_as: Any) -> None:
    entry = build.make_entry(event, person=build.make_person("Quist", "Ivo", member_number=80123))
    Contact.objects.create(person=entry.person, phone="555 0188 77")
    client = client_as(Role.DESK)
    refused = client.post(address(event, "hand_in"), {"what": "", "written": "IQ 80123"})
    assert refused.status_code == 422
    assert 'value="IQ 80123"' in refused.content.decode()
    client.post(address(event, "hand_in"), {"what": "red disc", "written": "IQ 80123"})
    page = client.get(address(event, "found")).content.decode()
    assert "returned to Ivo Quist" in page
    assert "555 0188 77" in page
    thing = FoundThing.objects.get()
    client.post(address(event, "hand_over", thing.pk), {"outcome": "returned", "entry": entry.pk})
    thing.refresh_from_db()
    assert thing.outcome_entry == entry
    client.post(address(event, "hold_again", thing.pk))
    client.post(address(event, "taken", thing.pk), {"entry": entry.pk})
    assert len(taken_waiting(event)) == 1
    assert client.post(address(event, "settled", thing.pk)).status_code == 403
    assert client_as(Role.CARD_ROOM).post(address(event, "settled", thing.pk)).status_code == 302
    assert taken_waiting(event) == []


def test_a_marshal_sees_no_telephone_number(event: Event, client_as: Any) -> None:
    entry = build.make_entry(event, person=build.make_person("Quist", "Ivo"))
    Contact.objects.create(person=entry.person, phone="555 0188 77")
    find(event, written="Quist 018877")
    page = client_as(Role.MARSHAL).get(address(event, "found")).content.decode()
    assert "Ivo Quist" in page
    assert "555 0188 77" not in page
    assert "telephone" not in page.split("<main")[1].split("Held</h2>")[1].split("printed list")[0]


@pytest.mark.parametrize("role", [each for each in Role if each not in (Role.DIRECTOR, Role.DESK)])
def test_what_is_written_on_a_thing_reaches_neither_the_log_nor_the_closing_list(
    event: Event, client_as: Any, role: Role
) -> None:
    thing = find(event, written="Quist 0171 5551234", found_by="Runa Halloran")
    hand_over(thing=thing, outcome="given_away", to="the club", entry=None, actor=build.ACTOR, now=build.NOW)
    hold_again(thing=thing, actor=build.ACTOR, now=build.NOW)
    client = client_as(role)
    pages = [client.get(reverse(name, args=[event.slug])) for name in ("report:close", "log")]
    for page in pages:
        assert page.status_code == 200
        assert "no. 1, blue putter, hole 7" in page.content.decode()
        assert [bait for bait in ("5551234", "Quist", "Halloran") if bait in page.content.decode()] == []


def test_the_paper_leaves_out_what_proves_the_owner(event: Event, client_as: Any) -> None:
    find(event, "red disc", written="Quist 80123")
    gone = find(event, "umbrella")
    hand_over(thing=gone, outcome="returned", to="Quist", entry=None, actor=build.ACTOR, now=build.NOW)
    answer = client_as(Role.MARSHAL).get(address(event, "found_paper"))
    text = " ".join(sheet.text for sheet in pdf_pages.read(answer.content))
    assert "red disc" in text
    assert "1 thing is held" in text
    assert [word for word in ("80123", "umbrella", "marshal") if word in text] == []


@pytest.mark.parametrize("things", [1, 3])
def test_the_list_takes_two_queries(event: Event, django_assert_num_queries: Any, things: int) -> None:
    for at in range(things):
        entry = build.make_entry(event, person=build.make_person("Quist", f"Ivo{at}"))
        thing = find(event, written="Quist", round=event.rounds.get(number=1))
        was_taken(thing=thing, entry=entry, actor=build.ACTOR, now=build.NOW)
    with django_assert_num_queries(2):
        for each in found_things(event, with_contact=True):
            assert each.thing.taken_from is not None
            assert each.thing.taken_from.person.name.startswith("Ivo")
            assert len(each.suggestions) == things
