"""An entry by hand: who is known, what the rules say, what is paid, all in one go."""

import re

import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.urls import reverse

import build
from build import ACTOR, NOW
from events.entries.by_hand import NumberTaken, enter_by_hand, known_people
from events.entries.models import Entry, Payment, Status
from events.entries.services import AlreadyEntered, EntryRefused, NotEligible, money_of
from events.setup.models import Role
from players.models import Person

pytestmark = pytest.mark.django_db
SOMEBODY = {"given_name": "Ivo", "family_name": "Quist", "birth_year": 1990, "playing_class": "am"}


@pytest.fixture(autouse=True)
def _at_seven():
    with time_machine.travel(NOW, tick=False):
        yield


def enter(event, division="MA1", **facts):
    facts = {
        "event": event,
        "person": None,
        "facts": SOMEBODY,
        "division": event.divisions.get(code=division),
        "amount_cents": None,
        "method": Payment.Method.CASH,
        "actor": ACTOR,
        "now": NOW,
        **facts,
    }
    return enter_by_hand(**facts)


def test_somebody_new_pays_the_whole_fee_and_is_in(event):
    entry = enter(event)
    assert (entry.person.name, entry.status, money_of(entry).owed) == ("Ivo Quist", Status.CONFIRMED, 0)
    assert entry.payments.get().amount_cents == 4500


@pytest.mark.parametrize(
    ("amount", "method", "owed", "status"),
    [(2000, Payment.Method.CARD, 2500, Status.APPLIED), (None, None, 4500, Status.APPLIED)],
)
def test_whoever_pays_a_part_or_nothing_is_applied(event, amount, method, owed, status):
    entry = enter(event, amount_cents=amount, method=method)
    assert (money_of(entry).owed, entry.status) == (owed, status)


def test_somebody_known_keeps_what_is_left_empty(event):
    person = build.make_person("Quist", "Ivo", birth_year=1970, playing_class="pro")
    facts = {**SOMEBODY, "birth_year": None, "playing_class": "unknown", "rating": 950}
    entry = enter(event, "MA1", person=person, facts=facts, exception="the governing body, 3 May")
    person.refresh_from_db()
    assert (entry.person, person.birth_year, person.playing_class, person.rating) == (
        person,
        1970,
        "pro",
        950,
    )


def test_the_number_of_somebody_known_is_no_new_person(event):
    person = build.make_person("Quist", "Ivo", member_number=500)
    with pytest.raises(NumberTaken, match="Member 500 is Ivo Quist: choose that person"):
        enter(event, facts={**SOMEBODY, "member_number": 500})
    assert list(Person.objects.all()) == [person]


def test_what_is_refused_leaves_nobody_behind(event):
    with pytest.raises(NotEligible):
        enter(event, "FA1", facts={**SOMEBODY, "may_enter_f": False})
    with pytest.raises(EntryRefused, match="no more is taken"):
        enter(event, amount_cents=5000)
    with pytest.raises(ValidationError):
        enter(event, facts={**SOMEBODY, "rating": 5000})
    assert not Person.objects.exists()


def test_nobody_is_entered_twice(event):
    entry = enter(event)
    with pytest.raises(AlreadyEntered):
        enter(event, person=entry.person)


@pytest.mark.parametrize("count", [1, 3])
def test_known_people_cost_one_query_and_say_who_is_entered(event, count, django_assert_num_queries):
    build.make_entry(event, person=build.make_person("Quist", "Ada"))
    for number in range(count):
        build.make_person("Quist", f"B{number}")
    with django_assert_num_queries(1):
        found = [(person.given_name, person.entered) for person in known_people(event, "qui")]
    assert found == [("Ada", True), *((f"B{number}", False) for number in range(count))]


# --- The page ---------------------------------------------------------------------------------------------


def url(event, name="new") -> str:
    return reverse(f"entries:{name}", args=[event.slug])


def form(event, code="MA1", **facts) -> dict[str, object]:
    return {**SOMEBODY, "division": event.divisions.get(code=code).pk, "method": "cash", **facts}


