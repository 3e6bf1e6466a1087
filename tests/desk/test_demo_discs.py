"""The invented list of approved discs: the same for a seed, plausible, and with the slips that real lists have."""

from collections import Counter
from datetime import date
from decimal import Decimal

from desk.demo.discs import MAKERS, list_csv, models
from events.bags.limits import limit_of
from events.bags.rules import mass_rule
from events.rulebook.loader import in_force
from events.sheets.reading import read_table
from players.approved_reading import EXPECTED, read_list

AS_OF = date(2026, 5, 4)
RULE = mass_rule(in_force(date(2026, 6, 13), "north_america"))


def test_the_list_is_the_same_for_a_seed():
    assert list_csv(models(RULE, as_of=AS_OF)) == list_csv(models(RULE, as_of=AS_OF))
    assert list_csv(models(RULE, seed=2, as_of=AS_OF)) != list_csv(models(RULE, as_of=AS_OF))


def test_it_reads_as_a_published_list_with_its_two_remarks():
    data = list_csv(models(RULE, as_of=AS_OF))
    found = read_list(read_table("list.csv", data, expected=EXPECTED), as_of=AS_OF)
    assert [(p.row, p.column, p.value, p.severity) for p in found.problems] == [
        (75, "Max Weight (g)", "", "warning"),
        (92, "Certification Number", "7-Mar", "warning"),
    ]
    assert Counter(model.maker for model in found.models) == dict.fromkeys(MAKERS, 15)
    assert len({model.key for model in found.models}) == 120


def test_two_limits_are_slips_and_every_other_is_the_formula():
    differing = []
    for model in models(RULE, as_of=AS_OF):
        assert Decimal("21.0") <= model.diameter <= Decimal("22.0")
        limit = limit_of(model.max_mass, model.diameter, RULE)
        if limit.differs:
            differing.append(limit.listed_g - limit.formula_g)
    assert differing == [Decimal("0.4"), Decimal("-0.8")]
