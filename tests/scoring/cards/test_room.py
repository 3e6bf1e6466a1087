"""The card room's pages without a script: who may open them, what they ask, and how many queries they take."""

import re
from collections.abc import Callable
from datetime import timedelta
from uuid import uuid4

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

import build
from build_cards import line, make_field, publish, save
from events.entries.models import Entry
from events.log.services import Actor
from events.setup.models import Event, Role, Round
from scoring.cards.links import group_path
from scoring.cards.models import Card, CardLine, CardVersion
from scoring.cards.services import mark_finished, mark_returned

SignIn = Callable[[Role], Client]
NOON = build.NOW.replace(hour=12)


@pytest.fixture
def round_(event: Event) -> Round:
    return event.rounds.get(number=1)


def room(event: Event, **query: object) -> str:
    return reverse("cards:room", args=[event.slug], query=query)


def at(event: Event, name: str, group: int = 1) -> str:
    return reverse(f"cards:{name}", args=[event.slug, 1, group])


def form(*entries: Entry, throws: str = "3", **more: object) -> dict[str, object]:
    """The card's form as a browser without a script sends it: the same figure on all 18 holes."""
    fields: dict[str, object] = {"base": "0", "submission": str(uuid4())}
    for entry in entries:
        fields |= {f"t{entry.pk}_{index}": throws for index in range(18)}
    return fields | more


def text_of(answer: object) -> str:
    """What stands on a page, without its markup."""
    html = answer.content.decode()  # type: ignore[attr-defined]
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html[html.index("<main") :]))


@pytest.mark.parametrize("role", list(Role))
def test_everybody_on_the_staff_reads_the_room_and_the_card_room_writes(
    event: Event, round_: Round, client_as: SignIn, role: Role
) -> None:
    field = make_field(event, 1)
    publish(round_, [field])
    client = client_as(role)
    writes = role in {Role.DIRECTOR, Role.CARD_ROOM}

    page = client.get(room(event, group=1))
    assert (page.status_code, b"readonly" in page.content) == (200, not writes)
    expected = 302 if writes else 403
    assert client.post(at(event, "save"), form(*field)).status_code == expected
    assert client.post(at(event, "finished")).status_code == expected
    assert client.post(at(event, "returned")).status_code == expected
    assert client.post(at(event, "open")).status_code == (200 if writes else 403)
    assert CardVersion.objects.count() == writes


def test_strangers_see_nothing_of_the_room(event: Event, client: Client) -> None:
    stranger = Client()
    stranger.force_login(build.make_user(None, None, "d"))
    assert stranger.get(room(event)).status_code == 200  # the installation's director
    other = Client()
    other.force_login(build.make_user(build.make_event("other"), Role.CARD_ROOM))
    assert other.get(room(event)).status_code == 403
    assert client.get(room(event)).status_code == 302


@pytest.mark.parametrize("groups", [1, 3])
def test_queries_of_the_room(
    event: Event, round_: Round, client_as: SignIn, django_assert_num_queries: Callable, groups: int
) -> None:
    field = make_field(event, groups * 4)
    publish(round_, [field[at : at + 4] for at in range(0, len(field), 4)])
    for number in range(1, groups + 1):
        save(round_, number, [line(entry) for entry in field[number * 4 - 4 : number * 4]])
        save(round_, number, [line(field[number * 4 - 4], 5)])
    client = client_as(Role.CARD_ROOM)

    with django_assert_num_queries(15):  # 5 to know who asks, 1 rounds, 8 cards, 1 revision of the log
        client.get(room(event, round=1))
    with django_assert_num_queries(31):  # 12 more for what stands beside the card
        client.get(room(event, round=1, group=1))


@pytest.mark.parametrize("versions", [1, 3])
def test_queries_of_a_card_with_versions(
    event: Event, round_: Round, client_as: SignIn, django_assert_num_queries: Callable, versions: int
) -> None:
    field = make_field(event, 4)
    publish(round_, [field])
    for number in range(versions):
        save(round_, 1, [line(entry, 3 + number) for entry in field], base=number)
    client = client_as(Role.VIEWER)

    with django_assert_num_queries(34):
        client.get(room(event, round=1, group=1))


