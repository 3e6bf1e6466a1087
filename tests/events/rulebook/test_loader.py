"""The rulebook as data: which edition holds, whose value, what a faulty file says."""

from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from events.rulebook import loader
from events.rulebook.loader import BadRulebookError, in_force, load
from events.rulebook.values import (
    REGIONS,
    TIERS,
    TRUST_MARKS,
    UNITS,
    BadOverride,
    Override,
    UnknownRule,
    ValueNotKnown,
    parse_as,
)

DAY = date(2025, 5, 3)
HEAD = '[edition]\ntitle = "Test"\neffective = {day}\n'
ROW = '[[value]]\nkey = "{key}"\n{value}\nunit = "throws"\ndocument = "D"\nsection = "1"\ntrust = "read"\n'


def write(folder: Path, name: str, day: str, *rows: str) -> None:
    (folder / f"{name}.toml").write_text(HEAD.format(day=day) + "".join(rows))


def row(key: str, value: str, extra: str = "") -> str:
    return ROW.format(key=key, value=value) + extra


def chosen(folder: Path, on: date, region: str = "north_america") -> dict[str, object]:
    return {key: rule.value for key, rule in loader.select(load(folder), on, region).items()}


@pytest.mark.parametrize("region", REGIONS)
def test_every_value_has_unit_document_section_and_trust(region: str) -> None:
    rules = in_force(DAY, region).all()

    assert len(rules) > 200
    bare = [
        rule.key
        for rule in rules
        if rule.unit not in UNITS or not rule.document or not rule.section or rule.trust not in TRUST_MARKS
    ]
    assert bare == []


def test_all_is_sorted_by_key_and_lists_a_key_once() -> None:
    keys = [rule.key for rule in in_force(DAY, "north_america").all()]

    assert keys == sorted(set(keys))


def test_a_value_names_its_source() -> None:
    rule = in_force(DAY, "north_america").value("card.return_minutes")

    assert (rule.value, rule.unit, rule.trust) == (30, "minutes", "read")
    assert rule.source == "Official Rules 2025, 808.F"
    assert rule.trust_words == "The published English text was read."


def test_the_later_edition_holds_from_its_day_on(tmp_path: Path) -> None:
    write(tmp_path, "a", "2025-01-01", row("x.y", "value = 4"))
    write(tmp_path, "b", "2026-01-01", row("x.y", "value = 5"))

    assert chosen(tmp_path, date(2025, 12, 31)) == {"x.y": 4}
    assert chosen(tmp_path, date(2026, 1, 1)) == {"x.y": 5}


def test_before_the_first_edition_the_earliest_one_holds_and_says_so(tmp_path: Path) -> None:
    write(tmp_path, "a", "2025-01-01", row("x.y", "value = 4"))
    write(tmp_path, "b", "2026-01-01", row("x.y", "value = 5"))

    rule = loader.select(load(tmp_path), date(2024, 6, 1), "north_america")["x.y"]

    assert (rule.value, rule.early) == (4, True)
    assert rule.remarks == ("Not in force before 2025-01-01; no earlier edition is held.",)


def test_a_regions_own_value_stands_before_the_general_one(tmp_path: Path) -> None:
    write(
        tmp_path,
        "a",
        "2025-01-01",
        row("x.y", "value = 4"),
        row("x.y", "value = 5", 'region = "elsewhere"\n'),
    )

    assert chosen(tmp_path, DAY) == {"x.y": 4}
    assert chosen(tmp_path, DAY, "elsewhere") == {"x.y": 5}


def test_a_newer_edition_that_knows_one_key_leaves_the_others() -> None:
    rulebook = in_force(date(2026, 6, 1), "north_america")

    assert rulebook.value("start.two_minute_blasts").document == "Competition Manual 2026"
    assert rulebook.value("play.absence_throws_over_par").document == "Competition Manual 2025"


def test_an_unknown_key_is_named() -> None:
    with pytest.raises(UnknownRule, match=r"no value called 'card.colour'"):
        in_force(DAY, "north_america").int("card.colour")


def test_an_unknown_region_is_refused() -> None:
    with pytest.raises(ValueError, match="'mars' is not a region"):
        in_force(DAY, "mars")


