"""The pages: who may, one thing at a time, what is typed stays, what they cost."""

import re
from collections.abc import Callable
from typing import Any
from uuid import uuid4

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

import build
from build_cards import line, make_field, publish, save
from events.bags.models import Call
from events.entries.models import Entry
from events.setup.models import Event, Role, Round
from scoring.cards.models import Card, Ruling, StandingLine
from scoring.penalties.models import Warning
from scoring.penalties.services import Told, write_penalty
from scoring.penalties.warning_acts import warn_for_event

SignIn = Callable[[Role], Client]
BASE = "/desk/quiet-pines/penalties/"
WRITERS = {Role.DIRECTOR, Role.CARD_ROOM, Role.MARSHAL}


@pytest.fixture
def round_(event: Event) -> Round:
    return event.rounds.get(number=1)


@pytest.fixture
def field(event: Event, round_: Round) -> list[Entry]:
    entries = make_field(event, 6)
    publish(round_, [entries[:3], entries[3:]])
    return entries


def helper(entry: Entry, *ways: str, **more: str) -> tuple[str, dict[str, Any]]:
    return f"{BASE}new/", {"round": "1", "entry": str(entry.pk), "way": list(ways), **more}


def post(client: Client, entry: Entry, *ways: str, **facts: Any) -> Any:
    facts = {"hole": "7", "caller": "Hale Oyelaran", "act": "write", "submission": str(uuid4())} | facts
    return client.post(f"{BASE}write/", {"round": "1", "entry": str(entry.pk), "way": list(ways), **facts})


def words(answer: Any) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))


@pytest.mark.parametrize("role", Role)
def test_who_may_read_and_who_may_write(client_as: SignIn, field: list[Entry], role: Role) -> None:
    client = client_as(role)

    assert client.get(BASE).status_code == 200
    assert client.get(f"{BASE}table/").status_code == 200
    assert client.get(f"{BASE}table/paper/").status_code == 200
    assert client.get(*helper(field[0])).status_code == (200 if role in WRITERS else 403)
    assert post(client, field[0], "ob-1").status_code == (302 if role in WRITERS else 403)
    assert Ruling.objects.count() == (role in WRITERS)


def test_before_a_round_is_planned_the_page_says_so(client_as: SignIn, event: Event) -> None:
    event.rounds.all().delete()
    assert "The event has no rounds yet." in words(client_as(Role.VIEWER).get(BASE))


def test_only_the_director_warns_for_the_event(client_as: SignIn, field: list[Entry]) -> None:
    facts = {"entry": str(field[0].pk), "what": "threw a bag"}
    assert client_as(Role.CARD_ROOM).post(f"{BASE}event-warning/", facts).status_code == 403

    client = client_as(Role.DIRECTOR)
    assert client.post(f"{BASE}event-warning/", {**facts, "what": " "}).status_code == 422
    assert client.post(f"{BASE}event-warning/", facts).status_code == 302

    warning = Warning.objects.get()
    assert (warning.what, warning.round) == ("threw a bag", None)
    assert "threw a bag" in words(client.get(*helper(field[0])))
    assert (
        client_as(Role.MARSHAL).post(f"{BASE}warnings/{warning.pk}/take-back/", {"reason": "x"}).status_code
        == 302
    )
    assert Warning.objects.get().taken_back_at is None
    client.post(f"{BASE}warnings/{warning.pk}/take-back/", {"reason": "another player"})
    assert Warning.objects.get().taken_back_reason == "another player"


def test_the_list_finds_whose_penalty_it_is(client_as: SignIn, field: list[Entry]) -> None:
    client = client_as(Role.CARD_ROOM)

    one = client.get(BASE, {"q": "morav"})
    group = words(client.get(BASE, {"q": "2"}))
    nobody = words(client.get(BASE, {"q": "zzz"}))

    assert one["Location"] == f"{BASE}new/?round=1&entry={field[0].pk}"
    assert [each.person.name for each in field if each.person.name in group] == [
        each.person.name for each in field[3:]
    ]
    assert "Nobody found for “zzz”." in nobody


