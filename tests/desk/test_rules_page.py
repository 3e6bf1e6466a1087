"""The rules page: every value in force with its source, found by words, set otherwise with a reason."""

from decimal import Decimal

import pytest
from django.test import Client

from build import ACTOR, NOW
from desk.rulepage import RuleForm, can_be_set, chapters, rule_line
from events.log.models import Act
from events.rulebook.loader import in_force
from events.setup.models import Role, RuleOverride
from events.setup.overriding import override_rule
from events.setup.queries import rulebook_for

pytestmark = pytest.mark.django_db
PAGE = "/desk/quiet-pines/rules/"


@pytest.fixture(name="director")
def director_fixture(client_as) -> Client:
    return client_as(Role.DIRECTOR)


def keys(page) -> list[str]:
    return [line.key for chapter in page.context["chapters"] for line in chapter.lines]


def test_every_value_in_force_is_there(client_as, event):
    page = client_as(Role.VIEWER).get(PAGE)

    assert keys(page) == [rule.key for rule in rulebook_for(event).all()]
    assert page.context["count"] == len(rulebook_for(event).all())
    assert "Set group" not in page.content.decode()


def test_a_value_shows_where_it_stands(event):
    line = rule_line(rulebook_for(event).value("group.size_at_most"), "USD")

    assert (line.words, line.value, line.unit) == ("size at most", "5", "players")
    assert (line.source, line.edition) == ("Competition Manual 2025, 1.06.H", "since 2025-01-01")
    assert (line.trust, line.overridden) == ("translation", False)
    assert line.remarks == ("Team play may exceed it.",)


@pytest.mark.parametrize(
    ("key", "value", "unit"),
    [
        ("refund.handling_fee_cents_at_most", "$10", ""),
        ("group.classes_apart", "yes", ""),
        ("starter.required_tiers", "A", ""),
        ("start.start_blasts", "1", "blast"),
        ("suspension.resume_blasts", "2, 1", "blasts"),
        ("division.rating_below.RAH", "not known", ""),
        (
            "group.tie_order",
            "lower score in the latest round, going back round by round, lower member number, surname",
            "",
        ),
        ("division.code.MA40", "name Mixed Amateur 40+, class am, gender mixed, rule age, age 40", ""),
    ],
)
def test_values_in_words(event, key, value, unit):
    line = rule_line(rulebook_for(event).value(key), "USD")

    assert (line.value, line.unit) == (value, unit)


@pytest.mark.parametrize(
    ("search", "found"),
    [
        ("1.06.H", ["group.size_at_most"]),
        ("SIZE players aim", ["group.size_aim"]),
        ("team play may exceed", ["group.size_at_most"]),
        ("nothing like it", []),
    ],
)
def test_all_words_are_looked_for(client_as, search, found):
    page = client_as(Role.DESK).get(PAGE, {"q": search})

    assert keys(page) == found
    assert ("No value holds these words." in page.content.decode()) == (not found)


def test_the_page_takes_the_same_queries_at_any_size(client_as, event, django_assert_num_queries):
    client = client_as(Role.DESK)
    for number, key in enumerate(("group.size_aim", "group.size_at_most", "group.size_at_least"), start=1):
        override_rule(event=event, key=key, value=7, reason="x", actor=ACTOR, now=NOW)
        if number in {1, 3}:
            with django_assert_num_queries(5):  # session, account, event, role, overrides
                client.get(PAGE)


def test_a_value_is_set_marked_and_restored(director, event):
    sent = {"value": "6", "reason": "team day"}
    answer = director.post(f"{PAGE}group.size_at_most/", sent)

    assert (answer.status_code, answer.url) == (302, f"{PAGE}#group.size_at_most")
    assert rulebook_for(event).int("group.size_at_most") == 6
    page = director.get(PAGE, {"q": "size at most players"})
    assert [(line.value, line.published) for line in page.context["overridden"]] == [("6", "5")]
    assert "Set by the director for this event: team day" in page.content.decode()

    director.post(f"{PAGE}group.size_at_most/", {"restore": "1", "why": "singles"})
    assert rulebook_for(event).int("group.size_at_most") == 5
    assert list(Act.objects.order_by("number").values_list("action", "reason")) == [
        ("rule.overridden", "team day"),
        ("rule.restored", "singles"),
    ]


