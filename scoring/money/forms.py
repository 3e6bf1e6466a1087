"""Forms of the money pages; each one's values are the words of its service."""

from typing import Any

from django import forms

from events.entries.models import Payment
from events.setup.fields import MoneyField
from events.setup.figures import money_text
from events.setup.models import Event
from scoring.money.counting import MOST_PIECES
from scoring.money.denominations import faces_of
from scoring.money.models import BoxCount, MoneyLine
from scoring.money.queries import INCOME

_OFF = {"autocomplete": "off"}
_KINDS = [
    ("", [("", "choose")]),
    ("Income", [(kind.value, kind.label) for kind in INCOME]),
    ("Expense", [(kind.value, kind.label) for kind in MoneyLine.Category if kind not in INCOME]),
]


class LineForm(forms.Form):
    """Income or an expense."""

    submission = forms.UUIDField(widget=forms.HiddenInput)
    category = forms.ChoiceField(label="What", choices=_KINDS)
    cents = MoneyField(label="Amount")
    who = forms.CharField(label="From whom, or to whom", max_length=120, widget=forms.TextInput(attrs=_OFF))
    method = forms.ChoiceField(label="By", choices=Payment.Method.choices)
    on = forms.DateField(label="Day", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
    receipt = forms.CharField(
        label="Receipt number", required=False, max_length=40, widget=forms.TextInput(attrs=_OFF)
    )
    note = forms.CharField(label="Note", required=False, max_length=200, widget=forms.TextInput(attrs=_OFF))

    def clean_category(self) -> MoneyLine.Category:
        return MoneyLine.Category(self.cleaned_data["category"])

    def clean_method(self) -> Payment.Method:
        return Payment.Method(self.cleaned_data["method"])


class CountForm(forms.Form):
    """How many of each piece, and at closing what the other methods show. An empty piece is none, but an empty
    method was not looked at."""

    submission = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, event: Event, kind: BoxCount.Kind, **options: Any) -> None:
        super().__init__(*args, **options)
        self.kind = kind
        self.faces = faces_of(event.currency)
        for face in self.faces:
            self.fields[f"piece{face}"] = forms.IntegerField(
                label=money_text(face, event.currency),
                required=False,
                min_value=0,
                max_value=MOST_PIECES,
                widget=forms.TextInput(attrs={**_OFF, "inputmode": "numeric", "data-face": face}),
            )
        if kind == BoxCount.Kind.CLOSING:
            for method in Payment.Method:
                if method != Payment.Method.CASH:
                    self.fields[f"way_{method.value}"] = MoneyField(label=method.label, required=False)

    def pieces(self) -> list[forms.BoundField]:
        return [self[f"piece{face}"] for face in self.faces]

    def ways(self) -> list[forms.BoundField]:
        return [self[name] for name in self.fields if name.startswith("way_")]

    def counted(self) -> dict[str, Any]:
        """`pieces` and `others` as the service takes them."""
        said = self.cleaned_data
        others = {name.removeprefix("way_"): said[name] for name in said if name.startswith("way_")}
        return {
            "pieces": {face: said[f"piece{face}"] or 0 for face in self.faces},
            "others": {method: cents for method, cents in others.items() if cents is not None},
            "submission": said["submission"],
        }