def test_one_question_at_a_time_with_its_keys(client_as: SignIn, field: list[Entry]) -> None:
    client = client_as(Role.MARSHAL)

    start = client.get(*helper(field[0], hole="7"))
    question = client.get(*helper(field[0], "lost-1", hole="7"))

    assert "Foot fault" in words(start)
    assert "Did the player go straight to a drop zone" in words(question)
    again = f"{BASE}new/?round=1&amp;entry={field[0].pk}&amp;hole=7&amp;way=lost"
    for key, address in {"1": f"{again}-1-1", "2": f"{again}-1-2", "Escape": again}.items():
        assert f'href="{address}" data-key="{key}"' in question.content.decode()


def test_a_word_that_means_one_thing_goes_straight_there(client_as: SignIn, field: list[Entry]) -> None:
    client = client_as(Role.MARSHAL)

    one = client.get(*helper(field[0], q="putt fall", hole="7"))
    several = client.get(*helper(field[0], q="wrong"))
    none = client.get(*helper(field[0], q="flamingo"))

    assert one["Location"] == f"{BASE}new/?round=1&entry={field[0].pk}&hole=7&way=stance"
    assert 'data-key="2"' in several.content.decode()
    assert "Nothing here is called “flamingo”" in words(none)
    assert "Foot fault" in words(none)


def test_an_answer_that_is_none_asks_again(client_as: SignIn, field: list[Entry]) -> None:
    client = client_as(Role.MARSHAL)

    assert "Foot fault" in words(client.get(*helper(field[0], "nothing")))
    assert "What was it?" not in words(client.get(*helper(field[0], "stance-9")))
    answer = post(client, field[0], "lost")
    assert answer["Location"] == f"{BASE}new/?round=1&entry={field[0].pk}&hole=7&way=lost"


def test_what_costs_nothing_says_why(client_as: SignIn, field: list[Entry]) -> None:
    said = words(client_as(Role.MARSHAL).get(*helper(field[0], "practice-2-1")))

    assert "no penalty" in said
    assert "That is no practice throw, however far it rolls. Official Rules 2025, 809.03" in said


@pytest.mark.parametrize(
    ("way", "address"),
    [
        ("disc", "/desk/quiet-pines/bags/calls/?round=1&amp;entry={}"),
        ("absent-1", "/desk/quiet-pines/penalties/absent/?round=1&amp;entry={}"),
        ("conduct", "/desk/quiet-pines/penalties/event-warning/?entry={}"),
        ("absent-2", "/desk/quiet-pines/entries/{}/leave/did-not-finish/"),
    ],
)
def test_what_is_written_elsewhere_leads_there(
    client_as: SignIn, field: list[Entry], way: str, address: str
) -> None:
    client = client_as(Role.DIRECTOR)
    found = address.format(field[0].pk)

    assert f'href="{found}"' in client.get(*helper(field[0], way)).content.decode()
    assert client.get(found.replace("&amp;", "&")).status_code == 200


def test_the_proposal_says_what_where_and_why(client_as: SignIn, field: list[Entry], round_: Round) -> None:
    client = client_as(Role.CARD_ROOM)
    post(client, field[0], "ob-1")

    said = words(client.get(*helper(field[0], "stance-1", "ob-2", hole="7")))

    assert "+2 on hole 7" in said
    assert "Drop zone straight away : +2. Official Rules 2025, 805.03.F, 806.02.G" in said
    assert "Stance (foot fault) (+1) was the same throw and does not count" in said
    assert "On hole 7 already: +1, Out of bounds. If it was the same throw" in said


def test_another_rule_is_asked_for_and_weighed(client_as: SignIn, field: list[Entry]) -> None:
    client = client_as(Role.CARD_ROOM)
    first = client.get(*helper(field[0], "stance-1", hole="7")).content.decode()
    more = f"{BASE}new/?round=1&entry={field[0].pk}&hole=7&way=stance-1&more=1"
    assert f'href="{more.replace("&", "&amp;")}"' in first.replace("&amp;amp;", "&amp;")

    listed = client.get(more).content.decode()

    assert f"{BASE}new/?round=1&amp;entry={field[0].pk}&amp;hole=7&amp;way=stance-1&amp;way=ob" in listed