def test_the_list_shows_who_needs_somebody_first(event: Event, round_: Round, client_as: SignIn) -> None:
    field = make_field(event, 12)
    publish(round_, [[entry] for entry in field[:7]])
    for number, minutes in ((2, 27), (5, 12)):
        mark_finished(
            round=round_,
            group_number=number,
            at=NOON - timedelta(minutes=minutes),
            actor=build.ACTOR,
            now=NOON,
        )
    mark_returned(round=round_, group_number=4, at=NOON, actor=build.ACTOR, now=NOON)
    save(round_, 3, [line(field[2], [None, None, 3, 3, *[None] * 14])])
    save(round_, 6, [line(field[5], 3)])
    save(round_, 7, [line(field[6], 3)])
    save(round_, 7, [line(field[6], 4)], actor=Actor("Ada"))

    with time_machine.travel(NOON, tick=False):
        page = client_as(Role.CARD_ROOM).get(room(event, round=1))

    shown = [(row.number, row.word, row.needs) for row in page.context["out"]]
    assert shown == [
        (7, "differs", True),
        (2, "", True),
        (5, "", False),
        (4, "to type", False),
        (3, "on 5", False),
        (1, "out", False),
    ]
    assert [row.number for row in page.context["done"]] == [6]
    assert "Out: 6 of 7 cards" in text_of(page)


def test_nothing_new_is_answered_with_204(event: Event, round_: Round, client_as: SignIn) -> None:
    field = make_field(event, 1)
    publish(round_, [field])
    client = client_as(Role.VIEWER)
    url = client.get(room(event, round=1)).context["list_url"]

    assert client.get(url).status_code == 204
    save(round_, 1, [line(field[0])])
    assert client.get(url).context["done"][0].number == 1


@pytest.mark.parametrize(
    ("text", "group"),
    [("2", 2), ("group 2", 2), ("hole 4", 2), ("oyel", 1), ("hale o", 1), ("MORÁVEC", 1)],
)
def test_a_card_is_found_by_group_hole_and_name(
    event: Event, round_: Round, client_as: SignIn, text: str, group: int
) -> None:
    field = make_field(event, 4)
    publish(round_, [field[:2], field[2:]], starts=(7, 4))

    answer = client_as(Role.CARD_ROOM).get(room(event, round=1, q=text))

    assert answer.headers["Location"] == room(event, round=1, group=group)


def test_a_card_is_found_by_what_is_scanned(event: Event, round_: Round, client_as: SignIn) -> None:
    field = make_field(event, 2)
    publish(round_, [field[:1], field[1:]])
    second = event.rounds.get(number=2)
    publish(second, [field])
    client = client_as(Role.CARD_ROOM)

    def opens(text: str) -> str:
        return client.get(room(event, round=1, q=text)).headers.get("Location", "")

    assert opens(field[1].code.lower()) == room(event, round=1, group=2)
    assert opens(str(field[1].person.member_number)) == room(event, round=1, group=2)
    assert opens(f"http://192.168.1.7:8000{group_path(round_, 2)}") == room(event, round=1, group=2)
    assert opens(f"http://192.168.1.7:8000{group_path(second, 1)}") == room(event, round=2, group=1)
    assert opens("http://192.168.1.7:8000/group/1.1.1~forged/") == ""


def test_several_that_fit_are_listed(event: Event, round_: Round, client_as: SignIn) -> None:
    field = make_field(event, 4)
    publish(round_, [field[:2], field[2:]], starts=(2, 2))

    page = client_as(Role.CARD_ROOM).get(room(event, round=1, q="hole 2"))

    assert [one["state"].number for one in page.context["found"]] == [1, 2]
    missing = client_as(Role.CARD_ROOM).get(room(event, round=1, q="zzz"))
    assert "Nothing found for “zzz” in round 1." in text_of(missing)


def test_a_groups_number_stands_before_a_start_hole(event: Event, round_: Round, client_as: SignIn) -> None:
    field = make_field(event, 4)
    publish(round_, [field[:2], field[2:]], starts=(2, 1))
    client = client_as(Role.CARD_ROOM)

    assert client.get(room(event, round=1, q="2"))["Location"] == room(event, round=1, group=2)
    assert client.get(room(event, round=1, q="hole 2"))["Location"] == room(event, round=1, group=1)


def test_saving_goes_on_to_the_next_card(event: Event, round_: Round, client_as: SignIn) -> None:
    field = make_field(event, 3)
    publish(round_, [[entry] for entry in field])
    client = client_as(Role.CARD_ROOM)

    def then(group: int) -> str:
        return client.post(at(event, "save", group), form(field[group - 1])).headers["Location"]

    assert then(2) == room(event, round=1, group=3)
    assert then(3) == room(event, round=1, group=1)
    assert then(1) == room(event, round=1)
    assert "All cards of round 1 are in" in text_of(client.get(room(event, round=1)))


