"""Closing: what is open, who may declare the event over, and that it can be undone with a reason."""

from datetime import UTC, date, datetime, timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

import build
import build_cards
from build_report import play, verify
from events.entries.models import Entry, Status
from events.log import guard
from events.log.models import Act
from events.logistics.services import hand_in, was_taken
from events.safety.models import Completion
from events.setup.models import Event, Role
from events.setup.queries import rulebook_for
from scoring.cards.live import Saying, enter_holes
from scoring.cards.models import GroupMessage
from scoring.cards.rulings import make_ruling
from scoring.cards.services import CardRefused
from scoring.report.checklist import AREAS, Kind, Room
from scoring.report.queries import Closing, closing_of, dues_of
from scoring.report.services import ClosingRefused, close_event, reopen_event
from scoring.standings.cut_setting import set_cut


def close(event: Event, reason: str = "") -> Event:
    return close_event(event=event, reason=reason, actor=build.ACTOR, now=build.NOW)


def texts(closing: Closing, kind: Kind) -> list[str]:
    return [point.text for point in closing.points if point.kind is kind]


def looked(event: Event) -> Closing:
    return closing_of(event, build.NOW)


def test_nothing_is_missing_when_every_card_is_in_and_verified(event: Event) -> None:
    play(event, build_cards.make_field(event, 2))
    verify(event)
    closing = looked(event)
    assert (closing.missing, closing.complete, closing.expected) == ((), 4, 4)


def test_each_missing_card_is_named_with_its_place(event: Event) -> None:
    one, two, three, four = build_cards.make_field(event, 4)
    round_ = event.rounds.get(number=1)
    build_cards.publish(round_, [[one], [two, three]])
    build_cards.save(round_, 1, [build_cards.line(one, 3)])
    build_cards.save(round_, 2, [build_cards.line(two, [3, *[None] * 17]), build_cards.line(three, 3)])
    assert texts(looked(event), Kind.CARDS) == [
        "Round 2: no tee sheet is published",
        "Round 1, group 2: card not in for Hale Oyelaran",
        "Round 1: in no group and without a card: Niko Eskola",
        "Round 1: not verified: cards 1, 2",
    ]
    round_.cards.filter(group_number=2).update(returned_at=build.NOW)
    assert texts(looked(event), Kind.CARDS)[1] == "Round 1, group 2: card not complete for Hale Oyelaran"
    assert four.status == Status.CONFIRMED


def test_cards_that_nobody_verified_are_named_by_round(event: Event) -> None:
    play(event, build_cards.make_field(event, 2))
    event.rounds.get(number=1).cards.update(verified_at=build.NOW)
    (point,) = looked(event).missing
    assert (point.text, point.room, point.round, point.group) == (
        "Round 2: not verified: card 1",
        Room.CARDS,
        2,
        1,
    )


def test_a_card_that_differs_is_missing_its_decision(event: Event) -> None:
    (one,) = build_cards.make_field(event, 1)
    play(event, [one])
    build_cards.save(event.rounds.get(number=1), 1, [build_cards.line(one, 4)], base=0)
    verify(event)
    assert texts(looked(event), Kind.CARDS) == ["Round 1, group 1: two cards differ, to be decided"]


def test_a_phone_that_says_otherwise_than_the_typed_card_is_missing_a_decision(event: Event) -> None:
    (one,) = build_cards.make_field(event, 1)
    play(event, [one])
    enter_holes(
        round=event.rounds.get(number=2),
        group_number=1,
        device_key=uuid4(),
        device_name="",
        sayings=[Saying(uuid4(), 1, one.pk, "7", 4)],
        actor=build.ACTOR,
        now=build.NOW,
    )
    verify(event)
    (point,) = looked(event).missing
    assert (point.text, point.round, point.group) == (
        "Round 2, group 1: two figures for Ludvik Moravec on hole 7, to be decided",
        2,
        1,
    )


