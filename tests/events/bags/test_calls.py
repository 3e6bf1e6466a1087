"""Calls of play: what they come to over a round, how they reach the card, who may write them."""

import re
from collections.abc import Callable
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.test import Client

import build
from build_bags import make_disc
from build_cards import line, make_field, publish, save
from desk.above_the_bags import ABOVE_BAGS
from events.bags.calls import WRITTEN_BEFORE, CallIn, CallRefused, record_call, take_back_call
from events.bags.models import Call
from events.entries.models import Entry, Status
from events.log.models import Act
from events.log.services import verify
from events.setup.models import Event, Role, Round
from players.models import Disc
from scoring.cards.models import Ruling, StandingLine

SignIn = Callable[[Role], Client]
WRITERS = (Role.DIRECTOR, Role.CARD_ROOM, Role.MARSHAL, Role.EQUIPMENT)


def whole(sentence: str) -> str:
    return f"^{re.escape(sentence)}$"


@pytest.fixture
def round_(event: Event) -> Round:
    return event.rounds.get(number=1)


@pytest.fixture
def field(event: Event, round_: Round) -> list[Entry]:
    """Two groups of three: Moravec, Oyelaran, Pennock; Eskola, Tindall, Varga."""
    entries = make_field(event, 6)
    publish(round_, [entries[:3], entries[3:]])
    return entries


def call(entry: Entry, round_: Round, kind: str = "illegal", hole: str = "7", **facts: Any) -> Call:
    facts.setdefault("caller", "Hale Oyelaran")
    facts.setdefault("confirmer", "Dov Pennock")
    facts.setdefault("throw", None)
    facts.setdefault("what", "")
    submission, disc = facts.pop("submission", None), facts.pop("disc", None)
    return record_call(
        entry=entry,
        round=round_,
        disc=disc,
        told=CallIn(kinds=tuple(kind.split()), hole_label=hole, **facts),
        submission=submission or uuid4(),
        book=ABOVE_BAGS.book,
        actor=build.ACTOR,
        now=build.NOW,
    )


def back(held: Call, reason: str = "another player's disc") -> Call:
    return take_back_call(
        call=held, reason=reason, unbook=ABOVE_BAGS.unbook, actor=build.ACTOR, now=build.NOW
    )


def total(entry: Entry) -> int | None:
    return StandingLine.objects.get(entry=entry).total


def test_an_illegal_disc_costs_two_throws_on_the_card(field: list[Entry], round_: Round) -> None:
    save(round_, 1, [line(entry) for entry in field[:3]])

    made = call(field[0], round_, what="a crack", disc=make_disc(field[0]))

    ruling = Ruling.objects.get()
    assert (made.throws, made.warning, made.rule) == (2, False, "discs.illegal_throws")
    assert (ruling.entry, ruling.hole_label, ruling.throws, ruling.in_card) == (field[0], "7", 2, None)
    assert (ruling.rule, ruling.what) == ("Official Rules 2025, 813.01.G", "illegal disc thrown")
    assert (ruling.caller, ruling.confirmer) == ("Hale Oyelaran", "Dov Pennock")
    assert (total(field[0]), total(field[1])) == (56, 54)
    acts = Act.objects.filter(action__in=["call.recorded", "ruling.made"]).order_by("number")
    assert [act.action for act in acts] == ["call.recorded", "ruling.made"]
    assert verify(round_.event.slug)[1] == []


def test_the_call_may_come_before_the_card(field: list[Entry], round_: Round) -> None:
    call(field[0], round_)

    save(round_, 1, [line(field[0])])

    assert total(field[0]) == 56


def test_an_unmarked_disc_is_warned_of_once_a_round(event: Event, field: list[Entry], round_: Round) -> None:
    other = event.rounds.get(number=2)
    publish(other, [field])
    made = [
        call(field[0], round_, "unmarked", "1"),
        call(field[0], round_, "unmarked", "2"),
        call(field[0], round_, "unmarked", "3"),
        call(field[1], round_, "unmarked", "3"),
        call(field[0], other, "unmarked", "1"),
        call(field[0], round_, "unmarked", "1", playoff=True),
        call(field[0], round_, "unmarked", "2", playoff=True),
    ]
    assert [(each.warning, each.throws) for each in made] == [
        (True, 0), (False, 1), (False, 1), (True, 0), (True, 0), (True, 0), (False, 1),
    ]  # fmt: skip
    # A warning and a playoff reach no card.
    assert list(Ruling.objects.values_list("hole_label", "throws")) == [("2", 1), ("3", 1)]


