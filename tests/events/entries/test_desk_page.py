"""The check-in table as a page: with scripts and without, at two desks, for each role."""

import re

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

import build
from build import NOW
from events.draw.models import Sheet
from events.entries.models import Entry, Payment, Status
from events.entries.queries import round_without_seat
from events.log.models import Act
from events.setup.models import Role

pytestmark = pytest.mark.django_db
HTMX = {"HX-Request": "true"}


@pytest.fixture(autouse=True)
def _at_seven():
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def desk(client_as):
    return client_as(Role.DESK)


def url(event, name="desk", *args) -> str:
    return reverse(f"entries:{name}", args=[event.slug, *args])


def act(client, event, entry, what, **data):
    return client.post(url(event, "act", entry.pk, what), {"q": "hal", **data}, headers=HTMX)


def said(answer) -> str:
    """The line that tells what happened."""
    found = re.search(r'id="happened"[^>]*>\s*<span>(.*?)</span>', answer.content.decode(), re.DOTALL)
    return found.group(1)


def classes(answer) -> str:
    return re.search(r'class="happened([^"]*)" id="happened"', answer.content.decode()).group(1).strip()


def test_the_search_answers_rows_alone_to_htmx_and_a_page_without(event, desk):
    entry = build.make_entry(event)
    rows = desk.get(url(event), {"q": "hal"}, headers=HTMX).content.decode()
    page = desk.get(url(event), {"q": "hal"}).content.decode()
    assert rows.startswith('<div class="rows')
    assert 'data-q="hal"' in rows
    assert f'id="entry-{entry.pk}"' in rows
    assert page.count(rows.split("\n")[1].strip()[:40]) == 1
    assert "<!doctype html>" in page


def test_enter_checks_in_and_says_what_is_still_open(event, desk):
    entry = build.make_entry(event, conduct_signed_at=NOW)
    answer = act(desk, event, entry, "check-in")
    entry.refresh_from_db()
    assert (entry.checked_in_at, entry.checked_in_by) == (NOW, desk_name(event))
    assert (said(answer), classes(answer)) == (f"{entry.person.name} is checked in.", "success")
    other = build.make_entry(event)
    answer = act(desk, event, other, "check-in")
    assert said(answer) == f"{other.person.name} is checked in. Still open: conduct note to sign."
    assert classes(answer) == "warning"


def desk_name(event) -> str:
    user = event.staff.get(role=Role.DESK).user
    return user.get_full_name() or user.username


def test_the_second_desk_is_told_that_the_player_is_in(event, client_as):
    entry = build.make_entry(event, conduct_signed_at=NOW)
    act(client_as(Role.DIRECTOR), event, entry, "check-in")
    with time_machine.travel("2026-06-12T07:04:00+00:00", tick=False):
        answer = act(client_as(Role.DESK), event, entry, "check-in")
    assert said(answer).startswith(f"{entry.person.name} is in already, since 07:00, by user-director")
    assert Act.objects.filter(action="checkin.in").count() == 1


def test_a_player_who_has_not_paid_is_refused_until_the_money_is_taken(event, desk):
    entry = build.make_entry(event, status=Status.APPLIED, paid_elsewhere_cents=0, conduct_signed_at=NOW)
    answer = act(desk, event, entry, "check-in")
    assert said(answer) == f"{entry.person.name} cannot be checked in: the fee is not paid."
    assert classes(answer) == "error"
    answer = act(desk, event, entry, "cash", owed="4500")
    assert said(answer) == f"$45 taken from {entry.person.name}, cash."
    assert said(act(desk, event, entry, "check-in")) == f"{entry.person.name} is checked in."


def test_the_same_money_is_not_taken_twice(event, desk):
    entry = build.make_entry(event, paid_elsewhere_cents=0)
    act(desk, event, entry, "cash", owed="4500")
    answer = act(desk, event, entry, "cash", owed="4500")
    assert classes(answer) == "error"
    assert said(answer).endswith("owes nothing.")
    assert Payment.objects.count() == 1