def test_a_card_on_which_nothing_counts_is_not_asked_for(event: Event) -> None:
    """Neither of a round that a stop left out for this division, nor of a player who did not make a cut."""
    mine, other = build_cards.make_field(event, 1), build.make_entry(event, "FA1")
    for round_ in event.rounds.order_by("number"):
        build_cards.publish(round_, [mine, [other]])
        build_cards.save(round_, 1, [build_cards.line(mine[0], 3)])
        build_cards.save(round_, 2, [build_cards.line(other, 3)])
    second = event.rounds.get(number=2)
    build_cards.save(second, 2, [build_cards.line(other, 4)])
    assert "Round 2: not verified: cards 1, 2" in texts(looked(event), Kind.CARDS)
    Completion.objects.create(
        event=event, round=second, division=other.division, option="last_round", reason="dark", approval="x",
        at=build.NOW, by="x",
    )  # fmt: skip
    assert texts(looked(event), Kind.CARDS) == [
        "Round 1: not verified: cards 1, 2",
        "Round 2: not verified: card 1",
    ]


def test_a_card_of_somebody_who_missed_the_cut_is_not_asked_for(event: Event) -> None:
    one, two = build_cards.make_field(event, 2)
    division = event.divisions.get(code="MA1")
    facts: dict[str, Any] = {"actor": build.ACTOR, "now": build.NOW}
    set_cut(division=division, after_round=1, players=1, percent=None, ties="all", reason="late", **facts)
    for round_ in event.rounds.order_by("number"):
        build_cards.publish(round_, [[one], [two]])
        build_cards.save(round_, 1, [build_cards.line(one, 3)])
        build_cards.save(round_, 2, [build_cards.line(two, 4)])
    assert texts(looked(event), Kind.CARDS) == [
        "Round 1: not verified: cards 1, 2",
        "Round 2: not verified: card 1",
    ]


@pytest.mark.parametrize("status", [Status.WITHDRAWN, Status.DID_NOT_FINISH, Status.DISQUALIFIED])
def test_who_left_owes_no_card(event: Event, status: Status) -> None:
    one, two = build_cards.make_field(event, 2)
    play(event, [one])
    verify(event)
    two.status, two.left_reason = status, "a reason"
    two.save()
    assert looked(event).missing == ()


def test_a_tie_for_first_place_waits_for_a_playoff(event: Event) -> None:
    """Competition Manual 2025, 1.09.B."""
    one, two = build_cards.make_field(event, 2)
    for round_ in event.rounds.all():
        build_cards.publish(round_, [[one, two]])
        build_cards.save(round_, 1, [build_cards.line(one, 3), build_cards.line(two, 3)])
    verify(event)
    (point,) = looked(event).missing
    assert (point.kind, point.room) == (Kind.TIES, Room.PLAYOFFS)
    assert "are tied for first place; a playoff decides (1.09.B)" in point.text


def test_a_ruling_of_which_nobody_knows_whether_it_is_in_the_card(event: Event) -> None:
    (one,) = build_cards.make_field(event, 1)
    play(event, [one])
    make_ruling(
        entry=one,
        round=event.rounds.get(number=1),
        hole_label="7",
        throws=1,
        rule="Official Rules 2025, 802.03",
        what="excessive time",
        caller="Hale Oyelaran",
        confirmer="Dov Pennock",
        origin="by hand 1",
        actor=build.ACTOR,
        now=build.NOW,
    )
    verify(event)
    assert texts(looked(event), Kind.RULINGS) == [
        "Round 1, Ludvik Moravec: +1 on hole 7 by ruling counts on top of the card; nobody has said whether the group"
        " wrote it already"
    ]


def test_a_question_of_a_group_waits_for_an_answer(event: Event) -> None:
    play(event, build_cards.make_field(event, 1))
    verify(event)
    card = event.rounds.get(number=1).cards.get()
    GroupMessage.objects.create(card=card, kind="ruling", text="in or out?", key=uuid4(), at=build.NOW)
    (point,) = looked(event).missing
    assert (point.text, point.group) == ("Round 1, group 1 asks for a ruling: in or out?", 1)
    GroupMessage.objects.update(answered_at=build.NOW, answer="out")
    assert looked(event).missing == ()


