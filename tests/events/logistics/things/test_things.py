"""The list of things: lots and their states, own numbers, lengths, packs, pages, paper, and whom they are closed to."""

from typing import Any

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse

import build
import pdf_pages
from events.course.models import Hole, HoleDetails, LayoutHole
from events.log.models import Act
from events.logistics.things.models import Lot, Thing
from events.logistics.things.queries import Item, things_of
from events.logistics.things.services import (
    ThingsRefused,
    add_lot,
    add_own,
    drop_own,
    move_lot,
    plan_things,
    remove_lot,
    set_line_length,
    set_needed,
)
from events.setup.models import Event, Role

DID: dict[str, Any] = {"actor": build.ACTOR, "now": build.NOW}
OWNER = "Wendeline Aarsrud"


def item(event: Event, key: str) -> Item:
    found = things_of(event).item(key)
    assert found is not None
    return found


def lot(event: Event, key: str = "pencils", count: int = 5, **facts: Any) -> Lot:
    given = {"way": "owned", "whose": "", "back_on": None, "box": "A", **facts}
    return add_lot(event=event, key=key, count=count, **given, **DID)


def describe(event: Event, **facts: Any) -> Hole:
    """Every hole is described; the first one has these facts too."""
    holes = LayoutHole.objects.filter(layout__event=event).select_related("hole").order_by("position")
    for row in holes:
        said = {"spotter": False, **(facts if row.position == 1 else {})}
        HoleDetails.objects.create(layout_hole=row, facts=said, changed_at=build.NOW, changed_by="Tester")
    return holes[0].hole


def test_the_field_and_the_plan_say_how_much(event: Event) -> None:
    for _ in range(5):
        build.make_entry(event)
    assert item(event, "packs").needed == 6
    plan_things(event=event, players=40, helpers=None, heat_c=None, **DID)
    assert item(event, "packs").needed == 44
    plan_things(event=event, players=3, helpers=None, heat_c=None, **DID)
    assert item(event, "packs").needed == 6  # five have entered already


def test_a_lot_is_packed_carried_and_returned_and_each_step_is_undone(event: Event) -> None:
    one = lot(event, box="")
    with pytest.raises(ThingsRefused, match="in which box"):
        move_lot(lot=one, step="packed", done=True, box=None, **DID)
    move_lot(lot=one, step="packed", done=True, box=" B2 ", **DID)
    assert (item(event, "pencils").packed, item(event, "pencils").boxes) == (5, "B2")
    move_lot(lot=one, step="on_site", done=True, box=None, **DID)
    assert item(event, "pencils").on_site == 5
    assert move_lot(lot=one, step="returned", done=True, box=None, **DID).state == "returned"
    assert move_lot(lot=one, step="returned", done=False, box=None, **DID).state == "on site"
    remove_lot(lot=one, removed=True, **DID)
    assert item(event, "pencils").have == 0
    remove_lot(lot=one, removed=False, **DID)
    assert item(event, "pencils").have == 5
    acts = Act.objects.order_by("number").values_list("action", flat=True)
    assert list(acts) == ["things.got", *["things.moved"] * 4, "things.lot_removed", "things.lot_back"]


def test_short_and_over(event: Event) -> None:
    build.make_entry(event)
    lot(event, "packs", 1)
    assert (item(event, "packs").short, item(event, "packs").over) == (1, 0)
    lot(event, "packs", 3)
    assert (item(event, "packs").short, item(event, "packs").over) == (0, 2)


@pytest.mark.parametrize(
    ("facts", "why"),
    [
        ({"count": 0}, "from 1 to"),
        ({"way": "stolen"}, "Choose in stock"),
        ({"way": "borrowed"}, "of whom"),
    ],
)
def test_what_cannot_be_written_down(event: Event, facts: dict[str, Any], why: str) -> None:
    with pytest.raises(ThingsRefused, match=why):
        lot(event, **facts)
    assert not Lot.objects.exists()


@pytest.mark.parametrize("facts", [{"count": 0}, {"way": "stolen"}, {"way": "borrowed", "whose": ""}])
def test_the_database_refuses_it_too(event: Event, facts: dict[str, Any]) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        Lot.objects.filter(pk=lot(event).pk).update(**facts)


def test_own_numbers_and_own_things(event: Event) -> None:
    computed = item(event, "kit-horn").needed
    set_needed(event=event, key="kit-horn", needed=7, **DID)
    assert item(event, "kit-horn").needed == 7
    set_needed(event=event, key="kit-horn", needed=None, **DID)
    assert item(event, "kit-horn").needed == computed
    tent = add_own(event=event, name=" Tent  for cards ", needed=2, unit="", **DID)
    assert (tent.key, item(event, "own-1").name, item(event, "own-1").short) == ("own-1", "Tent for cards", 2)
    with pytest.raises(ThingsRefused, match="on the list already"):
        add_own(event=event, name="tent for cards", needed=1, unit="", **DID)
    with pytest.raises(ThingsRefused, match="nothing computes it"):
        set_needed(event=event, key="own-1", needed=None, **DID)
    drop_own(thing=tent, dropped=True, **DID)
    assert things_of(event).item("own-1") is None
    with pytest.raises(ThingsRefused, match="A computed line stays"):
        drop_own(thing=Thing.objects.get(key="kit-horn"), dropped=True, **DID)


