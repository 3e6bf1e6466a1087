"""A value set for one event: with a reason, of the right kind, and back again."""

from datetime import date
from decimal import Decimal

import pytest

import build
from build import ACTOR, NOW
from events.log.models import Act
from events.rulebook.values import BadOverride, UnknownRule
from events.setup.models import RuleOverride
from events.setup.overriding import NotOverridden, override_rule, restore_rule
from events.setup.queries import book_with, rulebook_for, stray_overrides

pytestmark = pytest.mark.django_db
BY = {"actor": ACTOR, "now": NOW}


def logged() -> list[tuple[str, str, dict, str]]:
    return list(Act.objects.order_by("number").values_list("action", "subject", "detail", "reason"))


def test_a_value_is_set_and_restored_for_this_event_only(event):
    other = build.make_event("other-event")
    override_rule(event=event, key="group.size_at_most", value=6, reason=" team day ", **BY)

    found = rulebook_for(event).value("group.size_at_most")
    assert (found.value, found.published, found.reason) == (6, 5, "team day")
    assert rulebook_for(other).int("group.size_at_most") == 5

    restore_rule(event=event, key="group.size_at_most", reason="singles after all", **BY)
    assert rulebook_for(event).int("group.size_at_most") == 5
    assert logged() == [
        ("rule.overridden", "group.size_at_most", {"value": {"old": 5, "new": 6}}, "team day"),
        ("rule.restored", "group.size_at_most", {"value": {"old": 6, "new": 5}}, "singles after all"),
    ]


def test_a_second_override_replaces_the_first(event):
    for size in (6, 7):
        override_rule(event=event, key="group.size_at_most", value=size, reason="team day", **BY)

    assert RuleOverride.objects.get().value == 7
    assert logged()[1][2] == {"value": {"old": 6, "new": 7}}


def test_decimals_and_lists_come_back_as_they_were_set(event):
    key = "practice.walking_metres_per_second"
    override_rule(event=event, key=key, value=Decimal("1.05"), reason="steep", **BY)
    override_rule(event=event, key="starter.required_tiers", value=("A", "B"), reason="windy", **BY)

    book = rulebook_for(event)
    assert book.decimal(key) == Decimal("1.05")
    assert book.words("starter.required_tiers") == ("A", "B")


@pytest.mark.parametrize(
    ("value", "reason"), [(6, "  "), ("six", "team day"), (True, "team day"), (None, "x")]
)
def test_without_reason_or_of_another_kind_nothing_is_set(event, value, reason):
    with pytest.raises(BadOverride):
        override_rule(event=event, key="group.size_at_most", value=value, reason=reason, **BY)
    assert not RuleOverride.objects.exists()
    assert logged() == []


def test_an_unknown_key_is_refused(event):
    with pytest.raises(UnknownRule):
        override_rule(event=event, key="group.colour", value=6, reason="x", **BY)


def test_restoring_needs_an_override_and_a_reason(event):
    with pytest.raises(NotOverridden):
        restore_rule(event=event, key="group.size_aim", reason="x", **BY)
    override_rule(event=event, key="group.size_aim", value=3, reason="slow course", **BY)
    with pytest.raises(BadOverride, match="Say why"):
        restore_rule(event=event, key="group.size_aim", reason="", **BY)
    assert rulebook_for(event).int("group.size_aim") == 3


def test_an_override_that_left_the_rulebook_is_set_aside(event):
    override_rule(event=event, key="cards.for_each_player", value=2, reason="rain", **BY)
    event.region = "elsewhere"
    RuleOverride.objects.create(
        event=event, key="group.size_aim", value="four", reason="by hand", by="Tester", at=NOW
    )

    overrides = list(RuleOverride.objects.order_by("key"))
    book = book_with(event, overrides)

    assert book.int("group.size_aim") == 4
    assert [row.key for row in stray_overrides(book, overrides)] == [
        "cards.for_each_player",
        "group.size_aim",
    ]


def test_the_edition_is_the_one_of_the_first_day(event):
    event.starts_on, event.ends_on = date(2025, 5, 3), date(2026, 5, 4)
    before = rulebook_for(event).value("start.start_blasts")
    event.starts_on = date(2026, 4, 9)
    after = rulebook_for(event).value("start.start_blasts")

    assert (before.document, after.document) == ("Competition Manual 2025", "Competition Manual 2026")


def test_the_rulebook_takes_one_query(event, django_assert_num_queries):
    for key, value in (("group.size_aim", 3), ("group.size_at_most", 6), ("group.size_at_least", 2)):
        with django_assert_num_queries(1):
            rulebook_for(event)
        override_rule(event=event, key=key, value=value, reason="x", **BY)
    with django_assert_num_queries(1):
        rulebook_for(event)