def test_a_rule_without_a_published_value_is_none_and_never_zero() -> None:
    rulebook = in_force(DAY, "north_america")

    assert rulebook.get("division.rating_below.RAH") is None
    with pytest.raises(ValueNotKnown, match=r"division\.rating_below\.RAH"):
        rulebook.int("division.rating_below.RAH")


def test_each_accessor_refuses_another_kind() -> None:
    rulebook = in_force(DAY, "north_america")

    for ask, key in (
        (rulebook.int, "group.classes_apart"),
        (rulebook.flag, "card.return_minutes"),
        (rulebook.text, "card.return_minutes"),
        (rulebook.decimal, "card.return_minutes"),
        (rulebook.words, "card.return_minutes"),
        (rulebook.rows, "card.return_minutes"),
        (rulebook.table, "card.return_minutes"),
    ):
        with pytest.raises(TypeError, match=key):
            ask(key)


def test_a_table_is_gathered_from_the_values_below_a_key() -> None:
    rulebook = in_force(DAY, "north_america")

    assert set(rulebook.table("membership.needed")) == set(TIERS)
    assert rulebook.table("division.code.MP40") == {
        "name": "Mixed Pro 40+",
        "class": "pro",
        "gender": "mixed",
        "rule": "age",
        "age": 40,
    }
    with pytest.raises(UnknownRule):
        rulebook.table("membership.colour")


def test_decimals_are_exact() -> None:
    rulebook = in_force(DAY, "north_america")

    assert rulebook.decimal("rating.compression.formula_2013.break_ssa") == Decimal("50.3289725")


def test_tables_cannot_be_changed() -> None:
    with pytest.raises(TypeError):
        in_force(DAY, "north_america").table("division.code.MP40")["age"] = 41  # type: ignore[index]


class TestOverride:
    KEY = "publish.hours_before_first_tee_time"

    def test_takes_the_place_of_the_published_value_and_keeps_it(self) -> None:
        rulebook = in_force(DAY, "north_america", {self.KEY: Override(10, "Late sunset")})
        rule = rulebook.value(self.KEY)

        assert rulebook.int(self.KEY) == 10
        assert (rule.published, rule.reason, rule.overridden) == (12, "Late sunset", True)
        assert rule.remarks[-1] == "Set by the director for this event: Late sunset"
        assert in_force(DAY, "north_america").int(self.KEY) == 12

    @pytest.mark.parametrize("value", ["10", True, 10.5, None, (10,), {"a": 1}])
    def test_of_another_kind_is_refused(self, value: object) -> None:
        with pytest.raises(BadOverride, match=self.KEY):
            in_force(DAY, "north_america", {self.KEY: Override(value, "Late sunset")})  # type: ignore[arg-type]

    def test_without_a_reason_is_refused(self) -> None:
        with pytest.raises(BadOverride, match="needs a reason"):
            in_force(DAY, "north_america", {self.KEY: Override(10, "  ")})

    def test_of_no_rule_is_refused(self) -> None:
        with pytest.raises(UnknownRule):
            in_force(DAY, "north_america", {"card.colour": Override(1, "Why not")})

    def test_gives_a_rule_the_value_that_nobody_published(self) -> None:
        rulebook = in_force(DAY, "north_america", {"division.rating_below.RAH": Override(970, "Series rule")})

        assert rulebook.int("division.rating_below.RAH") == 970
        with pytest.raises(BadOverride):
            in_force(DAY, "north_america", {"division.rating_below.RAH": Override("970", "Series rule")})

    def test_of_a_decimal_may_come_as_text_out_of_json(self) -> None:
        key = "practice.walking_metres_per_second"
        rulebook = in_force(DAY, "north_america", {key: Override("1.05", "Steep")})

        assert rulebook.decimal(key) == Decimal("1.05")
        for text in ("fast", "NaN", True):
            with pytest.raises(BadOverride):
                in_force(DAY, "north_america", {key: Override(text, "Steep")})

    def test_of_a_list_or_table_keeps_its_form(self) -> None:
        tiers = "starter.required_tiers"
        ours = in_force(DAY, "north_america", {tiers: Override(["A", "B"], "Big crowd")})

        assert ours.words(tiers) == ("A", "B")
        with pytest.raises(BadOverride):
            in_force(DAY, "north_america", {tiers: Override([1], "Big crowd")})
        with pytest.raises(BadOverride):
            in_force(DAY, "north_america", {"division.code.MP40": Override({"name": "x"}, "Why not")})

    @pytest.mark.parametrize(
        ("key", "text", "value"),
        [
            ("card.return_minutes", " 45 ", 45),
            ("practice.walking_metres_per_second", "1.1", Decimal("1.1")),
            ("group.classes_apart", "No", False),
            ("group.classes_apart", "yes", True),
            ("group.classes_apart", "True", True),
            ("group.classes_apart", "false", False),
            ("practice.card_order", "by name", "by name"),
        ],
    )
    def test_is_read_from_what_was_typed(self, key: str, text: str, value: object) -> None:
        assert parse_as(in_force(DAY, "north_america").value(key), text) == value

    @pytest.mark.parametrize(
        ("key", "text"),
        [
            ("card.return_minutes", "soon"),
            ("card.return_minutes", ""),
            ("practice.walking_metres_per_second", "inf"),
            ("group.classes_apart", "maybe"),
            ("practice.card_order", " "),
            ("starter.required_tiers", "A"),
        ],
    )
    def test_that_cannot_be_read_is_refused(self, key: str, text: str) -> None:
        with pytest.raises(BadOverride, match=key):
            parse_as(in_force(DAY, "north_america").value(key), text)