def test_a_lost_disc_that_was_taken_waits_for_its_card(event: Event) -> None:
    """Official Rules 2025, 805.03: two throws come off before the event ends."""
    (one,) = build_cards.make_field(event, 1)
    play(event, [one])
    verify(event)
    facts = {"hole_label": "7", "round": event.rounds.get(number=1), "found_by": ""}
    thing = hand_in(event=event, what="disc", written="", **facts, actor=build.ACTOR, now=build.NOW)
    assert texts(looked(event), Kind.FOUND) == ["Nobody has collected no. 1, disc, hole 7."]
    was_taken(thing=thing, entry=one, actor=build.ACTOR, now=build.NOW)
    (point,) = looked(event).missing
    assert (point.kind, point.room) == (Kind.RULINGS, Room.FOUND)


def test_a_gap_in_the_log_is_found(event: Event) -> None:
    play(event, build_cards.make_field(event, 1))
    verify(event)
    guard.lift(connection)
    Act.objects.filter(number=1).update(reason="another")
    guard.install(connection)
    (point,) = looked(event).missing
    assert (point.text, point.room) == ("Row 1 was altered", Room.LOG)


def test_every_area_is_on_one_of_the_two_lists(event: Event) -> None:
    closing = looked(event)
    assert [line.area for line in (*closing.before, *closing.after)] == list(AREAS)
    assert {area.kind for area in AREAS} == set(Kind)


@pytest.mark.parametrize(("tier", "hours", "days"), [("A", 48, 30), ("B", 72, 30), ("C", 168, 30)])
def test_report_and_fees_are_due_by_the_tier(event: Event, tier: str, hours: int, days: int) -> None:
    """Competition Manual 2025, 5.05, tier table: report 48 h, 72 h, one week; fees 30 days."""
    event.tier = tier
    event.over_at = datetime(2026, 6, 13, 17, 0, tzinfo=UTC)
    _, report, fees = dues_of(event, rulebook_for(event), event.over_at + timedelta(hours=hours))
    assert (report.at, report.late) == (event.over_at + timedelta(hours=hours), False)
    assert (fees.on, fees.late) == (date(2026, 6, 13) + timedelta(days=days), False)
    later = event.over_at + timedelta(days=days, hours=23)
    assert [due.late for due in dues_of(event, rulebook_for(event), later)] == [False, True, True]


def test_before_the_event_is_over_the_report_is_counted_from_its_last_day(event: Event) -> None:
    report = dues_of(event, rulebook_for(event), build.NOW)[1]
    assert report.at == datetime(2026, 6, 14, tzinfo=UTC) + timedelta(hours=168)


def test_a_complete_event_is_closed_without_a_reason_and_takes_no_card_any_more(event: Event) -> None:
    (one,) = build_cards.make_field(event, 1)
    play(event, [one])
    verify(event)
    assert close(event).over_at == build.NOW
    act = Act.objects.order_by("number").last()
    assert act is not None
    assert (act.action, act.detail, act.reason) == ("event.closed", {}, "")
    with pytest.raises(CardRefused):
        build_cards.save(event.rounds.get(number=1), 1, [build_cards.line(one, 4)], base=1)


def test_with_something_missing_a_reason_is_needed_and_kept(event: Event) -> None:
    build_cards.publish(event.rounds.get(number=1), [build_cards.make_field(event, 1)])
    with pytest.raises(ClosingRefused, match="say why"):
        close(event, "  ")
    close(event, "round 2 was cancelled")
    act = Act.objects.get()
    assert act.reason == "round 2 was cancelled"
    assert act.detail == {
        "missing": [
            "Round 2: no tee sheet is published",
            "Round 1, group 1: card not in for Ludvik Moravec",
            "Round 1: not verified: card 1",
        ]
    }


