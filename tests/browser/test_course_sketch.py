"""A hole is sketched in a real browser: by mouse on the sheet, and by keys in the table of points."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from events.course.hole_queries import hole_sheets
from events.course.models import Layout
from events.course.sketch import Item
from events.setup.models import Event, Role

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def sheet(signed_in_page: Callable[[Role], Page], event: Event, base_url: str) -> Page:
    page = signed_in_page(Role.DIRECTOR)
    place = Layout.objects.get(event=event).layout_holes.get(label="7")
    page.set_viewport_size({"width": 1366, "height": 1200})
    page.goto(f"{base_url}/desk/quiet-pines/course/{place.layout_id}/holes/{place.pk}/sketch/")
    return page


def at(page: Page, x: int, y: int) -> dict[str, float]:
    """Where a point of the sheet of 1000 by 700 lies in the picture."""
    box = page.locator("svg[role=application]").bounding_box()
    assert box is not None
    return {"x": x * box["width"] / 1000, "y": y * box["height"] / 700}


def click(page: Page, x: int, y: int, **options: int) -> None:
    page.locator("svg[role=application]").click(position=at(page, x, y), **options)  # type: ignore[arg-type]


def drawn(event: Event) -> tuple[Item, ...]:
    return hole_sheets(Layout.objects.get(event=event))[6].items


def near(item: Item, *points: tuple[int, int]) -> bool:
    """Within two units: the picture has fewer dots than the sheet has units."""
    return len(item.points) == len(points) and all(
        abs(x - px) <= 2 and abs(y - py) <= 2 for (x, y), (px, py) in zip(item.points, points, strict=True)
    )


def test_a_hole_is_sketched_by_mouse(sheet: Page, event: Event) -> None:
    click(sheet, 100, 600)  # the tee, which is chosen from the start
    sheet.get_by_label("out-of-bounds line").check()
    click(sheet, 200, 500)
    expect(sheet.locator("[data-hint]")).to_have_text("1 point; at least 2")
    click(sheet, 400, 300)
    click(sheet, 600, 300)
    sheet.keyboard.press("Enter")
    sheet.get_by_label("water").check()
    click(sheet, 700, 500)
    click(sheet, 800, 500)
    click(sheet, 750, 600, click_count=2)
    sheet.get_by_label("trees").check()
    click(sheet, 300, 100)
    sheet.keyboard.press("Enter")
    sheet.keyboard.press("Control+z")  # the trees go again
    expect(sheet.locator("svg[role=application] .sk-trees")).to_have_count(0)

    corner = sheet.get_by_role("button", name="tee, point 1")
    corner.drag_to(sheet.locator("svg[role=application]"), target_position=at(sheet, 150, 650))  # type: ignore[arg-type]
    sheet.get_by_label("Line 2, label").fill("road side")
    sheet.get_by_role("button", name="Save the sketch").click()
    sheet.wait_for_url("**/holes/*/")

    tee, line, water = drawn(event)
    assert (tee.tool, near(tee, (150, 650))) == ("tee", True)
    assert (line.tool, line.label, near(line, (200, 500), (400, 300), (600, 300))) == (
        "out_of_bounds",
        "road side",
        True,
    )
    assert (water.tool, near(water, (700, 500), (800, 500), (750, 600))) == ("water", True)
    expect(sheet.get_by_role("img", name="Sketch: tee, out-of-bounds line, water.")).to_be_visible()


def test_a_hole_is_sketched_by_keys_alone(sheet: Page, event: Event) -> None:
    add = sheet.get_by_role("button", name="another line")
    add.focus()
    sheet.keyboard.press("Enter")  # the new line takes the focus
    sheet.keyboard.type("tar")
    sheet.keyboard.press("Tab")
    sheet.keyboard.type("900,100")
    point = sheet.get_by_role("button", name="target, point 1: 900, 100")
    point.focus()
    sheet.keyboard.press("ArrowLeft")
    sheet.keyboard.press("Shift+ArrowDown")
    expect(sheet.get_by_label("Line 1, points")).to_have_value("890,101")
    sheet.keyboard.press("Control+z")
    expect(sheet.get_by_label("Line 1, points")).to_have_value("890,100")
    add.focus()
    sheet.keyboard.press("Enter")
    sheet.keyboard.type("road")
    sheet.keyboard.press("Tab")
    sheet.keyboard.type("0,0 50,50 90,10")
    corner = sheet.get_by_role("button", name="road, point 2")
    corner.focus()
    sheet.keyboard.press("Delete")
    sheet.keyboard.press("Control+Enter")
    sheet.wait_for_url("**/holes/*/")
    assert drawn(event) == (Item("target", ((890, 100),)), Item("road", ((0, 0), (90, 10))))
