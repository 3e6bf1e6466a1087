"""The form of an incident, with the moment of writing as its start."""

from datetime import datetime
from typing import Any

from django import forms

from events.logistics.incidents.models import Incident
from events.setup.models import Event, Round

LONGEST = 4000
TYPED_OFF = {"autocomplete": "off"}


class IncidentForm(forms.Form):
    """`cleaned_data` are the facts of `write_incident`."""

    kind = forms.ChoiceField(label="What kind", choices=Incident.Kind.choices)
    happened_at = forms.DateTimeField(
        label="When", widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M")
    )
    place = forms.CharField(
        label="Where",
        max_length=80,
        help_text="Hole or place",
        widget=forms.TextInput(attrs={**TYPED_OFF, "list": "places"}),
    )
    round_number = forms.TypedChoiceField(label="Round", required=False, coerce=int, empty_value=None)
    who = forms.CharField(
        label="Whom it concerns", max_length=300, required=False, widget=forms.TextInput(attrs=TYPED_OFF)
    )
    what = forms.CharField(
        label="What happened",
        max_length=LONGEST,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text="What was seen, not what it may mean",
    )
    witnesses = forms.CharField(
        label="Who saw it", max_length=300, required=False, widget=forms.TextInput(attrs=TYPED_OFF)
    )
    done = forms.CharField(
        label="What was done or ruled",
        max_length=LONGEST,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    done_by = forms.CharField(
        label="By whom", max_length=120, required=False, widget=forms.TextInput(attrs=TYPED_OFF)
    )

    def __init__(self, *args: Any, event: Event, now: datetime, **options: Any) -> None:
        options.setdefault("initial", {"happened_at": event.local(now).replace(second=0, microsecond=0)})
        super().__init__(*args, **options)
        rounds = Round.objects.filter(event=event).order_by("number").values_list("number", flat=True)
        field = self.fields["round_number"]
        assert isinstance(field, forms.TypedChoiceField)
        field.choices = [("", "none"), *((number, str(number)) for number in rounds)]
