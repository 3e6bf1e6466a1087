"""Lost and found: whose it may be, where it went, and what the card room is told."""

import html
import re
from typing import Any
from urllib.parse import parse_qsl, urlsplit
from uuid import uuid4

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse

import build
import pdf_pages
from build_cards import line, make_field, publish, save
from events.log.models import Act
from events.logistics.matching import Owner, suggest
from events.logistics.models import FoundThing
from events.logistics.queries import found_things, open_found, taken_waiting
from events.logistics.services import FoundRefused, hand_in, hand_over, hold_again, settle_taken, was_taken
from events.logistics.taken import Claim, GivenBack, unanswered
from events.setup.models import Event, Role, RuleOverride
from events.setup.queries import rulebook_for
from players.models import Contact
from scoring.cards.models import Ruling, StandingLine
from scoring.cards.rulings import take_back_ruling
from scoring.penalties.lost_discs import given_back, ruling_page
from scoring.penalties.questions import Found, ends
from scoring.penalties.services import Told, write_penalty
from scoring.penalties.situations import SITUATIONS

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


def waiting(event: Event, *given: GivenBack) -> list[str]:
    return [each.text for each in taken_waiting(event, rulebook_for(event), lambda _: given)]


def test_a_disc_that_was_taken_waits_for_a_ruling(event: Event) -> None:
    """Official Rules of Disc Golf 2025, 805.03: two throws come off, before the event ends."""
    round_, entry = event.rounds.get(number=1), build.make_entry(event)
    was_taken(thing=find(event, round=round_), entry=entry, actor=build.ACTOR, now=build.NOW)
    words = f"{entry.person.name}: the lost disc was taken on hole 7 in round 1; "
    assert waiting(event) == [f"{words}2 throws come off (805.03)"]
    assert waiting(event, GivenBack(entry.pk, round_.pk)) == []
    RuleOverride.objects.create(
        event=event, key="penalty.lost_disc_taken", value=-1, reason="short", by="Tester", at=build.NOW
    )
    assert [text.removeprefix(words) for text in waiting(event)] == ["1 throw comes off (805.03)"]


def test_without_a_ruling_somebody_says_why_it_needs_none(event: Event) -> None:
    thing, entry = find(event), build.make_entry(event)
    was_taken(thing=thing, entry=entry, actor=build.ACTOR, now=build.NOW)
    with pytest.raises(FoundRefused, match=r"Say why no\. 1 needs no ruling"):
        settle_taken(thing=thing, reason=" ", actor=build.ACTOR, now=build.NOW)
    settle_taken(thing=thing, reason="The loss is not on the card.", actor=build.ACTOR, now=build.NOW)
    assert waiting(event) == []
    assert Act.objects.latest("number").reason == "The loss is not on the card."
    with pytest.raises(FoundRefused, match="Nothing waits"):
        settle_taken(thing=thing, reason="Again.", actor=build.ACTOR, now=build.NOW)
    was_taken(thing=thing, entry=entry, actor=build.ACTOR, now=build.NOW)  # the undo
    assert len(waiting(event)) == 1


@pytest.mark.parametrize(
    ("claims", "given", "open_"),
    [
        ([(1, 7, 1), (2, 7, 1)], [], {1, 2}),
        ([(1, 7, 1), (2, 7, 1)], [(7, 1)], {2}),  # one ruling answers one disc
        ([(1, 7, 1), (2, 7, 1)], [(7, 1), (7, 1)], set()),
        ([(1, 7, None), (2, 7, 2)], [(7, 2)], {1}),  # its own round comes first
        ([(1, 7, 2)], [(7, 1)], set()),  # lost in round 1, found in round 2
        ([(1, 7, 1)], [(8, 1)], {1}),
    ],
)
def test_a_ruling_answers_one_disc(
    claims: list[tuple[int, int, int | None]], given: list[tuple[int, int]], open_: set[int]
) -> None:
    answered = [GivenBack(*each) for each in given]
    assert unanswered([Claim(*each) for each in claims], answered) == open_


def test_the_card_room_writes_the_ruling_where_the_list_leads_and_the_disc_waits_no_more(
    event: Event, client_as: Any
) -> None:
    round_, entries = event.rounds.get(number=1), make_field(event, 3)
    publish(round_, [entries])
    save(round_, 1, [line(entry) for entry in entries])
    thing = find(event, written="Quist")
    was_taken(thing=thing, entry=entries[0], actor=build.ACTOR, now=build.NOW)
    client = client_as(Role.CARD_ROOM)
    page = client.get(address(event, "found")).content.decode()
    (way,) = re.findall(r'href="([^"]*/penalties/new/[^"]*)"', page)
    way = html.unescape(way)
    assert way == ruling_page(round_, entries[0], "7")
    shown = client.get(way)
    assert shown.status_code == 200
    assert "Lost disc shown to have been taken" in shown.content.decode()
    before = StandingLine.objects.get(entry=entries[0]).total
    asked = dict(parse_qsl(urlsplit(way).query))
    written = client.post(
        reverse("penalties:write", args=[event.slug]),
        {**asked, "caller": "the desk", "submission": str(uuid4()), "in_card": "no"},
    )
    assert written.status_code == 302
    assert StandingLine.objects.get(entry=entries[0]).total == (before or 0) - 2
    assert given_back(event) == [GivenBack(entries[0].pk, round_.pk)]
    page = client.get(address(event, "found")).content.decode()
    assert "/penalties/new/" not in page
    assert "a ruling stands on the card" in page
    ruling = Ruling.objects.get()
    take_back_ruling(ruling=ruling, reason="the wrong player", actor=build.ACTOR, now=build.NOW)
    assert given_back(event) == []


def test_a_lost_disc_as_such_gives_nothing_back(event: Event) -> None:
    """Its rule is in the same section."""
    round_, entries = event.rounds.get(number=1), make_field(event, 3)
    publish(round_, [entries])
    ways = [each.way for each in ends(SITUATIONS) if isinstance(each.node, Found)]
    way = next(each for each in ways if each.startswith("lost-1"))
    told = Told(ways=(way,), hole="7", caller="a marshal")
    write_penalty(
        entry=entries[0], round=round_, told=told, submission=uuid4(), actor=build.ACTOR, now=build.NOW
    )
    assert Ruling.objects.get().throws == 1
    assert given_back(event) == []


def test_a_desk_is_led_to_no_page_that_is_closed_to_it(event: Event, client_as: Any) -> None:
    round_, entries = event.rounds.get(number=1), make_field(event, 3)
    publish(round_, [entries])
    was_taken(thing=find(event), entry=entries[0], actor=build.ACTOR, now=build.NOW)
    page = client_as(Role.DESK).get(address(event, "found")).content.decode()
    assert "was taken from" in page
    assert "/penalties/" not in page.split("<main")[1]


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
    assert len(waiting(event)) == 1
    why = {"reason": "The loss is not on the card."}
    assert client.post(address(event, "settled", thing.pk), why).status_code == 403
    assert client_as(Role.CARD_ROOM).post(address(event, "settled", thing.pk), why).status_code == 302
    assert waiting(event) == []


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
