"""What is sent about lists of approved discs: the file with its day, a search, the director's word."""

from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from events.bags.lists import LONGEST_REASON
from events.sheets.reading import DEFAULT_LIMITS

FIRST_DAY = date(2000, 1, 1)  # no list is older than the files that hold it
MEGABYTE = 1_048_576


class ListFileForm(forms.Form):
    """The upload. Its size is looked at before anything is read."""

    file = forms.FileField(
        label="Choose the published list (.xlsx or .csv) or drop it here",
        widget=forms.FileInput(attrs={"accept": ".xlsx,.xlsm,.csv,.tsv,.txt"}),
        error_messages={"required": "Choose a file first.", "empty": "The file is empty."},
    )
    as_of = forms.DateField(
        label="Taken from its publisher on",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"required": "Write the day.", "invalid": "Write the day as 2026-11-20."},
    )

    def __init__(self, data: Any, files: Any, *, today: date) -> None:
        super().__init__(data, files, initial={"as_of": today})
        self.today = today

    def clean_file(self) -> Any:
        file = self.cleaned_data["file"]
        if file.size > DEFAULT_LIMITS.upload:
            most = f"{DEFAULT_LIMITS.upload / MEGABYTE:.0f} MB"
            raise ValidationError(f"The file is {file.size / MEGABYTE:.1f} MB; at most {most} are read.")
        return file

    def clean_as_of(self) -> date:
        day: date = self.cleaned_data["as_of"]
        if not FIRST_DAY <= day <= self.today:
            raise ValidationError(f"Write a day from {FIRST_DAY.year} to today.")
        return day


class SearchForm(forms.Form):
    """What is looked for in one list; anything unreadable looks for nothing."""

    q = forms.CharField(required=False, label="Maker or model", max_length=100)
    only = forms.ChoiceField(
        required=False,
        label="Show",
        choices=[
            ("", "every model"),
            ("differs", "limit other than by formula"),
            ("blank", "no maximum mass"),
        ],
    )


class DecisionForm(forms.Form):
    """The director's word on a model that is not on the list."""

    piece = forms.IntegerField(min_value=1)
    word = forms.ChoiceField(choices=[("allow", "may be thrown"), ("refuse", "may not be thrown")])
    reason = forms.CharField(
        max_length=LONGEST_REASON,
        error_messages={
            "required": "Write the reason: players will ask for it.",
            "max_length": f"The reason is longer than {LONGEST_REASON} letters: shorten it.",
        },
    )
