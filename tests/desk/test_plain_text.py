"""A zero character is refused wherever it is sent, since one database would fail on it and the other keep it."""

import pytest
from django.test import Client

from events.log.models import Act
from events.setup.models import Role

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
