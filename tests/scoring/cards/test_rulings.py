"""Rulings beside the card: before it, after it, in it already, taken back; what standings and workbook make of them."""

import io
import re
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from openpyxl import load_workbook

import build
from build_cards import line, make_field, publish, save
from events.entries.models import Entry
from events.log.models import Act
from events.log.services import verify
from events.setup.models import Event, Role, Round
from scoring.cards.agreeing import ready_cards
from scoring.cards.keeping import CardRefused
from scoring.cards.links import group_path
from scoring.cards.models import CardVersion, Ruling, StandingLine
from scoring.cards.queries import card, cards_of
from scoring.cards.rulings import RulingRefused, make_ruling, say_in_card, take_back_ruling
from scoring.cards.services import resolve_difference
from scoring.cards.verifying import verify_card
from scoring.ratings.queries import ratings_of
from scoring.report.checklist import Kind
from scoring.report.queries import closing_of
from scoring.report.services import make_workbook
from scoring.standings.queries import standings, totals_before


def whole(sentence: str) -> str:
    return f"^{re.escape(sentence)}$"


SignIn = Callable[[Role], Client]


@pytest.fixture
def round_(event: Event) -> Round:
    return event.rounds.get(number=1)


@pytest.fixture
def field(event: Event, round_: Round) -> list[Entry]:
    entries = make_field(event, 4)
    publish(round_, [entries[:2], entries[2:]])
    return entries


def rule(entry: Entry, round_: Round, throws: int = 2, hole: str = "7", **facts: Any) -> Ruling:
    facts.setdefault("origin", f"by hand {Ruling.objects.count()}")
    facts.setdefault("now", build.NOW)
    return make_ruling(
        entry=entry,
        round=round_,
        hole_label=hole,
        throws=throws,
        rule="Official Rules 2025, 813.01.G",
        what="illegal disc thrown",
        caller="Hale Oyelaran",
        confirmer="Dov Pennock",
        actor=build.ACTOR,
        **facts,
    )


def total(entry: Entry) -> int | None:
    return StandingLine.objects.get(entry=entry).total


def test_a_ruling_after_the_card_counts_on_top_and_leaves_the_version_alone(
    field: list[Entry], round_: Round
) -> None:
    save(round_, 1, [line(entry) for entry in field[:2]])

    rule(field[0], round_)

    held = StandingLine.objects.get(entry=field[0])
    assert (held.total, held.throws, CardVersion.objects.count()) == (56, [3] * 18, 1)
    assert total(field[1]) == 54
    view = card(round_, 1)
    assert [each.total for each in view.versions[0].lines] == [54, 54]
    player = view.state.players[0]
    assert (player.throws[6], player.counts[6], player.sum.total) == (3, 5, 56)
    assert verify(round_.event.slug)[1] == []


@pytest.mark.parametrize("other", [{"hole": "8"}, {"throws": 1}])
def test_one_origin_is_one_ruling_and_swallows_no_other(
    field: list[Entry], round_: Round, other: dict[str, Any]
) -> None:
    first = rule(field[0], round_, origin="by hand x")
    assert rule(field[0], round_, origin="by hand x") == first
    with pytest.raises(RulingRefused, match="This page had written another ruling already"):
        rule(field[0], round_, origin="by hand x", **other)
    with pytest.raises(RulingRefused, match="This page had written another ruling already"):
        rule(field[1], round_, origin="by hand x")
    assert Ruling.objects.count() == 1


def test_a_ruling_before_the_card_waits_for_it(field: list[Entry], round_: Round) -> None:
    rule(field[0], round_)
    blank = card(round_, 1).state.players[0]
    assert (blank.sum.total, blank.counts) == (None, (None,) * 18)

    save(round_, 1, [line(entry) for entry in field[:2]])

    assert (total(field[0]), total(field[1])) == (56, 54)


