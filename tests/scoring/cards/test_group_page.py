"""The page behind a card's QR code: open to whoever holds the card, and it tells nothing of anybody's address."""

from collections.abc import Callable
from datetime import timedelta

import pytest
import time_machine
from django.test import Client

import build
from build_cards import line, make_field, publish, save
from events.course.hazards import note_hazard
from events.safety.services import post_notice
from events.setup.models import Event, Round
from players.models import Contact
from scoring.cards.links import BadToken, GroupLink, group_path, group_token, read_token, scanned_token


@pytest.fixture
def round_(event: Event) -> Round:
    return event.rounds.get(number=1)


@pytest.mark.parametrize("players", [1, 3])
def test_anybody_with_the_address_sees_group_holes_and_scores(
    event: Event, round_: Round, client: Client, django_assert_num_queries: Callable, players: int
) -> None:
    hole = event.layouts.get().layout_holes.get(position=12)
    hole.note = "Creek on the left is out of bounds."
    hole.save()
    field = make_field(event, players)
    for entry in field:
        Contact.objects.create(person=entry.person, email="secret@example.org", phone="555 0100")
    publish(round_, [field], starts=(7,))
    save(round_, 1, [line(field[0], [None] * 6 + [3] * 12)])

    # 1 round and address, 1 end of the log, 8 the card, 3 cells, 2 confirmations, 1 hazards, 1 rulings, 1 position,
    # 1 messages, 1 descriptions of holes, 1 layout, 3 for the stop and what is told
    with django_assert_num_queries(24):
        page = client.get(group_path(round_, 1))

    html = page.content.decode()
    assert (page.status_code, html.count(">Creek on the left is out of bounds.<")) == (200, 1)
    assert [row.hole.label for row in page.context["rows"]][:2] == ["7", "8"]
    assert page.context["rows"][0].scores == (3, *[None] * (players - 1))
    assert "Ludvik Moravec" in html
    assert "187 m" in html
    for word in ("secret", "555 0100", field[0].code, str(field[0].person.member_number), "<form"):
        assert word not in html


def test_the_address_is_the_same_each_time_and_nobody_can_make_one(
    event: Event, round_: Round, client: Client
) -> None:
    publish(round_, [make_field(event, 1)])
    token = group_token(round_, 1)

    assert token == group_token(Round.objects.get(pk=round_.pk), 1)
    assert read_token(token) == GroupLink(event.pk, 1, 1)
    forged = token.replace(".1~", ".2~")
    for bad in (forged, "1.1.1", "1.1.1~", f"{token}x"):
        with pytest.raises(BadToken):
            read_token(bad)
        assert client.get(f"/group/{bad}/").status_code == 404
    assert client.post(group_path(round_, 1)).status_code == 405
    assert scanned_token(f"http://10.0.0.2:8000{group_path(round_, 1)}\n") == token


def test_a_group_that_a_later_sheet_dropped_says_so(event: Event, round_: Round, client: Client) -> None:
    field = make_field(event, 2)
    publish(round_, [[field[0]], [field[1]]])
    path = group_path(round_, 2)
    publish(round_, [field])

    page = client.get(path)

    assert page.status_code == 404
    assert "This group is not on the tee sheet of round 1 any more." in page.content.decode()


def test_two_players_of_one_name_stay_two(event: Event, round_: Round, client: Client) -> None:
    twins = [build.make_entry(event, person=build.make_person("Quist", "Ivo")) for _ in range(2)]
    publish(round_, [twins])
    save(round_, 1, [line(twins[0], 3), line(twins[1], 4)])

    page = client.get(group_path(round_, 1))

    assert [player.sum.total for player in page.context["state"].players] == [54, 72]


def test_the_groups_page_tells_of_notices_in_every_language(
    event: Event, round_: Round, client: Client
) -> None:
    publish(round_, [make_field(event, 2)])
    facts = {"event": event, "actor": build.ACTOR, "now": build.NOW, "until": None}
    spanish = {"es": {"title": "Avispas", "text": "Espere."}}
    post_notice(kind="hazard", title="Wasps", text="Hole 7.", in_other_words=spanish, **facts)
    with time_machine.travel(build.NOW, tick=False):
        html = client.get(group_path(round_, 1)).content.decode()
    assert "<b>Hazard: Wasps.</b> Hole 7." in html
    assert '<span class="other" lang="es"><b>Avispas.</b> Espere.</span>' in html
    assert "Local authorities and emergency services come first." in html


@pytest.mark.parametrize("count", [1, 3])
def test_the_groups_page_shows_the_hazards_of_its_holes_that_hold_now(
    event: Event, round_: Round, client: Client, django_assert_num_queries: Callable, count: int
) -> None:
    publish(round_, [make_field(event, 2)])
    holes = list(event.layouts.get().layout_holes.filter(position__in=(2, 5)))
    facts = {"risk_public": True, "severity": "life", "on_card": True}
    for number in range(count):
        here = {
            "what": f"Road {number}",
            "where": "right of the fairway",
            "control": "wait until it is clear",
        }
        note_hazard(event=event, facts=facts | here, holes=holes, actor=build.ACTOR, now=build.NOW)
    later = {"what": "Mowing", "valid_from": build.NOW + timedelta(minutes=5)}
    elsewhere = {"what": "Signs only", "on_card": False}
    everywhere = {"what": "Wasps", "severity": "minor", "valid_to": build.NOW + timedelta(minutes=30)}
    for more in (later, elsewhere, everywhere):
        note_hazard(event=event, facts=facts | more, holes=[], actor=build.ACTOR, now=build.NOW)

    with (
        time_machine.travel(build.NOW, tick=False),
        # as above with 2 more for the hazards
        django_assert_num_queries(27),
    ):
        page = client.get(group_path(round_, 1))

    rows = {
        row.hole.label: [note.what for note in row.hazards] for row in page.context["rows"] if row.hazards
    }
    names = [f"Road {number}" for number in range(count)]
    assert rows == {"2": names, "5": names}
    html = page.content.decode()
    said = "<b>Danger to life: Road 0.</b> Right of the fairway. Wait until it is clear."
    assert html.count(said) == 2
    assert '<b>Minor danger: Wasps.</b> <span class="soft">until 07:30</span>' in html
    assert (html.count("Mowing"), html.count("Signs only")) == (0, 0)
    # To read, and once more for the script.
    assert html.count("Local authorities, the land owner and the emergency services come first.") == 2