def test_a_line_without_a_length_leaves_string_unknown(event: Event) -> None:
    hole = describe(event, out_of_bounds=[{"boundary": "Pond"}, {"boundary": "Road"}])
    set_line_length(hole=hole, name="Pond", metres=0, **DID)
    assert item(event, "string").needed is None
    assert item(event, "string").lacks == "1 of 2 lines without a length"
    set_line_length(hole=hole, name="Road", metres=50, **DID)
    assert (item(event, "string").needed, item(event, "flags").needed) == (55, 13)
    set_line_length(hole=hole, name="Road", metres=None, **DID)
    assert item(event, "string").needed is None


def test_packs_go_by_what_was_handed_out_at_check_in(event: Event) -> None:
    for number in range(4):
        build.make_entry(event, pack="M", pack_given_at=build.NOW if number == 0 else None)
    lot(event, "packs", 3)
    packs = things_of(event).packs
    assert (packs.given, packs.left, packs.waiting, packs.short) == (1, 2, 3, 1)
    Lot.objects.all().delete()
    assert (things_of(event).packs.left, things_of(event).packs.short) == (None, None)


def test_a_pack_of_somebody_who_left_is_gone(event: Event) -> None:
    for status, given in (
        ("confirmed", False),
        ("confirmed", True),
        ("withdrawn", True),
        ("withdrawn", False),
    ):
        build.make_entry(event, status=status, pack="M", pack_given_at=build.NOW if given else None)
    lot(event, "packs", 3)
    things = things_of(event)
    packs = things.packs
    assert (packs.given, packs.with_players, packs.gone, packs.left, packs.waiting) == (2, 1, 1, 1, 1)
    assert (packs.short, things.packs_by_kind, item(event, "packs").needed) == (0, (("M", 3, 2),), 4)
    lot(event, "packs", 1)
    assert things_of(event).packs.left == 2


def test_an_empty_plan_asks_instead_of_saying_that_nothing_is_needed(event: Event, client_as: Any) -> None:
    event.rounds.all().delete()
    page = client_as(Role.DIRECTOR).get(address(event, "overview")).content.decode()
    assert "no round is planned yet and nobody has entered; write how many" in page
    assert {"cards", "water", "packs", "float"} <= {each.key for each in things_of(event).unknown}


def test_change_that_is_not_needed_any_more_keeps_its_name_and_its_place(event: Event) -> None:
    entry = build.make_entry(event, paid_elsewhere_cents=0)
    assert item(event, "float-500").needed == 1  # 45 paid with three notes of 20
    lot(event, "float-500", 1)
    entry.paid_elsewhere_cents = 4500
    entry.save()
    left = item(event, "float-500")
    assert (left.name, left.section, left.needed, left.over) == ("Notes or coins of $5", "Cash float", 0, 1)


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_costs_the_same_for_one_and_three(
    event: Event, count: int, django_assert_num_queries: Any
) -> None:
    for number in range(count):
        build.make_entry(event)
        lot(event, "packs", number + 1)
        add_own(event=event, name=f"Table {number}", needed=1, unit="", **DID)
    with django_assert_num_queries(11):
        things_of(event)


def address(event: Event, name: str, *args: Any) -> str:
    return reverse(f"things:{name}", args=[event.slug, *args])


def test_the_pages_write_down_and_refuse_with_what_was_typed(event: Event, client_as: Any) -> None:
    hole = describe(event, out_of_bounds=[{"boundary": "Road & lane"}])
    client = client_as(Role.EQUIPMENT)
    typed = {"count": "4", "way": "borrowed", "whose": "", "box": "Z9"}
    answer = client.post(address(event, "got", "pencils"), typed)
    assert answer.status_code == 422
    assert "Say of whom it is borrowed." in answer.content.decode()
    assert 'value="Z9"' in answer.content.decode()
    back = {**typed, "whose": OWNER, "back_on": "2026-06-20"}
    assert client.post(address(event, "got", "pencils"), back).status_code == 302
    page = client.get(address(event, "thing", "pencils")).content.decode()
    assert OWNER in page
    assert "back on Sat 20 Jun" in page
    field = f"{hole.pk}/Road & lane"
    refused = client.post(address(event, "measure"), {field: "9999"})
    assert refused.status_code == 422
    assert 'value="9999"' in refused.content.decode()
    client.post(address(event, "measure"), {field: "40"})
    assert item(event, "string").needed == 44
    client.post(address(event, "plan"), {"players": "50", "helpers": "", "heat_c": ""})
    assert item(event, "packs").needed == 55
    assert client.get(address(event, "thing", "no-such")).status_code == 404
    assert client.get(address(event, "lengths")).status_code == 200


def test_the_loading_list_names_boxes_and_what_is_short(event: Event, client_as: Any) -> None:
    build.make_entry(event)
    one = lot(event, "pencils", 2, way="borrowed", whose=OWNER, box="B7")
    move_lot(lot=one, step="packed", done=True, box=None, **DID)
    content = client_as(Role.DIRECTOR).get(address(event, "loading")).content
    text = " ".join(sheet.text for sheet in pdf_pages.read(content))
    assert "Box B7" in text
    assert OWNER in text
    assert "Still to get" in text
    assert "Tee signs" in text
    assert "First-aid kits" in text


def test_of_whom_a_thing_is_borrowed_reaches_no_viewer(event: Event, client_as: Any) -> None:
    lot(event, way="borrowed", whose=OWNER)
    viewer = client_as(Role.VIEWER)
    for name, args in (("overview", ()), ("thing", ("pencils",)), ("loading", ()), ("lengths", ())):
        answer = viewer.get(address(event, name, *args))
        assert answer.status_code == 403
        assert OWNER not in answer.content.decode()
