"""Every page and paper of bags that shows a list takes the same queries for one and for three of it."""

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from build import ACTOR, NOW
from build_bags import make_bag, make_list
from build_cards import make_field, publish
from events.bags.links import bag_path
from events.bags.models import Scale
from events.bags.scales import check_scale
from events.bags.weighings import examine, weigh
from events.entries.models import Entry
from events.setup.models import Event, Role
from players.models import ApprovedList

pytestmark = pytest.mark.django_db
LIST = "Maker,Disc Model,Max Weight (g),Diameter (cm),Certification Number\n"
MODELS = [
    "Ostwall,Plinthor,175.1,21.1,20-1\n",
    "Ostwall,Jorvekko,176.0,21.2,20-2\n",
    "Ostwall,Quend,,21.1,20-3\n",
]


@pytest.fixture(params=[1, 3])
def count(request: pytest.FixtureRequest) -> int:
    return int(request.param)


@pytest.fixture
def entry(event: Event, count: int) -> Entry:
    """Of `count` entrants in one group the first; each has `count` pieces, weighed `count` times each."""
    make_list(LIST + MODELS[0], as_of=date(2026, 5, 1))
    make_list(LIST + "".join(MODELS[:count]))
    entries = make_field(event, count)
    publish(event.rounds.get(number=1), [entries])
    scale = Scale.objects.create(event=event, name="fine", kind="class_iii", resolution_g=Decimal("0.1"))
    for entrant in entries:
        entrant.checked_in_at = NOW
        entrant.save()
        for disc in make_bag(entrant, count):
            common = {
                "entry": entrant,
                "disc": disc,
                "round": event.rounds.get(number=1),
                "actor": ACTOR,
                "now": NOW,
            }
            examine(seen={"cracked": False}, note="", submission=uuid4(), **common)
            for _ in range(count):
                weigh(scale=scale, reading_g=Decimal(170), submission=uuid4(), **common)
    return entries[0]


@pytest.mark.parametrize(
    ("name", "numbers", "query", "queries"),
    [
        ("box", [], "entry={entry}&round=1", 21),
        ("desk", [], "entry={entry}&round=1", 23),
        ("weighing", ["weighing"], "", 8),
        ("slip", ["entry", 1], "", 18),
        ("paper_declaration", ["entry", 1], "", 9),
        ("paper_declarations", [1], "", 19),
        ("paper_desk", [1], "", 19),
        ("paper_weighings", [1], "", 6),
        ("paper_keepsakes", [1], "", 9),
        ("workbook", [], "", 29),
        ("lists", [], "", 12),
        ("list", ["list"], "", 12),
        ("list_changes", ["list"], "", 8),
        ("box_models", [], "", 7),
        ("calls", [], "round=1&entry={entry}", 13),
        ("spot_planner", [], "", 6),
    ],
)
def test_a_page_at_the_desk(
    event: Event,
    entry: Entry,
    client_as: Callable[[Role], Client],
    name: str,
    numbers: list[Any],
    query: str,
    queries: int,
    django_assert_num_queries: Any,
) -> None:
    newest = ApprovedList.objects.order_by("-as_of")[0]
    known = {"entry": entry.pk, "weighing": entry.weighings.first().pk, "list": newest.pk}
    url = reverse(f"bags:{name}", args=[event.slug, *(known.get(each, each) for each in numbers)])
    client = client_as(Role.DIRECTOR)
    with django_assert_num_queries(queries):
        assert client.get(f"{url}?{query.format(**known)}").status_code == 200


def test_the_scales(
    event: Event, count: int, client_as: Callable[[Role], Client], django_assert_num_queries: Any
) -> None:
    for number in range(count):
        scale = Scale.objects.create(
            event=event, name=f"scale {number}", kind="class_iii", resolution_g=Decimal("0.1")
        )
        for _ in range(count):
            check_scale(scale=scale, reference_g=Decimal(200), reading_g=Decimal(200), actor=ACTOR, now=NOW)
    client = client_as(Role.VIEWER)
    with django_assert_num_queries(8):
        assert client.get(reverse("bags:scales", args=[event.slug])).status_code == 200


@pytest.mark.parametrize(("tail", "queries"), [("", 19), ("advice/", 18), ("models/", 4)])
def test_a_page_of_a_slip(
    client: Client, entry: Entry, tail: str, queries: int, django_assert_num_queries: Any
) -> None:
    with django_assert_num_queries(queries):
        assert client.get(f"{bag_path(entry)}{tail}").status_code == 200


def test_a_line_kept_at_the_desk(
    event: Event, entry: Entry, client_as: Callable[[Role], Client], django_assert_num_queries: Any
) -> None:
    disc = entry.weighings.first().disc
    client = client_as(Role.EQUIPMENT)
    url = reverse("bags:keep", args=[event.slug, entry.pk, disc.pk])
    with django_assert_num_queries(56):
        answer = client.post(url, {"line": "170.0 f", "round": 1}, HTTP_HX_REQUEST="true")
    assert answer.status_code == 200