def test_whoever_pays_when_all_places_are_taken_is_told_so(event, desk):
    event.divisions.filter(code="MA1").update(cap=0)
    entry = build.make_entry(event, status=Status.APPLIED, paid_elsewhere_cents=0)
    answer = act(desk, event, entry, "cash", owed="4500")
    assert said(answer) == f"$45 taken from {entry.person.name}, cash. Every place is taken: on the waitlist."


def test_another_amount_is_taken_another_way(event, desk):
    entry = build.make_entry(event, paid_elsewhere_cents=0, conduct_signed_at=NOW)
    line = desk.get(url(event), {"ask": "payment", "of": entry.pk}, headers=HTMX).content.decode()
    assert 'name="amount" value="45"' in line
    answer = act(desk, event, entry, "payment", owed="4500", amount="20", method="card")
    assert said(answer) == f"$20 taken from {entry.person.name}, card. Still open: $25 due."
    assert said(act(desk, event, entry, "payment", owed="2500", amount="much", method="card")) == (
        "Write an amount as 45 or 45.50."
    )


def test_pack_guardian_and_conduct_note(event, desk):
    entry = build.make_entry(event, pack="L")
    assert said(act(desk, event, entry, "pack")).startswith(f"{entry.person.name} has the pack, L.")
    assert said(act(desk, event, entry, "guardian", guardian=" Ada Morwen ")).startswith(
        "Ada Morwen accompanies"
    )
    assert said(act(desk, event, entry, "conduct")) == f"{entry.person.name} signed the conduct note."
    entry.refresh_from_db()
    assert (entry.pack_given_at, entry.guardian, entry.conduct_signed_at) == (NOW, "Ada Morwen", NOW)
    assert "Ada Morwen" not in str(list(Act.objects.values_list("detail", flat=True)))


def test_undo_takes_back_the_own_last_act_only(event, client_as):
    mine, theirs = build.make_entry(event), build.make_entry(event)
    one, two = client_as(Role.DESK), client_as(Role.DIRECTOR)
    for client in (one, two):
        client.get(url(event))
    act(one, event, mine, "check-in")
    act(two, event, theirs, "check-in")
    answer = one.post(url(event, "undo"), headers=HTMX)
    assert said(answer) == f"Undone: {mine.person.name}, checked in."
    mine.refresh_from_db()
    theirs.refresh_from_db()
    assert (mine.checked_in_at, theirs.checked_in_at) == (None, NOW)
    assert said(one.post(url(event, "undo"), headers=HTMX)) == "Nothing of yours is left to undo."


def test_two_sessions_of_one_account_undo_their_own(event):
    user = build.make_user(event, Role.DESK)
    clients, entries = [], [build.make_entry(event), build.make_entry(event)]
    for entry in entries:
        client = Client()
        client.force_login(user)
        client.get(url(event))
        act(client, event, entry, "check-in")
        clients.append(client)
    clients[0].post(url(event, "undo"), headers=HTMX)
    assert [bool(Entry.objects.get(pk=entry.pk).checked_in_at) for entry in entries] == [False, True]


def test_without_scripts_every_act_is_a_form_that_comes_back_to_the_search(event, desk):
    entry = build.make_entry(event)
    answer = desk.post(url(event, "act", entry.pk, "check-in"), {"q": "hal"}, follow=True)
    assert answer.redirect_chain == [(f"{url(event)}?q=hal", 302)]
    assert f"{entry.person.name} is checked in." in answer.content.decode()


def test_another_desk_is_told_by_the_next_question_and_by_nothing_while_nothing_happens(event, desk):
    entry = build.make_entry(event)
    act(desk, event, entry, "check-in")
    assert desk.get(url(event, "standing"), {"seen": "1", "q": "hal"}, headers=HTMX).status_code == 204
    answer = desk.get(url(event, "standing"), {"seen": "0", "q": "hal"}, headers=HTMX).content.decode()
    assert re.findall(r'<(?:div|section)[^>]* id="(\w+)"[^>]* hx-swap-oob="true"', answer) == [
        "found",
        "standing",
        "recent",
    ]
    assert "in 07:00" in answer


