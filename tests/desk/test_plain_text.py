"""A zero character is refused wherever it is sent, since one database would fail on it and the other keep it.

Marks that nobody sees are left out of every form, as they are out of lists that are read in.
"""

import pytest
from django.test import Client

import build
from events.log.models import Act
from events.safety.models import Notice
from events.setup.models import Role
from players.models import Person

DESK = "/desk/quiet-pines/"


@pytest.fixture(name="director")
def director_fixture(client_as) -> Client:
    return client_as(Role.DIRECTOR)


@pytest.mark.parametrize(
    "address",
    [
        f"{DESK}log/?q=a%00b",
        f"{DESK}log/?a%00b=1",
        f"{DESK}rules/a%00b/",
        "/board/quiet-pines/phone/?q=%00",
        "/sign-in/?next=%00",
    ],
)
def test_in_an_address(director, address):
    assert director.get(address).status_code == 400


def test_in_a_form_nothing_is_written(director, event):
    sent = {"kind": "news", "title": "Hole 7", "text": ""}

    assert director.post(f"{DESK}notices/", sent | {"kept": ["fine", "a\0b"]}).status_code == 400
    assert not Act.objects.exists()
    assert director.post(f"{DESK}notices/", sent | {"kept": ["fine", "ab"]}).status_code == 302


def test_a_name_is_kept_as_it_is_seen(director, event):
    name = {"given_name": "\u2067Tamsel\u2069", "family_name": "O\u0308rn\u202egnir\x07", "division": "MA1"}
    division = event.divisions.get(code="MA1").pk
    assert director.post(f"{DESK}entries/new/", name | {"division": division, "enter": ""}).status_code == 302
    person = Person.objects.get()
    assert (person.given_name, person.family_name) == ("Tamsel", "Örngnir")


def test_of_a_name_that_nobody_sees_nothing_is_left(director, event):
    division = event.divisions.get(code="MA1").pk
    sent = {"family_name": "\u202e\u200b", "division": division, "enter": ""}
    answer = director.post(f"{DESK}entries/new/", sent)
    assert answer.status_code == 422
    assert not Person.objects.exists()


def test_lines_of_a_text_stay(director, event):
    sent = {"kind": "news", "title": "Hole\u200b 7", "text": "first\r\nsecond\u202e"}
    assert director.post(f"{DESK}notices/", sent).status_code == 302
    notice = Notice.objects.get()
    assert (notice.title, notice.text.split()) == ("Hole 7", ["first", "second"])


def test_a_password_is_left_as_it_was_typed(event):
    user = build.make_user(event, Role.DESK, "tamsel")
    user.set_password("long\u200benough for a test")
    user.save()
    sent = {"username": "tamsel", "password": "long\u200benough for a test"}
    assert Client().post("/sign-in/", sent).status_code == 302