def test_a_hole_that_is_not_played_yet_waits_for_its_score(field: list[Entry], round_: Round) -> None:
    rule(field[0], round_, hole="7")
    save(round_, 1, [line(field[0], [3, *[None] * 17])])
    assert total(field[0]) == 3

    save(round_, 1, [line(field[0])], base=1)

    assert total(field[0]) == 56


def test_a_penalty_in_the_written_score_counts_once(field: list[Entry], round_: Round) -> None:
    ruling = rule(field[0], round_)
    save(round_, 1, [line(field[0], [3] * 6 + [5] + [3] * 11)])
    assert total(field[0]) == 58

    say_in_card(ruling=ruling, in_card=True, actor=build.ACTOR, now=build.NOW)
    assert total(field[0]) == 56
    save(round_, 1, [line(field[0], [3] * 6 + [5] + [3] * 10 + [4])], base=1)
    assert total(field[0]) == 57

    say_in_card(ruling=ruling, in_card=None, actor=build.ACTOR, now=build.NOW)
    assert total(field[0]) == 59


def test_a_ruling_taken_back_counts_no_longer_and_stays_to_be_read(field: list[Entry], round_: Round) -> None:
    save(round_, 1, [line(field[0])])
    ruling = rule(field[0], round_)
    with pytest.raises(RulingRefused, match=whole("Write why it is taken back.")):
        take_back_ruling(ruling=ruling, reason=" ", actor=build.ACTOR, now=build.NOW)
    assert total(field[0]) == 56

    take_back_ruling(ruling=ruling, reason="another player", actor=build.ACTOR, now=build.NOW)

    assert total(field[0]) == 54
    save(round_, 1, [line(field[0], 4)], base=1)
    assert total(field[0]) == 72
    assert Ruling.objects.values_list("taken_back_reason", flat=True).get() == "another player"
    acts = Act.objects.filter(action__startswith="ruling").order_by("number")
    assert list(acts.values_list("action", "reason")) == [
        ("ruling.made", ""),
        ("ruling.changed", "another player"),
    ]


def test_a_ruling_on_the_round_counts_on_its_total(field: list[Entry], round_: Round) -> None:
    save(round_, 1, [line(field[0], additional=1, additional_reason="late")])

    rule(field[0], round_, hole="")

    (row,) = [row for row in standings(round_.event)[0].rows if row.entry_id == field[0].pk]
    assert (total(field[0]), row.rounds[0].additional) == (57, 3)
    assert row.rounds[0].additional_reason == "late; illegal disc thrown (Official Rules 2025, 813.01.G)"


def test_throws_are_taken_off_but_never_below_one_a_hole(field: list[Entry], round_: Round) -> None:
    save(round_, 1, [line(field[0])])
    with pytest.raises(
        RulingRefused, match=whole("Ludvik Moravec: -3 takes off more throws than are written.")
    ):
        rule(field[0], round_, throws=-3)
    assert (Ruling.objects.count(), total(field[0])) == (0, 54)

    rule(field[0], round_, throws=-2)

    assert total(field[0]) == 52
    with pytest.raises(
        CardRefused, match=whole("Ludvik Moravec: a ruling takes off more throws than are written.")
    ):
        save(round_, 1, [line(field[0], 2)], base=1)
    assert total(field[0]) == 52


def test_nothing_is_booked_twice_for_nothing_or_after_the_end(field: list[Entry], round_: Round) -> None:
    save(round_, 1, [line(field[0])])
    first = rule(field[0], round_, origin="disc call 1")
    assert rule(field[0], round_, origin="disc call 1") == first
    with pytest.raises(RulingRefused, match=whole("A ruling of 0 throws changes nothing.")):
        rule(field[0], round_, throws=0)
    Event.objects.update(over_at=build.NOW)
    for act in (
        lambda: rule(field[0], round_),
        lambda: say_in_card(ruling=first, in_card=True, actor=build.ACTOR, now=build.NOW),
        lambda: take_back_ruling(ruling=first, reason="x", actor=build.ACTOR, now=build.NOW),
    ):
        with pytest.raises(RulingRefused, match=whole("The event is over: cards stay as they are.")):
            act()
    assert (Ruling.objects.count(), total(field[0])) == (1, 56)


