"""The reason that closing or opening an event may need."""

from django import forms


class ReasonForm(forms.Form):
    reason = forms.CharField(
        required=False,
        max_length=500,
        label="Reason",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
