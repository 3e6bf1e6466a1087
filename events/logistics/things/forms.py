"""Forms of the list of things."""

from datetime import date
from typing import Any

from django import forms

from events.logistics.things.models import Lot
from events.logistics.things.services import LONGEST_LINE_M, MOST
from events.setup.figures import in_metres, in_units
from events.setup.models import Event

LEAST_C, MOST_C = -40, 55


class PlanForm(forms.Form):
    """`cleaned_data` are the keywords of `plan_things`. Empty: not said."""

    players = forms.IntegerField(label="Players, at least", required=False, min_value=0, max_value=2000)
    helpers = forms.IntegerField(label="Helpers", required=False, min_value=0, max_value=2000)
    heat_c = forms.IntegerField(label="Warmest, °C", required=False, min_value=LEAST_C, max_value=MOST_C)


class NeededForm(forms.Form):
    """Empty: the computed number again."""

    needed = forms.IntegerField(label="Needed", required=False, min_value=0, max_value=MOST)


class OwnForm(forms.Form):
    """`cleaned_data` are keywords of `add_own`."""

    name = forms.CharField(
        label="Own thing", max_length=80, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )
    needed = forms.IntegerField(label="Needed", min_value=0, max_value=MOST)
    unit = forms.CharField(
        label="Unit", required=False, max_length=20, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )


class LotForm(forms.Form):
    """`cleaned_data` are keywords of `add_lot`."""

    count = forms.IntegerField(label="Count", min_value=1, max_value=MOST)
    way = forms.ChoiceField(label="How", choices=Lot.Way.choices)
    whose = forms.CharField(
        label="Borrowed of",
        required=False,
        max_length=80,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    back_on = forms.DateField(
        label="Back on", required=False, widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})
    )
    box = forms.CharField(
        label="Box", required=False, max_length=20, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )

    def clean_back_on(self) -> date | None:
        day: date | None = self.cleaned_data["back_on"]
        if day is not None and not 2000 <= day.year <= 2100:
            raise forms.ValidationError("Write a year from 2000 to 2100.")
        return day

    def clean(self) -> dict[str, Any]:
        facts = super().clean() or self.cleaned_data
        if facts.get("way") == Lot.Way.BORROWED and not facts.get("whose"):
            self.add_error("whose", "Say of whom it is borrowed.")
        return facts


class LengthForm(forms.Form):
    """A line's length in the event's unit; empty: not known. `cleaned_data["metres"]` is in metres."""

    length = forms.IntegerField(label="Length", required=False, min_value=0)

    def __init__(self, *args: Any, event: Event, **options: Any) -> None:
        super().__init__(*args, **options)
        self.units = event.units
        field = self.fields["length"]
        assert isinstance(field, forms.IntegerField)
        field.max_value = in_units(LONGEST_LINE_M, event.units)

    def clean(self) -> dict[str, Any]:
        facts = super().clean() or self.cleaned_data
        facts["metres"] = in_metres(facts.get("length"), self.units)
        if facts["metres"] is not None and facts["metres"] > LONGEST_LINE_M:
            self.add_error("length", f"A line is at most {LONGEST_LINE_M:,} m long.")
        return facts