def test_two_rules_in_one_throw_are_one_penalty(field: list[Entry], round_: Round) -> None:
    made = call(field[0], round_, "unmarked illegal", throw=1)
    assert (made.throws, made.rule, made.kinds) == (2, "discs.illegal_throws", ["unmarked", "illegal"])

    with pytest.raises(
        CallRefused, match=whole("Throw 1 on hole 7 was called already: one throw has one penalty.")
    ):
        call(field[0], round_, "unmarked", throw=1)
    assert (Call.objects.count(), Ruling.objects.count()) == (1, 1)
    call(field[0], round_, "unmarked", throw=2)
    assert Call.objects.count() == 2


def test_the_same_submission_is_one_call(field: list[Entry], round_: Round) -> None:
    key = uuid4()
    first = call(field[0], round_, submission=key)
    assert call(field[0], round_, submission=key) == first
    assert (Call.objects.count(), Ruling.objects.count()) == (1, 1)


@pytest.mark.parametrize(
    "other", [{"hole": "8"}, {"throw": 2}, {"kind": "unmarked"}, {"caller": "Dov Pennock"}, {"playoff": True}]
)
def test_a_page_that_is_shown_again_swallows_no_other_call(
    field: list[Entry], round_: Round, other: dict[str, Any]
) -> None:
    key = uuid4()
    call(field[0], round_, submission=key)
    with pytest.raises(CallRefused, match="This page had written another call already"):
        call(field[0], round_, submission=key, **other)
    with pytest.raises(CallRefused, match="This page had written another call already"):
        call(field[1], round_, submission=key)
    assert (Call.objects.count(), Ruling.objects.count()) == (1, 1)


def test_the_page_that_was_shown_again_can_write_its_call_under_another_key(
    field: list[Entry], round_: Round, client_as: SignIn
) -> None:
    client, key = client_as(Role.MARSHAL), uuid4()
    call(field[0], round_, submission=key, caller="Hale Oyelaran", confirmer="")
    said = {"round": 1, "entry": field[0].pk, "kinds": "illegal", "hole": "8", "caller": "Hale Oyelaran"}
    refused = client.post("/desk/quiet-pines/bags/calls/tell/", said | {"submission": str(key)})
    assert (refused.status_code, refused.context["wrong"]) == (422, WRITTEN_BEFORE)
    said |= {"submission": str(refused.context["submission"])}
    shown = client.post("/desk/quiet-pines/bags/calls/tell/", said).context["shown"]
    assert client.post("/desk/quiet-pines/bags/calls/tell/", said | {"shown": shown}).status_code == 302
    assert list(Call.objects.values_list("hole_label", flat=True).order_by("pk")) == ["7", "8"]


def test_a_call_taken_back_takes_its_throws_along_and_stays(field: list[Entry], round_: Round) -> None:
    save(round_, 1, [line(field[0])])
    made = call(field[0], round_, throw=1)
    with pytest.raises(CallRefused, match=whole("Write why the call is taken back, in at most 200 letters.")):
        back(made, "  ")
    assert total(field[0]) == 56

    back(made)
    back(made, "again")

    assert (total(field[0]), Call.objects.get().taken_back_reason) == (54, "another player's disc")
    assert Ruling.objects.get().taken_back_at == build.NOW
    call(field[0], round_, throw=1)  # the throw is free again
    assert total(field[0]) == 56


def test_a_warning_taken_back_leaves_later_calls_and_shows_them(
    field: list[Entry], round_: Round, client_as: SignIn
) -> None:
    warning = call(field[0], round_, "unmarked", "1")
    later = call(field[0], round_, "unmarked", "2")
    back(warning)

    later.refresh_from_db()
    assert (later.throws, later.taken_back_at) == (1, None)
    page = client_as(Role.DIRECTOR).get("/desk/quiet-pines/bags/calls/?round=1").content.decode()
    assert page.count("An earlier call was taken back since") == 1

    back(later)
    assert call(field[0], round_, "unmarked", "2").warning


@pytest.mark.parametrize(
    ("facts", "sentence"),
    [
        ({"caller": " "}, "Write who made the call."),
        ({"hole": "77"}, "The layout of Ludvik Moravec has no hole 77."),
        ({"kind": ""}, "Choose what was thrown: an unmarked disc, an illegal disc, or both."),
    ],
)
def test_what_cannot_be_is_refused(
    field: list[Entry], round_: Round, facts: dict[str, str], sentence: str
) -> None:
    with pytest.raises(CallRefused, match=whole(sentence)):
        call(field[0], round_, **facts)
    assert not Call.objects.exists()