def test_a_question_is_asked_before_saving_and_answered_with_the_same_page(
    event: Event, round_: Round, client_as: SignIn
) -> None:
    moravec, oyelaran = make_field(event, 2)
    publish(round_, [[moravec, oyelaran]], starts=(7,))
    client = client_as(Role.CARD_ROOM)
    fields = form(moravec, oyelaran) | {
        f"t{moravec.pk}_14": "7",
        f"w{moravec.pk}": "55",
        f"t{oyelaran.pk}_0": "",
    }

    page = client.post(at(event, "save"), fields)

    assert page.status_code == 422
    assert [question.sentence for question in page.context["asked"]] == [
        "Ludvik Moravec, hole 15: 7 on a par 3 is 4 over: is that right?",
        "Ludvik Moravec: The card says 55, it adds up to 58: 3 too few.",
        "Holes without a score: Hale Oyelaran 1. Save it as it stands?",
    ]
    assert CardVersion.objects.count() == 0
    again = fields | {"sure": [question.key for question in page.context["asked"]]}
    assert client.post(at(event, "save"), again | {f"w{moravec.pk}": "56"}).status_code == 422
    assert client.post(at(event, "save"), again).status_code == 302
    assert CardLine.objects.get(entry=moravec).total == 58


def test_what_stands_is_not_asked_again(event: Event, round_: Round, client_as: SignIn) -> None:
    (moravec,) = make_field(event, 1)
    publish(round_, [[moravec]])
    save(round_, 1, [line(moravec, 8)])

    answer = client_as(Role.CARD_ROOM).post(
        at(event, "save"), form(moravec, throws="8", base="1") | {f"t{moravec.pk}_17": "5"}
    )

    assert (answer.status_code, CardLine.objects.get(current=True).total) == (302, 141)


def test_what_cannot_be_read_is_named_and_nothing_typed_is_lost(
    event: Event, round_: Round, client_as: SignIn
) -> None:
    (moravec,) = make_field(event, 1)
    publish(round_, [[moravec]])
    fields = form(moravec) | {
        f"t{moravec.pk}_0": "0",
        f"t{moravec.pk}_1": "x",
        f"t{moravec.pk}_2": "A",
        f"t{moravec.pk}_3": ".10",
        f"p{moravec.pk}": "4 99",
        f"w{moravec.pk}": "5o",
    }

    page = client_as(Role.CARD_ROOM).post(at(event, "save"), fields)

    assert (page.status_code, page.context["problems"]) == (
        422,
        (
            "Ludvik Moravec, hole 1: A hole score is between 1 and 30; 0 cannot be.",
            "Ludvik Moravec, hole 2: “x” is not a score.",
            "Ludvik Moravec: Penalty “99” names no hole; write 15, or 15×2 for two.",
            "Ludvik Moravec, written total: “5o” is not a whole number.",
        ),
    )
    row = page.context["rows"][0]
    assert [cell.value for cell in row.cells[:5]] == ["0", "x", "A", ".10", "3"]
    assert (row.penalties, row.written) == ("4 99", "5o")
    assert str(page.context["submission"]) == fields["submission"]


def test_absent_is_par_and_the_published_addition(event: Event, round_: Round, client_as: SignIn) -> None:
    """Competition Manual 2025, 1.05.E: par + 4 for each hole not played. Hole 3 is a par 4, hole 1 a par 3."""
    (moravec,) = make_field(event, 1)
    publish(round_, [[moravec]])
    fields = form(moravec) | {f"t{moravec.pk}_0": "a", f"t{moravec.pk}_2": "A"}
    sure = [f"t:{moravec.pk}:0:7", f"t:{moravec.pk}:2:8"]

    client_as(Role.CARD_ROOM).post(at(event, "save"), fields | {"sure": sure})

    assert CardLine.objects.get().throws[:3] == [7, 3, 8]


def test_a_difference_is_shown_cell_by_cell_and_decided(
    event: Event, round_: Round, client_as: SignIn
) -> None:
    moravec, oyelaran = make_field(event, 2)
    publish(round_, [[moravec, oyelaran]])
    save(round_, 1, [line(moravec), line(oyelaran)], actor=Actor("Ada"))
    client = client_as(Role.CARD_ROOM)
    fields = form(moravec, oyelaran) | {f"t{oyelaran.pk}_4": "4", f"p{oyelaran.pk}": "5"}

    answer = client.post(at(event, "save"), fields)

    assert answer.headers["Location"] == room(event, round=1, group=1)
    page = client.get(room(event, round=1, group=1))
    (conflict,) = page.context["conflicts"]
    assert [(cell.player, cell.cell, cell.current, cell.other) for cell in conflict["cells"]] == [
        ("Hale Oyelaran", "hole 5", "3", "4"),
        ("Hale Oyelaran", "hole 5 penalty", "blank", "1"),
    ]
    version = CardVersion.objects.get(number=2)
    decide = reverse("cards:decide", args=[event.slug, 1, 1, version.pk])
    client.post(decide, {"take": "yes", "reason": "read the card together"})
    assert list(CardLine.objects.filter(current=True).order_by("order").values_list("total", flat=True)) == [
        54,
        55,
    ]
    assert client.get(room(event, round=1, group=1)).context["conflicts"] == []


