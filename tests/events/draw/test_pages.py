import pytest
from django.urls import reverse

import build
from events.draw.models import Sheet
from events.draw.services import make_draw, publish
from events.setup.models import Role

pytestmark = pytest.mark.django_db


def fill(event, **counts: int) -> None:
    for code, count in counts.items():
        for n in range(count):
            build.make_entry(event, code, rating=900 + n)


def drawn(event, number=1, **facts) -> Sheet:
    facts = {"method": Sheet.Method.RANDOM, "seed": "7", "actor": build.ACTOR, "now": build.NOW, **facts}
    return make_draw(round=event.rounds.get(number=number), **facts)


def url(event, name, *args) -> str:
    return reverse(f"draw:{name}", args=[event.slug, *args])


def test_from_pools_to_print(event, client_as):
    fill(event, MA1=8, FA1=4)
    client = client_as(Role.DIRECTOR)
    assert client.get(url(event, "overview")).status_code == 200
    assert client.get(url(event, "pools", 1)).status_code == 200
    answer = client.post(url(event, "make", 1), {"method": "random", "seed": "3"}, follow=True)
    assert "12 players in 3 groups" in answer.content.decode()
    sheet = Sheet.objects.get()
    entry = sheet.seats.first().entry_id
    answer = client.post(
        url(event, "edit", 1),
        {"sheet": sheet.pk, "revision": 1, "who": f"p{entry}", "do": "move", "to": "2"},
        headers={"HX-Request": "true"},
    )
    assert answer.status_code == 200, answer.content.decode()
    assert client.get(url(event, "publish", 1)).status_code == 200
    answer = client.post(url(event, "publish", 1), {"revision": 2}, follow=True)
    assert Sheet.objects.get().state == "published", answer.content.decode()
    assert client.get(url(event, "working", 1, 1)).status_code == 200
    for what in ("round", "cards", "spares", "time", "name"):
        answer = client.get(url(event, "paper", 1, what))
        assert answer["Content-Type"] == "application/pdf"
        assert answer.content[:5] == b"%PDF-"