def test_an_event_is_closed_once_and_opened_with_a_reason(event: Event) -> None:
    close(event, "a reason")
    with pytest.raises(ClosingRefused, match="over already"):
        close(event, "a reason")
    with pytest.raises(ClosingRefused, match="Say why"):
        reopen_event(event=event, reason=" ", actor=build.ACTOR, now=build.NOW)
    again = reopen_event(event=event, reason="wrong event", actor=build.ACTOR, now=build.NOW)
    assert again.over_at is None
    with pytest.raises(ClosingRefused, match="not over"):
        reopen_event(event=event, reason="x", actor=build.ACTOR, now=build.NOW)
    acts = list(Act.objects.order_by("number").values_list("action", "reason"))
    assert acts == [("event.closed", "a reason"), ("event.changed", "wrong event")]


def post(event: Event, client: Any, name: str, **data: str) -> Any:
    return client.post(reverse(f"report:{name}", args=[event.slug]), data)


def test_the_page_leads_to_the_missing_card(event: Event, client_as: Any) -> None:
    build_cards.publish(event.rounds.get(number=1), [build_cards.make_field(event, 1)])
    page = client_as(Role.VIEWER).get(reverse("report:close", args=[event.slug])).content.decode()
    assert f'href="/desk/{event.slug}/cards/?round=1&amp;group=1"' in page
    assert "Declare it over" not in page


@pytest.mark.usefixtures("event")
def test_every_room_that_a_point_leads_to_is_there(event: Event, client_as: Any) -> None:
    client = client_as(Role.DIRECTOR)
    for room in Room:
        assert client.get(f"{reverse('day', args=[event.slug])}{room}/").status_code == 200, room


def test_the_money_of_the_event_is_told_to_the_director_only(event: Event, client_as: Any) -> None:
    entry = build.make_entry(event, paid_elsewhere_cents=0)
    told = {
        role: client_as(role).get(reverse("report:close", args=[event.slug])).content.decode()
        for role in (Role.DIRECTOR, Role.VIEWER)
    }
    owing = f"is still owed by {entry.person.name}"
    assert owing in told[Role.DIRECTOR]
    assert owing not in told[Role.VIEWER]
    assert "open for the director" in told[Role.VIEWER]


def test_the_director_closes_and_opens_on_the_page(event: Event, client_as: Any) -> None:
    client = client_as(Role.DIRECTOR)
    refused = post(event, client, "over")
    assert refused.status_code == 422
    assert "Something is missing" in refused.content.decode()
    assert post(event, client, "over", reason="rain").status_code == 302
    page = client.get(reverse("report:close", args=[event.slug])).content.decode()
    assert "The event is over" in page
    assert post(event, client, "again").status_code == 422
    assert post(event, client, "again", reason="sun").status_code == 302
    event.refresh_from_db()
    assert event.over_at is None


def test_the_workbook_is_taken_by_post(event: Event, client_as: Any) -> None:
    client = client_as(Role.CARD_ROOM)
    address = reverse("report:workbook", args=[event.slug])
    assert client.get(address).status_code == 405
    answer = client.post(address)
    assert answer["Content-Disposition"] == 'attachment; filename="quiet-pines-results.xlsx"'
    assert answer.content[:2] == b"PK"
    act = Act.objects.get(action="report.made")
    assert act.detail["money"] is False


@pytest.mark.parametrize("name", ["over", "again", "workbook"])
@pytest.mark.parametrize("role", [Role.MARSHAL, Role.VIEWER, Role.EQUIPMENT])
def test_others_only_look(event: Event, client_as: Any, name: str, role: Role) -> None:
    client = client_as(role)
    assert post(event, client, name, reason="x").status_code == 403
    assert client.get(reverse("report:close", args=[event.slug])).status_code == 200


def test_the_page_takes_the_same_queries_for_any_field(client_as: Any) -> None:
    """Every room reads for itself and counts its own queries in its own tests; here only the field may not matter."""
    counted = []
    for players in (1, 3):
        event = build.make_event(f"field-of-{players}")
        entries: list[Entry] = build_cards.make_field(event, players)
        build_cards.publish(event.rounds.get(number=1), [[entry] for entry in entries])
        with CaptureQueriesContext(connection) as queries:
            looked(event)
        counted.append(len(queries))
    assert counted[0] == counted[1]