def test_a_version_that_is_taken_later_counts_the_rulings_of_now(field: list[Entry], round_: Round) -> None:
    save(round_, 1, [line(field[0])])
    other = save(round_, 1, [line(field[0], 4)])
    assert other.conflict
    rule(field[0], round_)

    resolve_difference(version=other.version, take=True, reason="", actor=build.ACTOR, now=build.NOW)

    assert total(field[0]) == 74


def test_a_player_who_is_moved_takes_the_ruling_along(field: list[Entry], round_: Round) -> None:
    rule(field[0], round_)
    publish(round_, [field[1:2], [field[0], *field[2:]]])

    save(round_, 2, [line(field[0])])

    assert total(field[0]) == 56


def test_standings_board_draw_and_ratings_count_what_counts(field: list[Entry], round_: Round) -> None:
    for number, group in ((1, field[:2]), (2, field[2:])):
        save(round_, number, [line(entry) for entry in group])
    rule(field[0], round_)
    event = round_.event

    rows = standings(event)[0].rows
    assert [(row.standing.name, row.standing.place) for row in rows] == [
        ("Niko Eskola", 1),
        ("Hale Oyelaran", 1),
        ("Dov Pennock", 1),
        ("Ludvik Moravec", 4),
    ]
    assert rows[-1].rounds[0].throws == (*[3] * 6, 5, *[3] * 11)
    assert (rows[-1].standing.place, rows[-1].rounds[0].result.total) == (4, 56)
    assert totals_before(event.rounds.get(number=2))[field[0].pk] == (56,)
    (pool,) = ratings_of(event)
    assert {player.name: player.score for player in pool.played}["Ludvik Moravec"] == 56
    kiosk = Client().get(f"/board/{event.slug}/").content.decode()
    assert re.findall('to-par">([^<]+)</td>', kiosk)[:4] == ["−6", "−6", "−6", "−4"]
    phone = Client().get(f"/board/{event.slug}/phone/").content.decode()
    assert re.findall('to-par">([^<]+)</span>', phone) == ["−6", "−6", "−6", "−4"]


def test_the_workbook_has_the_throws_on_their_hole(field: list[Entry], round_: Round) -> None:
    save(round_, 1, [line(field[0])])
    rule(field[0], round_)
    rule(field[0], round_, throws=1, hole="")

    content = make_workbook(event=round_.event, with_money=False, actor=build.ACTOR, now=build.NOW)

    sheet = load_workbook(io.BytesIO(content))["MA1"]
    heads = {cell.value: cell.column for cell in sheet[3]}
    (row,) = [cells for cells in sheet.iter_rows(min_row=5) if cells[1].value == "Ludvik Moravec"]
    figures = {head: row[column - 1].value for head, column in heads.items() if head}
    assert (figures["R1 6"], figures["R1 7"], figures["R1 8"], figures["R1 extra"]) == (3, 5, 3, 1)


def test_the_closing_page_notes_what_nobody_has_been_asked(field: list[Entry], round_: Round) -> None:
    def asked() -> list[str]:
        points = closing_of(round_.event, build.NOW).points
        return [point.text for point in points if point.kind is Kind.RULINGS]

    save(round_, 1, [line(field[0])])
    ruling = rule(field[0], round_)
    rule(field[1], round_, throws=-1, hole="")
    assert asked() == [
        "Round 1, Ludvik Moravec: +2 on hole 7 by ruling counts on top of the card; nobody has said whether the group"
        " wrote it already",
        "Round 1, Hale Oyelaran: −1 on the total by ruling counts on top of the card; nobody has said whether the"
        " group wrote it already",
    ]
    say_in_card(ruling=ruling, in_card=False, actor=build.ACTOR, now=build.NOW)
    take_back_ruling(ruling=Ruling.objects.latest("pk"), reason="x", actor=build.ACTOR, now=build.NOW)
    assert asked() == []


