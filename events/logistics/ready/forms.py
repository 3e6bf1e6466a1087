"""The form of the director's own work."""

from collections.abc import Sequence
from typing import Any

from django import forms


class OwnWorkForm(forms.Form):
    """`hole` empty: on every hole."""

    words = forms.CharField(
        label="Also to be done", max_length=120, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )
    hole = forms.TypedChoiceField(label="Where", required=False, coerce=int, empty_value=None)

    def __init__(self, *args: Any, holes: Sequence[tuple[int, str]], **options: Any) -> None:
        super().__init__(*args, **options)
        field = self.fields["hole"]
        assert isinstance(field, forms.TypedChoiceField)
        field.choices = [("", "on every hole"), *holes]
