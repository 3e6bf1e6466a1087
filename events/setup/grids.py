"""The tables of the plan page that are typed into, as formsets: filled from the plan, or from what was sent."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any, cast

from django.forms import BaseFormSet, formset_factory

from events.setup.forms import AddOnForm, DivisionForm, GridForm, RoleForm, RoundForm
from events.setup.models import StartType
from events.setup.planning import AddOnRow, DivisionRow, RoundRow
from events.setup.queries import Plan

NEW_DIVISIONS, NEW_ROUNDS, NEW_ADDONS = 3, 1, 2
Sent = Mapping[str, Any] | None


class BaseGrid(BaseFormSet):  # type: ignore[type-arg]  # not generic at run time
    """Rows that exist, then empty ones whose inputs start with `fresh`."""

    def __init__(self, *args: Any, fresh: Mapping[str, Any] | None = None, **options: Any) -> None:
        self.fresh = fresh
        super().__init__(*args, **options)

    def get_form_kwargs(self, index: int | None) -> dict[str, Any]:
        options = super().get_form_kwargs(index)
        if self.fresh and index is not None and index >= self.initial_form_count():
            options["initial"] = self.fresh
        return options

    def kept(self) -> list[dict[str, Any]]:
        """What the rows say that are filled in and not to be removed."""
        return [form.cleaned_data for form in self if form.cleaned_data and not form.removed]

    def removed(self) -> list[dict[str, Any]]:
        return [form.cleaned_data for form in self if form.cleaned_data and form.removed]


def _grid(
    form: type[GridForm],
    prefix: str,
    rows: Sequence[Mapping[str, Any]],
    sent: Sent,
    *,
    extra: int = 0,
    fresh: Mapping[str, Any] | None = None,
    form_kwargs: Mapping[str, Any] | None = None,
) -> BaseGrid:
    made = cast(Callable[..., BaseGrid], formset_factory(form, formset=BaseGrid, extra=extra))
    return made(sent, initial=rows, prefix=prefix, form_kwargs=dict(form_kwargs or {}), fresh=fresh)


def division_grid(plan: Plan, sent: Sent = None) -> BaseGrid:
    rows = [
        {"code": found.code, "fee_cents": found.fee_cents, "cap": found.cap, "order": found.order}
        for found in plan.divisions
    ]
    offered = [found.code for found in plan.divisions]
    options = {"names": plan.names, "offered": offered}
    return _grid(DivisionForm, "divisions", rows, sent, extra=NEW_DIVISIONS, form_kwargs=options)


def division_rows(grid: BaseGrid) -> list[DivisionRow]:
    return [DivisionRow(row["code"], row["fee_cents"], row["cap"], row["order"]) for row in grid.kept()]


def round_grid(plan: Plan, sent: Sent = None) -> BaseGrid:
    rows = [
        {
            "number": found.number,
            "date": found.date,
            "start_type": found.start_type,
            "first_start": found.first_start,
            "interval_minutes": found.interval_minutes,
        }
        for found in plan.rounds
    ]
    fresh = {
        "number": len(rows) + 1,
        "start_type": StartType.SHOTGUN,
        "first_start": "09:00",
        "interval_minutes": plan.tee_interval,
    }
    return _grid(RoundForm, "rounds", rows, sent, extra=NEW_ROUNDS, fresh=fresh)


def round_rows(grid: BaseGrid) -> list[RoundRow]:
    return [
        RoundRow(row["number"], row["date"], row["start_type"], row["first_start"], row["interval_minutes"])
        for row in grid.kept()
    ]


def addon_grid(plan: Plan, sent: Sent = None) -> BaseGrid:
    rows = [
        {
            "pk": found.pk,
            "name": found.name,
            "kind": found.kind,
            "fee_cents": found.fee_cents,
            "included": found.included,
        }
        for found in plan.addons
    ]
    return _grid(AddOnForm, "addons", rows, sent, extra=NEW_ADDONS)


def addon_rows(grid: BaseGrid) -> list[AddOnRow]:
    return [
        AddOnRow(row["pk"], row["name"], row["kind"], row["fee_cents"], row["included"])
        for row in grid.kept()
    ]


def role_grid(plan: Plan, sent: Sent = None) -> BaseGrid:
    rows = [
        {
            "pk": found.pk,
            "role": found.role,
            "name": found.user.get_full_name() or found.user.get_username(),
            "account": found.user.get_username(),
            "has_password": found.user.has_usable_password(),
        }
        for found in plan.staff
    ]
    return _grid(RoleForm, "staff", rows, sent)