def text(answer: Any) -> str:
    return answer.content.decode()


def room(event: Event) -> str:
    return f"/desk/{event.slug}/cards/?round=1&group=1"


def test_the_card_asks_whether_the_written_score_has_it(
    field: list[Entry], round_: Round, client_as: SignIn
) -> None:
    save(round_, 1, [line(field[0])])
    ruling = rule(field[0], round_)
    client = client_as(Role.CARD_ROOM)
    page = client.get(room(round_.event)).content.decode()
    assert "<b>Ludvik Moravec, hole 7: +2</b> illegal disc thrown." in page
    assert "<b>Ludvik Moravec: 54 written, 56 counts.</b>" in page
    assert page.count("In the written score already?") == page.count('data-key="F6"') == 1

    address = f"/desk/quiet-pines/cards/1/1/rulings/{ruling.pk}/"
    answer = client.post(address, {"in_card": "yes"}, HTTP_HX_REQUEST="true")

    assert answer.status_code == 200
    part = answer.content.decode()
    assert ("in the written score already" in part, "54 written" in part) == (True, False)
    assert (total(field[0]), Ruling.objects.get().in_card) == (54, True)
    assert client.post(address, {"in_card": "no"})["Location"] == room(round_.event)
    assert total(field[0]) == 56


def test_a_verified_card_shows_what_was_added_and_what_counts(
    field: list[Entry], round_: Round, client_as: SignIn
) -> None:
    late = line(field[0], written_total=54, additional=2, additional_reason="late to the start")
    save(round_, 1, [late, line(field[1], written_total=54)])
    client = client_as(Role.CARD_ROOM)
    open_card = client.get(room(round_.event)).content.decode()
    assert (">added</th>" in open_card, ">counts</th>" in open_card) == (False, False)
    verify_card(round=round_, group_number=1, why="typed", actor=build.ACTOR, now=build.NOW)

    locked = client.get(room(round_.event)).content.decode()
    assert re.findall(r'<td class="total"(?: data-total)?>([^<]*)</td>', locked) == [
        "60", "+2", "56", "", "54"
    ]  # fmt: skip
    assert "<li>Ludvik Moravec: +2 on the total, late to the start.</li>" in locked
    assert ('data-added="2"' in locked, "differs" in locked) == (True, False)

    say_in_card(
        ruling=rule(field[0], round_, throws=1), in_card=False, actor=build.ACTOR, now=build.NOW
    )  # fmt: skip
    ruled = client.get(room(round_.event)).content.decode()
    assert re.findall(r'<td class="total"(?: data-total)?>([^<]*)</td>', ruled) == [
        "60", "+2", "56", "57", "", "54", "54"
    ]  # fmt: skip
    assert "<b>Ludvik Moravec: 54 on the holes and +2 additional written, 57 counts.</b>" in ruled


def test_a_ruling_taken_back_that_is_in_the_written_score_asks_for_the_card_to_be_mended(
    field: list[Entry], round_: Round, client_as: SignIn
) -> None:
    save(round_, 1, [line(field[0], [3] * 6 + [5] + [3] * 11)])
    ruling = rule(field[0], round_)
    say_in_card(ruling=ruling, in_card=True, actor=build.ACTOR, now=build.NOW)

    take_back_ruling(ruling=ruling, reason="another player", actor=build.ACTOR, now=build.NOW)

    assert total(field[0]) == 56  # what is written stands until somebody mends it
    page = client_as(Role.CARD_ROOM).get(room(round_.event)).content.decode()
    assert page.count("The written score was said to have it: if so, mend the card.") == 1


