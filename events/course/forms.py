"""The layout grid, and the question which division plays which layout."""

from collections.abc import Iterable
from typing import Any

from django import forms

from events.course.grid import LONGEST_LAYOUT, HoleRow
from events.course.models import Layout
from events.course.queries import LayoutFacts
from events.setup.figures import in_metres, in_units
from events.setup.models import Division, Event, Round

SPARE_ROWS = 3


class HoleForm(forms.Form):
    """One row. A row without a label is left out; lengths are typed in the units that the event shows."""

    label = forms.CharField(max_length=6, required=False)
    par = forms.IntegerField(min_value=2, max_value=9, required=False)
    length = forms.IntegerField(min_value=10, max_value=2000, required=False)
    tee = forms.CharField(max_length=40, required=False)
    target = forms.CharField(max_length=40, required=False)
    walk = forms.IntegerField(min_value=0, max_value=120, required=False)
    note = forms.CharField(max_length=200, required=False)

    def clean(self) -> dict[str, Any]:
        values = super().clean() or {}
        if values.get("label") and not values.get("par") and "par" not in self.errors:
            self.add_error("par", "Par is missing.")
        if not values.get("label") and any(values.get(name) for name in ("par", "length", "tee", "target")):
            self.add_error("label", "The label is missing.")
        return values


class LayoutForm(forms.Form):
    name = forms.CharField(max_length=40)
    version = forms.IntegerField(widget=forms.HiddenInput, required=False)
    reason = forms.CharField(max_length=200, required=False, label="Why it changes")


HoleFormSet = forms.formset_factory(HoleForm, extra=0, max_num=LONGEST_LAYOUT + SPARE_ROWS)


def blank_grid(holes: int) -> list[dict[str, Any]]:
    """A new layout: holes 1 to n at par 3."""
    return [{"label": str(number), "par": 3} for number in range(1, holes + 1)]


def grid_of(layout: LayoutFacts, targets: dict[int, str], units: str) -> list[dict[str, Any]]:
    """A standing layout as the grid shows it. `targets`: layout hole id → name of its target."""
    return [
        {
            "label": hole.label,
            "par": hole.par,
            "length": in_units(hole.length_m, units),
            "tee": hole.tee_name,
            "target": targets[hole.id],
            "walk": hole.walk_minutes,
            "note": hole.note,
        }
        for hole in layout.holes
    ]


def rows_of(formset: Any, units: str) -> list[HoleRow]:
    """The typed rows of a valid formset, blank ones left out."""
    return [
        HoleRow(
            label=values["label"],
            par=values["par"],
            length_m=in_metres(values["length"], units),
            tee=values["tee"],
            target=values["target"],
            walk_minutes=values["walk"],
            note=values["note"],
        )
        for values in formset.cleaned_data
        if values.get("label")
    ]


class LayoutUseForm(forms.Form):
    """Divisions down, rounds across: one choice of layout in each cell."""

    def __init__(self, *args: Any, event: Event, chosen: dict[tuple[int, int], int], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.divisions: list[Division] = list(event.divisions.order_by("order", "code"))
        self.rounds: list[Round] = list(event.rounds.order_by("number"))
        self.layouts = {layout.pk: layout for layout in event.layouts.order_by("name")}
        only = next(iter(self.layouts)) if len(self.layouts) == 1 else ""
        choices = [("", "–"), *((str(pk), layout.name) for pk, layout in self.layouts.items())]
        for round_ in self.rounds:
            for division in self.divisions:
                self.fields[self._name(round_, division)] = forms.ChoiceField(
                    choices=choices,
                    required=False,
                    initial=chosen.get((round_.pk, division.pk), only),
                    label=f"{division.code}, round {round_.number}",
                )

    @staticmethod
    def _name(round_: Round, division: Division) -> str:
        return f"use-{round_.pk}-{division.pk}"

    def grid(self) -> Iterable[tuple[Division, list[Any]]]:
        for division in self.divisions:
            yield division, [self[self._name(round_, division)] for round_ in self.rounds]

    def choices_of(self, round_: Round) -> dict[Division, Layout | None]:
        chosen: dict[Division, Layout | None] = {}
        for division in self.divisions:
            value = self.cleaned_data[self._name(round_, division)]
            chosen[division] = self.layouts[int(value)] if value else None
        return chosen


class LayoutFileForm(forms.Form):
    file = forms.FileField(
        label="Workbook or csv",
        help_text="Columns: layout, hole, par, length, tee, target, walk, note. Only hole and par are needed.",
    )