def test_restoring_twice_is_no_fault(director):
    sent = {"restore": "1", "why": "singles"}

    assert director.post(f"{PAGE}group.size_at_most/", sent).status_code == 302
    assert not Act.objects.exists()


@pytest.mark.parametrize(
    ("sent", "field"),
    [
        ({"value": "six", "reason": "team day"}, "__all__"),
        ({"value": "6", "reason": ""}, "reason"),
        ({"value": "", "reason": "team day"}, "value"),
        ({"value": "6", "reason": "   "}, "reason"),
    ],
)
def test_what_does_not_fit_is_said(director, sent, field):
    page = director.post(f"{PAGE}group.size_at_most/", sent)

    assert page.status_code == 422
    assert list(page.context["form"].errors) == [field]
    assert not RuleOverride.objects.exists()


def test_restoring_needs_a_reason(director, event):
    override_rule(event=event, key="group.size_aim", value=3, reason="x", actor=ACTOR, now=NOW)

    page = director.post(f"{PAGE}group.size_aim/", {"restore": "1", "why": ""})

    assert (page.status_code, list(page.context["back"].errors)) == (422, ["why"])
    assert rulebook_for(event).int("group.size_aim") == 3


@pytest.mark.parametrize(
    ("key", "sent", "value"),
    [
        ("group.classes_apart", {"value": "no"}, False),
        ("practice.walking_metres_per_second", {"value": "1.05"}, Decimal("1.05")),
        ("starter.required_tiers", {"value": "A\r\nB\r\n"}, ("A", "B")),
        ("suspension.resume_blasts", {"value": "3\n1"}, (3, 1)),
        ("rating.rounding", {"value": "nearest"}, "nearest"),
        ("division.rating_below.RAH", {"value": "970"}, 970),
    ],
)
def test_each_kind_is_set(director, event, key, sent, value):
    assert director.get(f"{PAGE}{key}/").status_code == 200

    answer = director.post(f"{PAGE}{key}/", sent | {"reason": "x"})

    assert answer.status_code == 302
    assert rulebook_for(event).get(key) == value


def test_a_table_has_a_field_for_each_name(director, event):
    key = "division.code.MA40"
    sent = {"value_name": "Mixed Amateur 45+", "value_class": "am", "value_gender": "mixed"}
    sent |= {"value_rule": "age", "value_age": "45", "reason": "local series"}

    assert director.post(f"{PAGE}{key}/", sent).status_code == 302

    assert rulebook_for(event).table(key)["age"] == 45


def test_a_list_is_never_emptied(event):
    form = RuleForm(
        {"value": " \n ", "reason": "x"}, rule=rulebook_for(event).value("starter.required_tiers")
    )

    assert not form.is_valid()


def test_a_list_of_tables_is_not_set_by_hand(director, event):
    rule = rulebook_for(event).value("division.pro_plays_am_caps")

    assert not can_be_set(rule)
    assert "it is not set by hand" in director.get(f"{PAGE}{rule.key}/").content.decode()
    assert director.post(f"{PAGE}{rule.key}/", {"value": "x", "reason": "x"}).status_code == 422


@pytest.mark.parametrize("role", [role for role in Role if role is not Role.DIRECTOR])
def test_only_the_director_sets(client_as, role):
    url = f"{PAGE}group.size_aim/"
    client = client_as(role)

    assert (client.get(url).status_code, client.post(url).status_code) == (403, 403)


def test_an_unknown_value_is_not_found(director):
    assert director.get(f"{PAGE}group.colour/").status_code == 404


def test_what_lost_its_effect_is_named(director, event):
    override_rule(event=event, key="cards.for_each_player", value=2, reason="rain", actor=ACTOR, now=NOW)
    event.region = "elsewhere"
    event.save()

    page = director.get(PAGE)

    assert [row.key for row in page.context["stray"]] == ["cards.for_each_player"]
    assert (
        "Without effect since the date or region was changed: cards.for_each_player." in page.content.decode()
    )


def test_chapters_keep_together_what_belongs_together():
    book = in_force(NOW.date(), "north_america")
    titles = [chapter.title for chapter in chapters(book, "USD")]

    assert len(titles) == len(set(titles))
    assert sum(len(chapter.lines) for chapter in chapters(book, "USD")) == len(book.all())
