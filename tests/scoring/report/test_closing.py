"""Closing: what is missing, who may declare the event over, and that it can be undone with a reason."""

from typing import Any

import pytest
from django.urls import reverse

import build
import build_cards
from events.entries.models import Entry, Status
from events.log.models import Act
from events.setup.models import Event, Role
from scoring.cards.services import CardRefused
from scoring.report.queries import Missing, closing_of
from scoring.report.services import ClosingRefused, close_event, reopen_event


def play_all(event: Event, entries: list[Entry]) -> None:
    for round_ in event.rounds.order_by("number"):
        build_cards.publish(round_, [entries])
        build_cards.save(round_, 1, [build_cards.line(entry, 3 + at) for at, entry in enumerate(entries)])


def close(event: Event, reason: str = "") -> Event:
    return close_event(event=event, reason=reason, actor=build.ACTOR, now=build.NOW)


def test_nothing_is_missing_when_every_card_is_in(event: Event) -> None:
    play_all(event, build_cards.make_field(event, 2))
    closing = closing_of(event)
    assert (closing.missing, closing.notes, closing.complete, closing.expected) == ((), (), 4, 4)


def test_each_missing_thing_is_named_with_its_card(event: Event) -> None:
    one, two, three, four = build_cards.make_field(event, 4)
    round_ = event.rounds.get(number=1)
    build_cards.publish(round_, [[one], [two, three]])
    build_cards.save(round_, 1, [build_cards.line(one, 3)])
    build_cards.save(round_, 2, [build_cards.line(two, [3, *[None] * 17]), build_cards.line(three, 3)])
    assert closing_of(event).missing == (
        Missing("Round 2: no tee sheet is published", 2),
        Missing("Round 1, group 2: card not in for Hale Oyelaran", 1, 2),
        Missing("Round 1: in no group and without a card: Niko Eskola"),
    )
    round_.cards.filter(group_number=2).update(returned_at=build.NOW)
    assert closing_of(event).missing[1].text == "Round 1, group 2: card not complete for Hale Oyelaran"
    assert four.status == Status.CONFIRMED


def test_a_card_that_differs_is_missing_its_decision(event: Event) -> None:
    (one,) = build_cards.make_field(event, 1)
    play_all(event, [one])
    build_cards.save(event.rounds.get(number=1), 1, [build_cards.line(one, 4)], base=0)
    assert closing_of(event).missing == (Missing("Round 1, group 1: two cards differ, to be decided", 1, 1),)


@pytest.mark.parametrize("status", [Status.WITHDRAWN, Status.DID_NOT_FINISH, Status.DISQUALIFIED])
def test_who_left_owes_no_card(event: Event, status: Status) -> None:
    one, two = build_cards.make_field(event, 2)
    play_all(event, [one])
    two.status, two.left_reason = status, "a reason"
    two.save()
    assert closing_of(event).missing == ()


def test_a_tie_for_first_place_is_noted(event: Event) -> None:
    one, two = build_cards.make_field(event, 2)
    for round_ in event.rounds.all():
        build_cards.publish(round_, [[one, two]])
        build_cards.save(round_, 1, [build_cards.line(one, 3), build_cards.line(two, 3)])
    assert closing_of(event).notes == (
        "MA1: Ludvik Moravec, Hale Oyelaran are tied for first place; a playoff decides (1.09.B).",
    )


def test_a_complete_event_is_closed_without_a_reason_and_takes_no_card_any_more(event: Event) -> None:
    (one,) = build_cards.make_field(event, 1)
    play_all(event, [one])
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


@pytest.mark.parametrize("name", ["over", "again", "workbook"])
@pytest.mark.parametrize("role", [Role.MARSHAL, Role.VIEWER, Role.EQUIPMENT])
def test_others_only_look(event: Event, client_as: Any, name: str, role: Role) -> None:
    client = client_as(role)
    assert post(event, client, name, reason="x").status_code == 403
    assert client.get(reverse("report:close", args=[event.slug])).status_code == 200


@pytest.mark.parametrize("players", [1, 3])
def test_the_page_takes_the_same_queries(
    event: Event, client_as: Any, django_assert_num_queries: Any, players: int
) -> None:
    build_cards.publish(
        event.rounds.get(number=1), [[entry] for entry in build_cards.make_field(event, players)]
    )
    client = client_as(Role.VIEWER)
    # session, account, event, role; 9 of the standings, the cards that differ
    with django_assert_num_queries(16):
        client.get(reverse("report:close", args=[event.slug]))
