"""Who throws next on a group's phone: by the scores that count, rulings included."""

from typing import Any

import pytest
from django.templatetags.static import static
from playwright.sync_api import Page

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

ORDER = """async ([path, scores]) => {
  const { throwingOrder } = await import(path);
  const rounds = scores.map((holes) => ({ cells: holes.map(([throws, counts]) => ({ throws, counts })) }));
  return throwingOrder(scores.map(() => ({ status: "" })), rounds, scores[0].length);
}"""


def order(page: Page, *scores: list[list[int | None]]) -> list[int] | None:
    """Players by place; `scores` are [written, counts] on each hole before."""
    found: list[int] | None = page.evaluate(ORDER, [static("js/group_score.js"), list(scores)])
    return found


def test_a_ruling_on_the_hole_before_counts_for_who_throws_first(page: Page, live_server: Any) -> None:
    """Official Rules 2025, 802.02: the lowest score on the hole before, and a penalty throw is part of a score."""
    page.goto(live_server.url)

    assert order(page, [[3, 5]], [[4, 4]], [[4, 4]]) == [1, 2, 0]
    assert order(page, [[3, 3]], [[4, 2]]) == [1, 0]
    assert order(page, [[3, 3]], [[None, None]]) is None