def test_enter_and_check_in_leads_to_the_table_with_the_new_player(event, client_as):
    answer = client_as(Role.DESK).post(url(event), form(event, check_in=""))
    entry = Entry.objects.get()
    assert answer.headers["Location"] == f"{url(event, 'desk')}?q={entry.code}"
    assert (entry.checked_in_at, entry.payments.get().method) == (NOW, "cash")


def test_enter_only_does_not_check_in(event, client_as):
    client_as(Role.DESK).post(url(event), form(event, enter=""))
    assert Entry.objects.get().checked_in_at is None


def test_whoever_waits_is_told_so_and_not_checked_in(event, client_as):
    event.divisions.filter(code="MA1").update(cap=0)
    page = client_as(Role.DESK).post(url(event), form(event, check_in=""), follow=True).content.decode()
    assert "Ivo Quist is on the waitlist of MA1, no. 1: $45 taken, not checked in." in page
    assert Entry.objects.get().checked_in_at is None


def test_a_refused_division_comes_back_with_the_reason_and_takes_an_approval(event, client_as):
    client = client_as(Role.DESK)
    sent = form(event, "FA1", may_enter_f="no")
    answer = client.post(url(event), sent)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "is for players who may enter F divisions." in page
    assert 'value="Quist"' in page
    client.post(url(event), {**sent, "exception": "the governing body, 3 May"})
    assert Entry.objects.get().exception == "the governing body, 3 May"


@pytest.mark.parametrize(
    ("facts", "message"),
    [
        ({"family_name": ""}, "This field is required."),
        ({"family_name": "Q" * 61}, "This holds 60 letters, and 61 are written: write it shorter."),
        ({"division": ""}, "Choose the division."),
        ({"rating": "5000"}, "Ensure this value is less than or equal to 1200."),
        ({"amount": "1,250"}, "Write an amount as 45 or 45.50."),
        ({"amount": "50"}, "owes $45: no more is taken."),
        ({"member_number": "500"}, "Member 500 is Ada Quist: choose that person."),
    ],
)
def test_what_is_wrong_is_said_and_nobody_is_entered(event, client_as, facts, message):
    build.make_person("Quist", "Ada", member_number=500)
    answer = client_as(Role.DESK).post(url(event), form(event, **facts))
    assert answer.status_code == 422
    assert message in answer.content.decode()
    assert not Entry.objects.exists()


def test_a_known_person_fills_the_form(event, client_as):
    person = build.make_person("Quist", "Ada", member_number=500, may_enter_f=True)
    asked = {"person": person.pk, "q": "ada qui"}
    page = client_as(Role.DESK).get(url(event), asked).content.decode()
    assert re.findall(r'name="(\w+)" value="([^"]*)"', page.split('id="by-hand"')[1])[1:7] == [
        ("person", str(person.pk)),
        ("sought", "ada qui"),
        ("given_name", "Ada"),
        ("family_name", "Quist"),
        ("member_number", "500"),
        ("birth_year", "1990"),
    ]


@pytest.mark.parametrize("q", ["", "ivo", "501", "a"])
def test_nobody_is_shown_whom_the_search_does_not_offer(event, client_as, q):
    """Numbers in the address are walked easily, and people of other events are nobody's business here."""
    person = build.make_person("Quist", "Ada", member_number=500, birth_year=1971)
    client = client_as(Role.DESK)
    pages = [
        client.get(url(event), {"person": person.pk, "q": q}),
        client.get(url(event, "look"), {"person": person.pk, "sought": q}),
        client.post(url(event), form(event, person=person.pk, sought=q)),
    ]
    shown = [
        text for page in pages for text in ("Ada", "Quist, 500", "1971") if text in page.content.decode()
    ]
    assert (shown, Entry.objects.count()) == ([], 0)
    assert "Look for that person again" in pages[2].content.decode()


def test_somebody_offered_is_entered_also_under_a_mended_name(event, client_as):
    person = build.make_person("Qvist", "Ada", member_number=500)
    sent = form(event, given_name="Ada", family_name="Quist", person=person.pk, sought="500")
    assert client_as(Role.DESK).post(url(event), sent).status_code == 302
    assert Entry.objects.get().person == person
    assert Person.objects.get().family_name == "Quist"