@pytest.mark.parametrize(
    ("bad", "words"),
    [
        (row("x", "value = 4").replace('unit = "throws"\n', ""), "x: needs unit"),
        (row("x", "value = 4").replace('section = "1"', 'section = " "'), "x: needs section"),
        (row("x", "value = 4", 'colour = "red"\n'), "x: has unknown words colour"),
        (row("x", "value = 4\nunknown = 'int'"), "x: needs exactly one of value, each, unknown"),
        (row("x", ""), "x: needs exactly one of value, each, unknown"),
        (row("x", "value = 4").replace("read", "sure"), "x: 'sure' is not a trust mark"),
        (row("x", "value = 4").replace("read", "not known"), "x: 'not known' belongs to unknown only"),
        (row("x", "value = 4").replace("throws", "stones"), "x: 'stones' is not a unit"),
        (row("x", "value = 4", 'region = "mars"\n'), "x: 'mars' is not a region"),
        (row("x", "unknown = 'ages'").replace("read", "not known"), "x: unknown names the kind"),
        (row("x", "value = 2025-01-01"), "x: datetime.date"),
        (row("x", "value = 4") + row("x", "value = 5"), "x stands there twice"),
        (row("x", "each = { a = 4 }") + row("x.a", "value = 5"), "x.a stands there twice"),
        ("nonsense", "a.toml"),
        ("[other]\n", "needs \\[edition\\]"),
    ],
)
def test_a_faulty_file_is_refused_by_name(tmp_path: Path, bad: str, words: str) -> None:
    write(tmp_path, "a", "2025-01-01", bad)

    with pytest.raises(BadRulebookError, match=words):
        load(tmp_path)


def test_an_edition_without_a_date_is_refused(tmp_path: Path) -> None:
    write(tmp_path, "a", '"soon"', row("x", "value = 4"))

    with pytest.raises(BadRulebookError, match="effective is a date"):
        load(tmp_path)


def test_two_editions_of_one_day_may_not_hold_the_same_key(tmp_path: Path) -> None:
    write(tmp_path, "a", "2025-01-01", row("x", "value = 4"), row("y", "value = 4"))
    write(tmp_path, "b", "2025-01-01", row("x", "value = 4"))

    with pytest.raises(BadRulebookError, match="a and b both hold x"):
        load(tmp_path)


def test_a_choice_is_one_of_its_words() -> None:
    day = date(2026, 6, 12)
    rule = in_force(day, "north_america").value("rating.method")
    assert rule.choices == ("by_field", "line", "proportional")
    chosen = in_force(day, "north_america", {"rating.method": Override("proportional", "small field")})
    assert chosen.text("rating.method") == "proportional"
    with pytest.raises(BadOverride, match="is none of by_field, line, proportional"):
        in_force(day, "north_america", {"rating.method": Override("huber", "why not")})
    with pytest.raises(BadOverride, match="is none of"):
        parse_as(rule, "huber")
