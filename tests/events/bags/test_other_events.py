"""Nothing of another event is to be had by its number, and nothing of it is changed."""

import json
from datetime import date
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from build import ACTOR, NOW, make_entry, make_event
from build_bags import make_disc
from build_cards import make_field, publish
from desk.above_the_bags import ABOVE_BAGS
from events.bags.calls import CallIn, record_call
from events.bags.list_files import keep_file
from events.bags.scales import register_scale
from events.bags.spot_checks import freeze_pool
from events.bags.weighings import question_disc, weigh
from events.log.models import Act
from events.setup.models import Event, Role
from scoring.cards.models import Ruling

pytestmark = pytest.mark.django_db
BY: dict[str, Any] = {"actor": ACTOR, "now": NOW}
LIST = (
    b"Maker,Disc Model,Max Weight (g),Diameter (cm),Certification Number\nOstwall,Plinthor,175.1,21.1,20-1\n"
)


@pytest.fixture
def theirs() -> dict[str, int]:
    """Numbers of one of everything at another event, whose log is as long as `acts`."""
    event = make_event("elsewhere")
    entry, *others = make_field(event, 3)
    round_ = event.rounds.get(number=1)
    publish(round_, [[entry, *others]])
    disc = make_disc(entry)
    scale = register_scale(event=event, name="fine", kind="class_iii", resolution_g=Decimal("0.1"), **BY)
    common = {"entry": entry, "disc": disc, "round": round_, **BY}
    told = CallIn(("illegal",), "7", 1, "", others[0].person.name, others[1].person.name)
    entry.checked_in_at = NOW
    entry.save()
    freeze_pool(round=round_, method="keyed", wanted=1, spares=0, source="dice", **BY)
    return {
        "weighing": weigh(scale=scale, reading_g=Decimal(170), submission=uuid4(), **common).pk,
        "question": question_disc(asked_by="Hale", reason="a crack", **common).pk,
        "call": record_call(told=told, submission=uuid4(), book=ABOVE_BAGS.book, **common).pk,
        "file": keep_file(event=event, content=LIST, file_name="l.csv", as_of=date(2026, 6, 1), **BY).pk,
        "ruling": Ruling.objects.get().pk,
        "entry": entry.pk,
        "disc": disc.pk,
        "scale": scale.pk,
    }


@pytest.mark.parametrize(
    ("name", "numbers", "said"),
    [
        ("bags:box_acts", ["entry"], {}),
        ("bags:box", [], {"kind": "declare", "round": 1}),
        ("bags:keep", ["entry", "disc"], {"line": "170.0"}),
        ("bags:keep", ["own", "disc"], {"line": "170.0"}),
        ("bags:question", ["entry", "disc"], {"asked_by": "x", "reason": "y"}),
        ("bags:question", ["own", "disc"], {"asked_by": "x", "reason": "y"}),
        ("bags:desk_add", ["entry"], {"kind": "add", "model": "Plinthor"}),
        ("bags:decide_question", ["question"], {"approved": "yes", "reason": "y"}),
        ("bags:use_scale", [], {"scale": "scale"}),
        ("bags:scales", [], {"act": "retire", "scale": "scale"}),
        ("bags:scales", [], {"act": "check", "scale": "scale", "reference": "200", "reading": "200"}),
        ("bags:tell_call", [], {"round": 1, "entry": "entry", "kinds": "illegal"}),
        ("bags:take_back_call", ["call"], {"reason": "y"}),
        ("bags:list_bring_in", ["file"], {}),
        ("bags:list_drop", ["file"], {}),
        ("bags:model_decide", [], {"piece": "disc", "word": "allow", "reason": "y"}),
        ("bags:spot_check", [1, 1], {"numbers": "1", "single": "yes", "sure": "yes"}),
        ("cards:in_card", [1, 1, "ruling"], {"in_card": "yes"}),
        ("cards:unrule", [1, 1, "ruling"], {"reason": "y"}),
    ],
)
def test_nothing_of_another_event_is_written(
    event: Event, client_as: Any, theirs: dict[str, int], name: str, numbers: list[Any], said: dict[str, Any]
) -> None:
    known: dict[Any, int] = theirs | {"own": make_entry(event).pk}
    url = reverse(name, args=[event.slug, *(known.get(each, each) for each in numbers)])
    acts = Act.objects.count()
    client: Client = client_as(Role.DIRECTOR)
    answer = client.post(url, {field: known.get(value, value) for field, value in said.items()})
    assert answer.status_code == 404
    assert Act.objects.count() == acts


@pytest.mark.parametrize(
    ("name", "numbers"),
    [
        ("bags:weighing", ["weighing"]),
        ("bags:slip", ["entry", 1]),
        ("bags:list_check", ["file"]),
        ("bags:paper_declaration", ["entry", 1]),
        ("bags:spot_check", [1, 1]),
        ("bags:spot_notice", [1, 1]),
        ("spot:page", [1, 1]),
        ("spot:print", [1, 1]),
    ],
)
def test_nothing_of_another_event_is_shown(
    event: Event, client_as: Any, theirs: dict[str, int], name: str, numbers: list[Any]
) -> None:
    known: dict[Any, int] = dict(theirs)
    url = reverse(name, args=[event.slug, *(known.get(each, each) for each in numbers)])
    assert client_as(Role.DIRECTOR).get(url).status_code == 404


def test_a_pages_list_of_acts_is_refused_too(event: Event, client_as: Any, theirs: dict[str, int]) -> None:
    act = {"key": str(uuid4()), "kind": "declare", "round": "1"}
    url = reverse("bags:box_acts", args=[event.slug, theirs["entry"]])
    body = json.dumps({"acts": [act]})
    assert client_as(Role.DIRECTOR).post(url, body, content_type="application/json").status_code == 404
