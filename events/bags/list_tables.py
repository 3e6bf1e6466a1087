"""One list of approved discs as a sortable table; what is not known comes last, whichever way it is sorted."""

from decimal import Decimal
from typing import Any

import django_tables2 as tables
from django.db.models import F, QuerySet
from django.utils.html import format_html

from events.bags.limits import MassRule, limit_of
from players.models import ApprovedModel

NUMBER = {"td": {"class": "num"}, "th": {"class": "num"}}
Ordered = tuple["QuerySet[ApprovedModel]", bool]


def _missing_last(rows: "QuerySet[ApprovedModel]", field: str, descending: bool) -> Ordered:
    by = F(field).desc(nulls_last=True) if descending else F(field).asc(nulls_last=True)
    return rows.order_by(by, "key"), True


class ModelTable(tables.Table):  # type: ignore[misc]  # the library has no types
    name = tables.Column(verbose_name="model", order_by=("name", "key"))
    maker = tables.Column(verbose_name="maker", order_by=("key",))
    max_mass_g = tables.Column(verbose_name="most, g", attrs=NUMBER)
    formula = tables.Column(verbose_name="by formula, g", empty_values=(), orderable=False, attrs=NUMBER)
    diameter_cm = tables.Column(verbose_name="across, cm", attrs=NUMBER)
    disc_class = tables.Column(verbose_name="class", order_by=("disc_class", "key"))
    certification = tables.Column(verbose_name="certification", orderable=False)
    approved_on = tables.DateColumn(verbose_name="approved", format="Y-m-d")

    class Meta:
        attrs = {"class": "list dense"}
        empty_text = "No model fits."

    def __init__(self, *args: Any, rule: MassRule, **kwargs: Any) -> None:
        self.rule = rule
        super().__init__(*args, default="–", **kwargs)

    def order_max_mass_g(self, queryset: "QuerySet[ApprovedModel]", is_descending: bool) -> Ordered:
        return _missing_last(queryset, "max_mass_g", is_descending)

    def order_diameter_cm(self, queryset: "QuerySet[ApprovedModel]", is_descending: bool) -> Ordered:
        return _missing_last(queryset, "diameter_cm", is_descending)

    def order_approved_on(self, queryset: "QuerySet[ApprovedModel]", is_descending: bool) -> Ordered:
        return _missing_last(queryset, "approved_on", is_descending)

    def render_formula(self, record: ApprovedModel) -> str:
        limit = limit_of(record.max_mass_g, record.diameter_cm, self.rule)
        if limit.formula_g is None:
            return "–"
        if not limit.differs or limit.listed_g is None:
            return str(limit.formula_g)
        more = limit.listed_g - limit.formula_g
        return format_html('<span class="needs">{} (listed {})</span>', limit.formula_g, _signed(more))


def _signed(grams: Decimal) -> str:
    return f"{'+' if grams > 0 else '−'}{abs(grams)}"