def test_who_does_not_play_is_not_called(event: Event, field: list[Entry], round_: Round) -> None:
    gone = field[0]
    Entry.objects.filter(pk=gone.pk).update(status=Status.WITHDRAWN)
    with pytest.raises(CallRefused, match=whole("Ludvik Moravec is not playing.")):
        call(gone, round_)
    late = build.make_entry(event, person=build.make_person("Stroud", "Asta"))
    with pytest.raises(CallRefused, match=whole("Asta Stroud is in no group of the tee sheet of round 1.")):
        call(late, round_)
    with pytest.raises(CallRefused, match=whole("That disc is from another player's box.")):
        call(field[1], round_, disc=make_disc(field[2]))


def test_nothing_is_called_or_taken_back_after_the_end(field: list[Entry], round_: Round) -> None:
    made = call(field[0], round_)
    Event.objects.update(over_at=build.NOW)
    over = whole("The event is over: cards and calls stay as they are.")
    with pytest.raises(CallRefused, match=over):
        call(field[1], round_)
    with pytest.raises(CallRefused, match=over):
        back(made)
    assert Call.objects.get().taken_back_at is None


def form(entry: Entry, **facts: Any) -> dict[str, Any]:
    return {
        "round": 1,
        "entry": entry.pk,
        "submission": "6f1c1c1e-0000-4000-8000-000000000002",
        "kinds": ["illegal"],
        "hole": "7",
        "throw": "",
        "disc": "",
        "what": "",
        "caller": "Hale Oyelaran",
        "confirmer": "Dov Pennock",
        **facts,
    }


TELL = "/desk/quiet-pines/bags/calls/tell/"


def shown_in(page: str) -> str:
    (word,) = re.findall(r'name="shown" value="([0-9a-f]+)"', page)
    return word


def test_what_it_comes_to_is_shown_before_it_is_written(
    field: list[Entry], round_: Round, client_as: SignIn
) -> None:
    save(round_, 1, [line(field[0])])
    client = client_as(Role.MARSHAL)

    look = client.post(TELL, form(field[0]))
    assert (look.status_code, Call.objects.count()) == (200, 0)
    page = look.content.decode()
    assert "<b>2 penalty throws</b>" in page
    assert "Illegal disc thrown: 2 penalty throws." in page

    written = client.post(TELL, form(field[0], shown=shown_in(page)))
    assert written["Location"] == "/desk/quiet-pines/bags/calls/?round=1"
    assert (Call.objects.get().submission, total(field[0])) == (
        UUID("6f1c1c1e-0000-4000-8000-000000000002"),
        56,
    )
    again = client.post(TELL, form(field[0], shown=shown_in(page)))
    assert (again.status_code, Call.objects.count(), total(field[0])) == (302, 1, 56)


def test_a_call_meanwhile_is_shown_before_anything_is_written(
    field: list[Entry], round_: Round, client_as: SignIn
) -> None:
    client = client_as(Role.MARSHAL)
    told = form(field[0], kinds=["unmarked"])
    word = shown_in(client.post(TELL, told).content.decode())
    call(field[0], round_, "unmarked", "3")

    answer = client.post(TELL, {**told, "shown": word})

    assert (answer.status_code, Call.objects.count()) == (200, 1)
    assert "<b>1 penalty throw</b>" in answer.content.decode()


@pytest.mark.parametrize(
    ("facts", "remark"),
    [
        ({"confirmer": ""}, "A call that costs throws needs a second player of the group or an official"),
        ({"caller": "Ludvik Moravec", "confirmer": ""}, ""),
        ({"confirmer": "niko eskola"}, "niko eskola plays in MA1 in another group"),
        ({"kinds": ["unmarked"], "confirmer": ""}, ""),
    ],
)
def test_who_called_and_confirmed_is_remarked_on_and_recorded(
    field: list[Entry], round_: Round, client_as: SignIn, facts: dict[str, Any], remark: str
) -> None:
    client = client_as(Role.CARD_ROOM)
    page = client.post(TELL, form(field[0], **facts)).content.decode()
    remarks = re.findall(r'<p class="needs">([^<]+)</p>', page)
    assert [each.startswith(remark) for each in remarks] == [True] * bool(remark)

    client.post(TELL, form(field[0], **facts, shown=shown_in(page)))

    assert Call.objects.count() == 1
    logged = str(Act.objects.get(action="call.recorded").detail)
    assert logged.count("801.02") == bool(remark)


def test_another_call_on_the_hole_is_asked_about(
    field: list[Entry], round_: Round, client_as: SignIn
) -> None:
    call(field[0], round_, throw=2)

    page = client_as(Role.MARSHAL).post(TELL, form(field[0])).content.decode()

    assert page.count("There is a call on hole 7 already.") == 1