def test_the_groups_page_shows_what_counts(field: list[Entry], round_: Round) -> None:
    save(round_, 1, [line(entry) for entry in field[:2]])
    rule(field[0], round_)

    page = Client().get(group_path(round_, 1)).content.decode()

    assert page.count('<td class="num">5</td><td class="num">3</td></tr>') == 1
    assert "<b>Ludvik Moravec, hole 7: +2</b> illegal disc thrown." in page
    assert "56 throws" in page


def test_a_ruling_is_booked_by_hand_and_taken_back(
    field: list[Entry], round_: Round, client_as: SignIn
) -> None:
    save(round_, 1, [line(field[0])])
    client = client_as(Role.CARD_ROOM)
    address = "/desk/quiet-pines/cards/1/1/rulings/"
    said = {
        "entry": field[0].pk,
        "hole": "",
        "throws": "−2",
        "what": "disc found, not lost",
        "rule": "Official Rules 2025, 805.03",
        "caller": "the director",
        "alone": "1",
        "submission": "6f1c1c1e-0000-4000-8000-000000000001",
    }
    client.post(address, said)
    client.post(address, said)
    assert (total(field[0]), Ruling.objects.count()) == (52, 1)

    ruling = Ruling.objects.get()
    other_page = said | {"submission": "6f1c1c1e-0000-4000-8000-000000000002", "what": "Disc found"}
    answer = client.post(address, other_page, HTTP_HX_REQUEST="true")
    assert (answer.status_code, total(field[0])) == (422, 52)
    assert "Ludvik Moravec, the round total: the same ruling, disc found, not lost, stands since" in text(
        answer
    )
    assert 'name="twice"' in text(answer)
    client.post(address, other_page | {"twice": "1"})
    assert (total(field[0]), Ruling.objects.count()) == (50, 2)

    again = Ruling.objects.latest("pk")
    client.post(f"{address}{again.pk}/back/", {"reason": "once"})
    client.post(f"{address}{ruling.pk}/back/", {"reason": "found on another hole"})
    assert total(field[0]) == 54


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"throws": "two"}, "Write the throws as 2, or −2 to take some off; at most 30."),
        ({"throws": "0"}, "Write the throws as 2, or −2 to take some off; at most 30."),
        ({"entry": "0"}, "Choose the player."),
        ({"hole": "77"}, "This layout has no hole 77."),
        ({"what": ""}, "Write what was decided, and the rule it follows."),
        ({"caller": ""}, "Write who made the call."),
        ({"confirmer": ""}, "Write who confirmed the call, or tick that it needs nobody."),
        ({"rule": "r" * 201}, "“rrrrrrrrrrrrrrrrrrrr…” is longer than 200 letters."),
    ],
)
def test_what_cannot_be_booked_is_said_and_stays_typed(
    field: list[Entry], round_: Round, client_as: SignIn, change: dict[str, str], sentence: str
) -> None:
    said = {"entry": field[0].pk, "hole": "7", "throws": "2", "what": "courtesy", "rule": "812"}
    said |= {"caller": "Hale Oyelaran", "confirmer": "Dov Pennock", **change}

    answer = client_as(Role.CARD_ROOM).post(
        "/desk/quiet-pines/cards/1/1/rulings/", said, HTTP_HX_REQUEST="true"
    )

    assert (answer.status_code, Ruling.objects.count()) == (422, 0)
    page = answer.content.decode()
    assert (sentence in page, f'value="{said["throws"]}"' in page) == (True, True)


def test_a_ruling_of_a_call_goes_with_its_call(field: list[Entry], round_: Round, client_as: SignIn) -> None:
    ruling = rule(field[0], round_, origin="disc call 4")
    address = f"/desk/quiet-pines/cards/1/1/rulings/{ruling.pk}/back/"

    answer = client_as(Role.DIRECTOR).post(address, {"reason": "x"}, HTTP_HX_REQUEST="true")

    assert (answer.status_code, Ruling.objects.get().taken_back_at) == (422, None)
    assert "This ruling came from a call: take back the call." in answer.content.decode()


