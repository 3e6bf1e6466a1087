"""What the director types about ratings."""

from datetime import datetime, time
from decimal import Decimal
from typing import Any

from django import forms

from events.sheets.cells import clean
from scoring.ratings.models import MethodDecision
from scoring.ratings.services import HIGHEST_SSA, LOWEST_SSA

LONGEST_PASTED = 400_000  # letters


class MethodForm(forms.Form):
    """How the pool is rated; the average is asked for with the method fixed alone."""

    method = forms.ChoiceField(choices=MethodDecision.Method, label="Method")
    ssa = forms.DecimalField(
        required=False,
        min_value=LOWEST_SSA,
        max_value=HIGHEST_SSA,
        max_digits=6,
        decimal_places=3,
        label="Average, throws",
        help_text="For an average that is typed in: what a 1000-rated player throws here.",
    )
    reason = forms.CharField(required=False, max_length=200, label="Why")

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        fixed = found.get("method") == MethodDecision.Method.FIXED
        if fixed and found.get("ssa") is None and "ssa" not in self.errors:
            self.add_error("ssa", "Type the average in throws, as 58.4.")
        return found

    @property
    def throws(self) -> Decimal | None:
        return self.cleaned_data["ssa"]  # type: ignore[no-any-return]


class SplitForm(forms.Form):
    """From which starts on conditions were others."""

    starts = forms.CharField(
        required=False,
        max_length=60,
        label="Rated apart from these starts on",
        help_text="Local times, as 13:00 or 11:30, 15:00. Blank: all together.",
    )
    reason = forms.CharField(required=False, max_length=200, label="Why")

    def clean_starts(self) -> tuple[time, ...]:
        words = clean(self.cleaned_data["starts"]).replace(";", ",").replace(",", " ").split()
        try:
            return tuple(sorted({datetime.strptime(word, "%H:%M").time() for word in words}))  # noqa: DTZ007
        except ValueError:
            raise forms.ValidationError("Write times as 13:00, with a comma between two.") from None


class HistoryForm(forms.Form):
    """A list of rated rounds, as a file or pasted."""

    file = forms.FileField(required=False, label="File", help_text=".csv or .xlsx")
    pasted = forms.CharField(
        required=False,
        max_length=LONGEST_PASTED,
        strip=False,
        label="Or pasted",
        widget=forms.Textarea(attrs={"rows": 6}),
    )
    date_order = forms.ChoiceField(
        required=False,
        choices=[("", "read from the dates"), ("dmy", "3 April"), ("mdy", "4 March")],
        label="03/04/2026 means",
    )

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        if not found.get("file") and not (found.get("pasted") or "").strip() and not self.errors:
            raise forms.ValidationError("Choose a file, or paste the rounds with their headings.")
        return found

    @property
    def named(self) -> tuple[str, bytes]:
        """Name and content."""
        chosen = self.cleaned_data.get("file")
        if chosen:
            return str(chosen.name), chosen.read()
        return "pasted.csv", str(self.cleaned_data["pasted"]).encode()
