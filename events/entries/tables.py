"""The list of entries as a sortable table: what is missing comes last, whichever way it is sorted."""

from typing import Any

import django_tables2 as tables
from django.db.models import F, QuerySet
from django.urls import reverse
from django.utils.html import format_html

from events.entries.models import Entry, Status
from events.setup.figures import clock_text, money_text
from events.setup.models import Event

NUMBER = {"td": {"class": "num"}, "th": {"class": "num"}}
Ordered = tuple["QuerySet[Entry]", bool]


def _missing_last(queryset: "QuerySet[Entry]", field: str, descending: bool) -> Ordered:
    by = F(field).desc(nulls_last=True) if descending else F(field).asc(nulls_last=True)
    return queryset.order_by(by, "person__sort_name", "pk"), True


class EntryTable(tables.Table):  # type: ignore[misc]  # the library has no types
    name = tables.Column(accessor="person__name", verbose_name="name", order_by=("person__sort_name", "pk"))
    number = tables.Column(accessor="person__member_number", verbose_name="member", attrs=NUMBER)
    division = tables.Column(
        accessor="division__code",
        verbose_name="division",
        order_by=("division__order", "person__sort_name", "pk"),
    )
    status = tables.Column(verbose_name="status", order_by=("status", "person__sort_name", "pk"))
    received_at = tables.Column(verbose_name="received", order_by=("received_at", "pk"))
    rating = tables.Column(verbose_name="rating", attrs=NUMBER)
    owed = tables.Column(verbose_name="owed", attrs=NUMBER, order_by=("owed", "person__sort_name", "pk"))
    checked_in_at = tables.Column(verbose_name="in")
    pack = tables.Column(verbose_name="pack", orderable=False)

    class Meta:
        model = Entry
        fields = (
            "name",
            "number",
            "division",
            "status",
            "received_at",
            "rating",
            "owed",
            "checked_in_at",
            "pack",
        )
        attrs = {"class": "list dense"}
        empty_text = "No entry fits."

    def __init__(self, *args: Any, event: Event, **kwargs: Any) -> None:
        self.event = event
        super().__init__(*args, default="–", **kwargs)

    def order_rating(self, queryset: "QuerySet[Entry]", is_descending: bool) -> Ordered:
        return _missing_last(queryset, "rating", is_descending)

    def order_number(self, queryset: "QuerySet[Entry]", is_descending: bool) -> Ordered:
        return _missing_last(queryset, "person__member_number", is_descending)

    def order_checked_in_at(self, queryset: "QuerySet[Entry]", is_descending: bool) -> Ordered:
        return _missing_last(queryset, "checked_in_at", is_descending)

    def render_name(self, record: Entry) -> str:
        url = reverse("entries:entry", args=[self.event.slug, record.pk])
        return format_html('<a href="{}">{}</a>', url, record.person.name)

    def render_division(self, value: str) -> str:
        return format_html('<b class="division">{}</b>', value)

    def render_status(self, record: Entry) -> str:
        return Status(record.status).label

    def render_received_at(self, record: Entry) -> str:
        local = self.event.local(record.received_at)
        return f"{local.day} {local:%b %H:%M}"

    def render_owed(self, record: Any) -> str:
        if record.owed == 0:
            return "paid"
        figure = money_text(record.owed, self.event.currency)
        due = record.owed > 0 and record.status in {Status.CONFIRMED, Status.APPLIED}
        return format_html('<span class="needs">{}</span>', figure) if due else figure

    def render_checked_in_at(self, record: Entry) -> str:
        assert record.checked_in_at is not None  # the library shows a dash otherwise
        return clock_text(self.event.local(record.checked_in_at))

    def render_pack(self, record: Entry) -> str:
        return f"{record.pack}, given" if record.pack_given_at else record.pack