@pytest.mark.parametrize("number", ["²", "9" * 20, "9" * 5000, "-1", "x", "99"])
def test_a_number_that_is_nobody_is_nobody(event, client_as, number):
    client = client_as(Role.DESK)
    assert client.get(url(event), {"person": number, "q": "qui"}).status_code == 200
    assert client.get(url(event, "look"), {"person": number, "sought": "qui"}).status_code == 200
    answer = client.post(url(event), form(event, person=number, sought="qui"))
    assert (answer.status_code, answer.content.decode().count('name="person"')) == (422, 0)


@pytest.mark.parametrize(
    ("q", "values"),
    [("500", ["", "", "500"]), ("ivo quist", ["Ivo", "Quist", ""]), ("quist", ["", "Quist", ""])],
)
def test_what_was_searched_for_is_in_the_form(event, client_as, q, values):
    page = client_as(Role.DESK).get(url(event), {"q": q}).content.decode()
    found = {
        name: re.search(rf'<input[^>]*name="{name}"(?: value="([^"]*)")?', page).group(1) or ""
        for name in ("given_name", "family_name", "member_number")
    }
    assert list(found.values()) == values


def test_while_it_is_typed_known_people_and_the_rules_are_shown(event, client_as):
    known = build.make_person("Quist", "Ada")
    build.make_entry(event, person=build.make_person("Quist", "Ivo"))
    client = client_as(Role.DESK)
    asked = {"family_name": "Qui", "division": event.divisions.get(code="FA1").pk, "may_enter_f": "no"}
    page = client.get(url(event, "look"), asked).content.decode()
    assert f'href="{url(event)}?person={known.pk}&amp;q=Qui"' in page
    assert '<span class="needs">entered</span>' in page
    assert "FA1 · $45" in page
    assert "Not open to this player." in page
    assert re.findall(r'<b class="division">(\w+)</b>', page) == ["MA1"]


@pytest.mark.parametrize("role", [Role.VIEWER, Role.CARD_ROOM])
def test_only_desk_and_director_enter(event, client_as, role):
    assert client_as(role).get(url(event)).status_code == 403


@pytest.mark.parametrize("count", [1, 3])
def test_the_look_costs_its_queries(event, client_as, count, django_assert_num_queries):
    for number in range(count):
        build.make_person("Quist", f"B{number}")
    client = client_as(Role.DESK)
    asked = {"family_name": "qui", "division": event.divisions.get(code="MA1").pk}
    with django_assert_num_queries(11):
        page = client.get(url(event, "look"), asked).content.decode()
    assert page.count("?person=") == count


def test_a_full_division_is_said_before_money_is_taken(event, client_as):
    event.divisions.filter(code="MA1").update(cap=1)
    build.make_entry(event, "MA1")
    build.make_entry(event, "MA1", status="waitlisted")
    asked = {"division": event.divisions.get(code="MA1").pk}
    page = client_as(Role.DESK).get(url(event, "look"), asked).content.decode()
    assert "Full: would be no. 2 on the waitlist of MA1." in page


def test_a_name_that_is_entered_already_is_asked_about_once(event, client_as):
    client = client_as(Role.DESK)
    client.post(url(event), form(event, member_number=""))
    answer = client.post(url(event), form(event, member_number=""))
    assert answer.status_code == 422
    assert "Ivo Quist is entered in MA1 already. Is this another person?" in answer.content.decode()
    assert Entry.objects.count() == 1
    client.post(url(event), form(event, member_number="", another="on"))
    assert Entry.objects.count() == 2


@pytest.mark.parametrize("facts", [{"birth_year": "1971"}, {"given_name": "Iva"}])
def test_a_namesake_that_is_told_apart_needs_no_question(event, client_as, facts):
    client = client_as(Role.DESK)
    client.post(url(event), form(event, member_number="", birth_year="1985"))
    client.post(url(event), form(event, **{"member_number": "", "birth_year": "1985", **facts}))
    assert Entry.objects.count() == 2