def test_the_panel_counts_what_is_open(event, desk):
    event.checkin_closes_at = NOW.replace(hour=8, minute=15)
    event.save()
    event.divisions.filter(code="MA1").update(cap=3)
    build.make_entry(event, checked_in_at=NOW, pack_given_at=NOW, conduct_signed_at=NOW)
    build.make_entry(event, paid_elsewhere_cents=4000)
    build.make_entry(event, person=build.make_person("Varga", birth_year=2018))
    build.make_entry(event, person=build.make_person("Quist"), status=Status.WAITLISTED)
    act(desk, event, build.make_entry(event, "FA1", paid_elsewhere_cents=0), "cash", owed="4500")
    page = desk.get(url(event)).content.decode()
    lines = dict(
        re.findall(r"<dt>(?:<a[^>]*>)?([^<]+)(?:</a>)?</dt><dd>([^<]+)</dd>", page.split('id="standing"')[1])
    )
    assert lines == {
        "waitlist, first: Quist": "1",
        "money due": "$5",
        "taken: cash": "$45",
        "juniors without a guardian": "1",
        "memberships to ask for": "0",
        "conduct notes to sign": "3",
        "packs given, left": "1, 3",
    }
    assert "<b>1</b><span>of 4</span>" in page
    assert "closes 08:15" in page


def test_after_the_closing_the_panel_leads_to_those_who_are_missing(event, desk):
    event.checkin_closes_at = NOW.replace(hour=6)
    event.save()
    build.make_entry(event)
    page = desk.get(url(event)).content.decode()
    assert f'<a href="{url(event, "missing")}">1 not in</a>' in page


@pytest.mark.parametrize("role", [Role.CARD_ROOM, Role.VIEWER])
def test_others_read_without_acts(event, client_as, role):
    entry = build.make_entry(event)
    client = client_as(role)
    page = client.get(url(event), {"q": "hal"}).content.decode()
    assert f'id="entry-{entry.pk}"' in page
    assert "check-in/" not in page
    assert client.post(url(event, "act", entry.pk, "check-in")).status_code == 403
    assert client.post(url(event, "undo")).status_code == 403


@pytest.mark.parametrize("what", ["nothing", "undo"])
def test_an_unknown_act_and_an_entry_of_another_event_are_not_found(event, desk, what):
    other = build.make_entry(build.make_event("elsewhere"))
    assert act(desk, event, build.make_entry(event), what).status_code == 404
    assert act(desk, event, other, "check-in").status_code == 404


@pytest.mark.parametrize("count", [1, 3])
def test_the_page_costs_its_queries(event, desk, count, django_assert_num_queries):
    for _ in range(count):
        build.make_entry(event)
    desk.get(url(event))  # the session gets its mark
    with django_assert_num_queries(17):
        answer = desk.get(url(event), {"q": "hal"})
    assert answer.content.decode().count("data-row") == count


@pytest.mark.parametrize("count", [1, 3])
def test_the_search_costs_its_queries(event, desk, count, django_assert_num_queries):
    for _ in range(count):
        build.make_entry(event)
    desk.get(url(event))
    with django_assert_num_queries(8):
        answer = desk.get(url(event), {"q": "hal"}, headers=HTMX)
    assert answer.content.decode().count("data-row") == count


@pytest.mark.parametrize("count", [1, 3])
def test_the_refreshing_costs_its_queries(event, desk, count, django_assert_num_queries):
    desk.get(url(event))
    for _ in range(count):
        act(desk, event, build.make_entry(event), "check-in")
    with django_assert_num_queries(5):
        assert desk.get(url(event, "standing"), {"seen": count}, headers=HTMX).status_code == 204
    with django_assert_num_queries(18):
        answer = desk.get(url(event, "standing"), {"seen": 0, "q": "hal"}, headers=HTMX)
    assert answer.content.decode().count("data-row") == count


def test_whoever_comes_after_the_sheet_is_out_is_told_to_the_director(event, client_as):
    entry = build.make_entry(event)
    assert round_without_seat(entry) is None
    Sheet.objects.create(
        round=event.rounds.get(number=1),
        version=1,
        state="published",
        method="random",
        seed="1",
        made_at=build.NOW,
    )
    assert round_without_seat(entry) == 1
    address = reverse("entries:act", args=[event.slug, entry.pk, "check-in"])
    page = client_as(Role.DESK).post(address, headers=HTMX).content.decode()
    assert "In no group of round 1, which is published: tell the director." in page