@pytest.mark.parametrize("role", [Role.DESK, Role.EQUIPMENT, Role.MARSHAL, Role.VIEWER])
def test_only_card_room_and_director_rule(
    field: list[Entry], round_: Round, client_as: SignIn, role: Role
) -> None:
    ruling = rule(field[0], round_)
    client = client_as(role)
    for part in ("", f"{ruling.pk}/", f"{ruling.pk}/back/"):
        assert client.post(f"/desk/quiet-pines/cards/1/1/rulings/{part}").status_code == 403
    page = client.get(room(round_.event)).content.decode()
    assert "not said whether the written score has it: it counts on top" in page
    assert "In the written score already?" not in page


def test_once_the_card_is_verified_only_the_director_rules(
    field: list[Entry], round_: Round, client_as: SignIn
) -> None:
    save(round_, 1, [line(entry) for entry in field[:2]])
    ruling = rule(field[0], round_)
    say_in_card(ruling=ruling, in_card=False, actor=build.ACTOR, now=build.NOW)
    verify_card(round=round_, group_number=1, why="typed", actor=build.ACTOR, now=build.NOW)
    address = "/desk/quiet-pines/cards/1/1/rulings/"
    said = {
        "entry": field[0].pk,
        "hole": "7",
        "throws": "-2",
        "what": "x",
        "rule": "x",
        "caller": "x",
        "alone": "1",
    }

    card_room = client_as(Role.CARD_ROOM)
    for part, facts in [
        ("", said),
        (f"{ruling.pk}/", {"in_card": "yes"}),
        (f"{ruling.pk}/back/", {"reason": "x"}),
    ]:
        answer = card_room.post(f"{address}{part}", facts, HTTP_HX_REQUEST="true")
        assert answer.status_code == 422
        assert "The card of group 1 is verified: only the director rules" in answer.content.decode()
    page = card_room.get(room(round_.event)).content.decode()
    assert ("Book a ruling" in page, "Only the director books one" in page) == (False, True)
    assert total(field[0]) == 56

    director = client_as(Role.DIRECTOR)
    answer = director.post(address, said, HTTP_HX_REQUEST="true")
    assert (answer.status_code, answer["HX-Refresh"]) == (200, "true")  # the grid says what counts
    assert total(field[0]) == 54
    page = director.get(room(round_.event)).content.decode()
    assert "called by x, own or official’s call" in page
    assert ("Book a ruling" in page, "Only the director books one" in page) == (True, False)


def test_a_card_is_not_verified_while_nobody_said_whether_it_has_a_ruling_already(
    field: list[Entry], round_: Round, client_as: SignIn
) -> None:
    """Locked with the question open, a ruling that the group wrote too would count twice for good."""
    save(round_, 1, [line(entry, written_total=54) for entry in field[:2]])
    ruling = rule(field[0], round_)
    client = client_as(Role.CARD_ROOM)

    page = client.get(room(round_.event)).content.decode()
    assert "say of the ruling above whether the written score has it already" in page
    assert "verify and lock the card" not in page
    assert [(each.number, each.why) for each in ready_cards(round_, cards_of(round_))] == [(1, "")]
    with pytest.raises(CardRefused, match=r"Ludvik Moravec, hole 7, \+2, illegal disc thrown\.$"):
        verify_card(round=round_, group_number=1, why="typed", actor=build.ACTOR, now=build.NOW)

    say_in_card(ruling=ruling, in_card=True, actor=build.ACTOR, now=build.NOW)

    assert "verify and lock the card" in client.get(room(round_.event)).content.decode()
    assert verify_card(round=round_, group_number=1, why="typed", actor=build.ACTOR, now=build.NOW).locked