@pytest.mark.parametrize(
    ("facts", "sentence"),
    [
        ({"kinds": []}, "Choose what was thrown: an unmarked disc, an illegal disc, or both."),
        ({"hole": ""}, "Choose the hole."),
        ({"caller": "  "}, "Write who made the call."),
        ({"throw": "two"}, "Write the throw as a number from 1, or leave it empty."),
        ({"throw": "31"}, "Write the throw as a number from 1, or leave it empty."),
        ({"what": "w" * 201}, "Ensure this value has at most 200 characters (it has 201)."),
    ],
)
def test_what_cannot_be_read_is_named_beside_its_field(
    field: list[Entry], client_as: SignIn, facts: dict[str, Any], sentence: str
) -> None:
    answer = client_as(Role.MARSHAL).post(TELL, form(field[0], **facts))

    assert (answer.status_code, Call.objects.count()) == (422, 0)
    assert answer.content.decode().count(sentence) == 1


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("2", ["Niko Eskola", "Mira Tindall", "Sefa Varga"]),
        ("a", []),
    ],
)
def test_a_player_is_found_by_group(
    field: list[Entry], client_as: SignIn, text: str, names: list[str]
) -> None:
    page = client_as(Role.MARSHAL).get(f"/desk/quiet-pines/bags/calls/?round=1&q={text}").content.decode()
    assert re.findall(r"<span>([^<]+)</span></a></li>", page) == names


def test_the_only_one_found_is_opened(field: list[Entry], client_as: SignIn) -> None:
    answer = client_as(Role.MARSHAL).get("/desk/quiet-pines/bags/calls/?round=1&q=mora")
    opened = f"/desk/quiet-pines/bags/calls/?round=1&entry={field[0].pk}"
    assert answer["Location"] == opened


def test_who_repeats_is_shown_and_only_the_director_disqualifies(
    field: list[Entry], round_: Round, client_as: SignIn
) -> None:
    call(field[0], round_, hole="1")
    call(field[1], round_, hole="1")
    call(field[1], round_, hole="2", playoff=True)
    address = "/desk/quiet-pines/bags/calls/?round=2"

    page = client_as(Role.DIRECTOR).get(address).content.decode()
    assert re.findall(r'class="what">([^<]+) <', page) == ["Hale Oyelaran"]
    assert page.count(": 2 illegal discs thrown") == 1
    assert f"/desk/quiet-pines/entries/{field[1].pk}/leave/disqualified/" in page
    assert "/leave/disqualified/" not in client_as(Role.MARSHAL).get(address).content.decode()


@pytest.mark.parametrize("role", list(Role))
def test_who_reads_and_who_writes(field: list[Entry], round_: Round, client_as: SignIn, role: Role) -> None:
    made = call(field[0], round_)
    client, writes = client_as(role), role in WRITERS

    page = client.get(f"/desk/quiet-pines/bags/calls/?round=1&entry={field[0].pk}")
    assert (page.status_code, b'id="call"' in page.content) == (200, writes)
    assert client.post(TELL, form(field[1])).status_code == (200 if writes else 403)
    answer = client.post(f"/desk/quiet-pines/bags/calls/{made.pk}/back/", {"reason": "a slip"})
    assert answer.status_code == (302 if writes else 403)
    assert (Call.objects.get().taken_back_at is not None) is writes


def test_without_rounds_or_after_the_end_nothing_is_asked(
    event: Event, field: list[Entry], round_: Round, client_as: SignIn
) -> None:
    Event.objects.filter(pk=event.pk).update(over_at=build.NOW)
    page = client_as(Role.DIRECTOR).get(f"/desk/quiet-pines/bags/calls/?entry={field[0].pk}").content
    assert (b"The event is over" in page, b'id="call"' in page) == (True, False)


@pytest.mark.parametrize("calls", [1, 3])
def test_the_page_takes_the_same_queries(
    field: list[Entry],
    round_: Round,
    client_as: SignIn,
    django_assert_num_queries: Callable[..., Any],
    calls: int,
) -> None:
    for at in range(calls):
        call(field[at], round_, disc=make_disc(field[at]))
    client = client_as(Role.MARSHAL)

    with django_assert_num_queries(9):
        client.get("/desk/quiet-pines/bags/calls/?round=1")
    with django_assert_num_queries(13):
        client.get(f"/desk/quiet-pines/bags/calls/?round=1&entry={field[0].pk}")
    assert Disc.objects.count() == calls