def test_a_version_of_another_event_is_not_decided_here(
    event: Event, round_: Round, client_as: SignIn
) -> None:
    other = build.make_event("other")
    theirs = other.rounds.get(number=1)
    (entry,) = make_field(other, 1)
    publish(theirs, [[entry]])
    save(theirs, 1, [line(entry)])
    version = save(theirs, 1, [line(entry, 4)]).version

    answer = client_as(Role.DIRECTOR).post(
        reverse("cards:decide", args=[event.slug, 1, 1, version.pk]), {"take": "yes"}
    )

    assert (answer.status_code, CardVersion.objects.get(pk=version.pk).state) == (404, "differs")


@pytest.mark.parametrize("group", [2, 99999999999999999999])
def test_a_card_that_is_not_on_the_tee_sheet_cannot_be_opened_and_leaves_no_trace(
    event: Event, round_: Round, client_as: SignIn, group: int
) -> None:
    publish(round_, [make_field(event, 1)])

    assert client_as(Role.CARD_ROOM).post(at(event, "open", group)).status_code == 404
    assert not Card.objects.exists()


def test_who_has_the_card_open_is_shown_to_others_only(
    event: Event, round_: Round, client_as: SignIn
) -> None:
    field = make_field(event, 1)
    publish(round_, [field])
    ada, ben = client_as(Role.CARD_ROOM), client_as(Role.DIRECTOR)

    with time_machine.travel(NOON, tick=False):
        assert ada.post(at(event, "open")).context["presence"] is None
        told = ben.post(at(event, "open")).context["presence"]
        assert (told.name, told.idle) == (Card.objects.get().opened_by, False)
        assert ben.get(room(event, round=1, group=1)).context["presence"] == told
        assert ada.get(room(event, round=1, group=1)).context["presence"] is None
    with time_machine.travel(NOON + timedelta(minutes=2), tick=False):
        assert ben.get(room(event, round=1, group=1)).context["presence"].idle
        assert ben.post(at(event, "open")).context["presence"] is None
    with time_machine.travel(NOON + timedelta(minutes=8), tick=False):
        assert ada.get(room(event, round=1, group=1)).context["presence"] is None


def test_a_page_hears_of_a_newer_version(event: Event, round_: Round, client_as: SignIn) -> None:
    field = make_field(event, 1)
    publish(round_, [field])
    client = client_as(Role.CARD_ROOM)
    save(round_, 1, [line(field[0])], actor=Actor("Ada"))

    assert "saved version 1 of this card" in client.post(at(event, "open") + "?base=0").content.decode()
    assert "saved version" not in client.post(at(event, "open") + "?base=1").content.decode()


@pytest.mark.parametrize(
    ("typed", "finished"),
    [("", "12:00"), ("11:40", "11:40"), ("1140", "11:40"), ("12:30", None), ("25:00", None), ("noon", None)],
)
def test_the_last_putt_now_or_at_the_time_typed(
    event: Event, round_: Round, client_as: SignIn, typed: str, finished: str | None
) -> None:
    publish(round_, [make_field(event, 1)])
    client = client_as(Role.CARD_ROOM)

    with time_machine.travel(NOON, tick=False):
        client.post(at(event, "finished"), {"at": typed})
        page = client.get(room(event, round=1, group=1))

    moment = page.context["state"].finished_at
    assert (f"{moment:%H:%M}" if moment else None) == finished
    assert "This time is still to come." in text_of(page) or typed != "12:30"


def test_a_card_after_its_30_minutes_is_called_late(event: Event, round_: Round, client_as: SignIn) -> None:
    """Official Rules 2025, 808.F: within 30 minutes after the player's own group has finished."""
    publish(round_, [make_field(event, 1)])
    client = client_as(Role.CARD_ROOM)
    mark_finished(round=round_, group_number=1, at=NOON, actor=build.ACTOR, now=NOON)

    for minutes, late in ((30, False), (31, True)):
        moment = NOON + timedelta(minutes=minutes)
        mark_returned(round=round_, group_number=1, at=moment, actor=build.ACTOR, now=moment)
        page = client.get(room(event, round=1, group=1))
        assert page.context["state"].due_at == NOON + timedelta(minutes=30)
        assert page.context["late"] is late


def test_without_round_or_sheet_the_page_says_what_to_do(event: Event, client_as: SignIn) -> None:
    client = client_as(Role.CARD_ROOM)
    assert "Round 1 has no published tee sheet" in text_of(client.get(room(event)))
    Round.objects.all().delete()
    assert "No round is planned yet." in text_of(client.get(room(event)))