def test_written_from_the_page_it_stands_in_the_list_and_on_the_card(
    client_as: SignIn, field: list[Entry], round_: Round
) -> None:
    save(round_, 1, [line(entry) for entry in field[:3]])
    client = client_as(Role.DIRECTOR)

    answer = post(client, field[0], "mandatory-1", what="left side", confirmer="Dov Pennock", expected="1,0")

    assert answer["Location"] == f"{BASE}?round=1"
    said = words(client.get(answer["Location"]))
    assert "Written. Ludvik Moravec: +1 on hole 7." in said
    assert "Missed mandatory: left side. Official Rules 2025, 804.01.C" in said
    assert "called by Hale Oyelaran, confirmed by Dov Pennock" in said
    assert StandingLine.objects.get(entry=field[0]).total == 55
    ruling = Ruling.objects.get()
    client.post(f"{BASE}rulings/{ruling.pk}/take-back/", {"reason": "it was right of it"})
    assert StandingLine.objects.get(entry=field[0]).total == 54


def test_the_same_ruling_from_another_page_is_asked_about_once(
    client_as: SignIn, field: list[Entry], round_: Round
) -> None:
    """Two people write down one call: counted twice only where somebody says that it happened twice."""
    client, facts = client_as(Role.CARD_ROOM), {"hole": "7", "caller": "Hale Oyelaran", "alone": "on"}
    post(client, field[0], "ob-1", **facts)

    answer = post(client, field[0], "ob-1", **facts)

    assert (answer.status_code, Ruling.objects.count()) == (422, 1)
    assert "Ludvik Moravec, hole 7: the same ruling, Out of bounds, stands since" in words(answer)
    assert 'name="twice"' in answer.content.decode()
    assert post(client, field[0], "ob-1", **facts, twice="on").status_code == 302
    assert Ruling.objects.count() == 2


def test_what_was_typed_is_not_lost(client_as: SignIn, field: list[Entry]) -> None:
    client = client_as(Role.CARD_ROOM)

    no_caller = post(client, field[0], "mandatory-1", caller="", what="left side", also="")
    no_hole = post(client, field[0], "mandatory-1", hole="", what="left side")
    changed = post(client, field[0], "time", expected="1,0", what="at the tee")

    assert (no_caller.status_code, no_hole.status_code, changed.status_code) == (422, 422, 422)
    assert "Write who made the call." in words(no_caller)
    assert "Choose the hole on which it happened." in words(no_hole)
    assert 'value="left side"' in no_caller.content.decode()
    assert 'value="Hale Oyelaran"' in no_hole.content.decode()
    assert "this now comes to something else" in words(changed)
    assert "a warning" in words(changed)
    assert (Ruling.objects.count(), Warning.objects.count()) == (0, 0)


def test_a_warning_in_place_of_throws_is_offered_where_the_rule_knows_one(
    client_as: SignIn, field: list[Entry]
) -> None:
    client = client_as(Role.DIRECTOR)
    post(client, field[0], "courtesy-1")

    offered = words(client.get(*helper(field[0], "courtesy-1", hole="9")))
    post(client, field[0], "courtesy-1", hole="9", act="warn")

    assert "A warning instead" in offered
    assert "A warning instead" not in words(client.get(*helper(field[0], "ob-1", hole="9")))
    assert (Warning.objects.count(), Ruling.objects.count()) == (2, 0)
    said = words(client.get(BASE))
    assert "Courtesy: distracting others, 2 times the next in this round: +1" in said


def test_the_whole_group_is_offered_and_written(client_as: SignIn, field: list[Entry]) -> None:
    client = client_as(Role.CARD_ROOM)

    offered = words(client.get(*helper(field[0], "starthole-1", hole="7")))
    post(client, field[0], "starthole-1", also=[str(field[1].pk), str(field[2].pk)])

    assert "Others of the group who did the same" in offered
    assert sorted(Ruling.objects.values_list("entry", "throws")) == [(each.pk, 2) for each in field[:3]]


def test_holes_not_played_from_the_page(client_as: SignIn, field: list[Entry], round_: Round) -> None:
    save(round_, 2, [line(entry) for entry in field[3:]])
    client = client_as(Role.CARD_ROOM)
    address, query = f"{BASE}absent/", {"round": "1", "entry": str(field[3].pk)}

    shown = client.get(address, query).content.decode()
    nothing = client.post(address, query)
    answer = client.post(address, {**query, "holes": ["2", "3"], "reason": "flat tyre"})

    labels = re.findall(r"hole (\d+): (\d+) \(par (\d), written 3\)", shown)
    assert labels[:3] == [("2", "7", "3"), ("3", "8", "4"), ("4", "7", "3")]  # from the group's first hole
    assert labels[-1] == ("1", "7", "3")
    assert (nothing.status_code, "Choose the holes that were not played." in words(nothing)) == (422, True)
    assert answer["Location"] == "/desk/quiet-pines/cards/?round=1&group=2"
    assert StandingLine.objects.get(entry=field[3]).total == 54 + 4 + 5


def test_an_absence_asks_of_rulings_on_its_holes(
    client_as: SignIn, field: list[Entry], round_: Round
) -> None:
    save(round_, 2, [line(entry) for entry in field[3:]])
    client = client_as(Role.CARD_ROOM)
    post(client, field[3], "starter-1")
    post(client, field[3], "ob-1", hole="3")
    ruling = Ruling.objects.get(hole_label="3")
    address, query = f"{BASE}absent/", {"round": "1", "entry": str(field[3].pk)}

    shown = words(client.get(address, query))
    silent = client.post(address, {**query, "holes": ["2", "3"]})
    answer = client.post(address, {**query, "holes": ["2", "3"], f"ruling_{ruling.pk}": "void"})

    assert "hole 3: +1, Out of bounds" in shown
    assert "Hole 2: +2, Late to the starter" in shown
    assert silent.status_code == 422
    assert "Say of each ruling on these holes whether it is void with its throw" in words(silent)
    assert answer.status_code == 302
    assert StandingLine.objects.get(entry=field[3]).total == 54 + 4 + 5
    assert Ruling.objects.filter(taken_back_at=None).count() == 0


def test_on_a_verified_card_only_the_director_writes_throws_with_who_confirmed_them(
    client_as: SignIn, field: list[Entry], round_: Round
) -> None:
    save(round_, 1, [line(entry) for entry in field[:3]])
    post(client_as(Role.DIRECTOR), field[0], "ob-1", hole="3", in_card="no")
    before = Ruling.objects.get()
    Card.objects.update(verified_at=build.NOW, verified_by="Tester")

    refused = "The card of group 1 is verified: only the director rules on it from now on."
    for role in (Role.CARD_ROOM, Role.MARSHAL):
        answer = post(client_as(role), field[0], "ob-1")
        assert (answer.status_code, refused in words(answer)) == (422, True)
        client_as(role).post(f"{BASE}rulings/{before.pk}/take-back/", {"reason": "x"})
    absent = {"round": "1", "entry": str(field[0].pk), "holes": ["1"]}
    assert refused in words(client_as(Role.CARD_ROOM).post(f"{BASE}absent/", absent))
    assert [each.taken_back_at for each in Ruling.objects.all()] == [None]

    director = client_as(Role.DIRECTOR)
    nobody = post(director, field[0], "ob-1", confirmer="")
    assert "The card is verified: write who confirmed the call" in words(nobody)
    assert post(director, field[0], "ob-1", confirmer="", alone="on").status_code == 302
    assert Ruling.objects.latest("pk").confirmer == "own or official’s call"
    assert post(client_as(Role.MARSHAL), field[0], "time").status_code == 302  # a warning changes no score


def test_rules_that_are_no_part_of_the_throw_are_not_weighed_against_it(
    client_as: SignIn, field: list[Entry]
) -> None:
    client = client_as(Role.MARSHAL)

    together = client.get(*helper(field[0], "stance-1", "courtesy-1", hole="7"), follow=True)
    alone = words(client.get(*helper(field[0], "courtesy-1", hole="7")))

    assert "write the rest by itself" in words(together)
    assert together.redirect_chain[0][0].endswith("way=stance-1")
    assert "The same throw broke another rule too" not in alone


def test_the_vote_of_a_group_says_what_more_than_half_is(client_as: SignIn, field: list[Entry]) -> None:
    said = words(client_as(Role.MARSHAL).get(*helper(field[0], "vote", hole="7")))

    assert "The group has 3 players: more than half is 2 or more." in said


def test_once_the_event_is_over_nothing_is_written(
    client_as: SignIn, event: Event, field: list[Entry]
) -> None:
    event.over_at = build.NOW
    event.save()
    client = client_as(Role.DIRECTOR)

    answer = post(client, field[0], "ob-1")

    assert answer.status_code == 422
    assert "The event is over: cards and warnings stay as they are." in words(answer)
    assert 'id="find"' not in client.get(BASE).content.decode()


def test_the_catalogue_says_figure_place_and_source(client_as: SignIn, event: Event) -> None:
    event.rule_overrides.create(
        key="penalty.stance", value=2, reason="agreed with the players", at=build.NOW, by="Tester"
    )

    said = words(client_as(Role.VIEWER).get(f"{BASE}table/"))

    assert "Missed mandatory +1 hole The throw counts; the next is played from the drop zone" in said
    assert "Changed for this event: agreed with the players" in said


def test_a_disc_call_s_ruling_goes_with_the_call(
    client_as: SignIn, field: list[Entry], round_: Round
) -> None:
    ruling = Ruling.objects.create(
        round=round_,
        entry=field[0],
        hole_label="7",
        throws=2,
        rule="Official Rules 2025, 813.01.G",
        what="illegal disc thrown",
        origin="disc call 1",
        at=build.NOW,
        by="Tester",
    )
    client = client_as(Role.DIRECTOR)

    client.post(f"{BASE}rulings/{ruling.pk}/take-back/", {"reason": "x"})

    assert Ruling.objects.get().taken_back_at is None
    assert f"rulings/{ruling.pk}/take-back" not in client.get(BASE).content.decode()


@pytest.mark.parametrize("address", ["new/", "absent/", "event-warning/"])
def test_another_event_s_players_are_not_found(client_as: SignIn, field: list[Entry], address: str) -> None:
    stranger = build.make_entry(build.make_event("elsewhere"))

    answer = client_as(Role.DIRECTOR).get(f"{BASE}{address}", {"round": "1", "entry": str(stranger.pk)})

    assert answer.status_code == 404


def test_the_helper_without_a_player_goes_to_the_list(client_as: SignIn, field: list[Entry]) -> None:
    answer = client_as(Role.DIRECTOR).get(reverse("penalties:new", args=["quiet-pines"]), {"round": "1"})

    assert answer["Location"] == f"{BASE}?round=1"


def _written(count: int, field: list[Entry], round_: Round) -> None:
    common: dict[str, Any] = {"actor": build.ACTOR, "now": build.NOW}
    for entry in field[:count]:
        for way in ("courtesy-1", "courtesy-1", "ob-1"):
            told = Told((way,), "7", caller="x")
            write_penalty(entry=entry, round=round_, told=told, submission=uuid4(), **common)
        warn_for_event(entry=entry, what="a bag", submission=uuid4(), **common)
        Call.objects.create(
            entry=entry, round=round_, hole_label="7", kinds=["unmarked"], caller="x", warning=True, throws=0,
            rule="discs.unmarked_throws", submission=uuid4(), at=build.NOW, by="x",
        )  # fmt: skip


@pytest.mark.parametrize("count", [1, 3])
def test_what_the_pages_cost(
    django_assert_num_queries: Any,
    event: Event,
    field: list[Entry],
    round_: Round,
    count: int,
) -> None:
    """Session, account, event and role are four of them."""
    _written(count, field, round_)
    client = Client()
    user: User = build.make_user(event, Role.CARD_ROOM)
    client.force_login(user)
    client.get(BASE)

    with django_assert_num_queries(10):
        client.get(BASE)
    with django_assert_num_queries(7):
        client.get(*helper(field[0], hole="7"))
    with django_assert_num_queries(14):
        client.get(*helper(field[0], "courtesy-1", hole="7"))
    with django_assert_num_queries(5):
        client.get(f"{BASE}table/")
    with django_assert_num_queries(11):
        client.get(f"{BASE}absent/", {"round": "1", "entry": str(field[0].pk)})
