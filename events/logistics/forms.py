"""Forms of the list of found things."""

from typing import Any

from django import forms

from events.entries.models import Entry
from events.logistics.models import FoundThing
from events.setup.models import Event, Round


class RoundChoice(forms.ModelChoiceField):  # type: ignore[type-arg]  # not generic at run time
    def label_from_instance(self, obj: Any) -> str:
        return str(obj.number)


class FoundForm(forms.Form):
    """`cleaned_data` are the keywords of `hand_in`."""

    what = forms.CharField(label="What", max_length=120)
    written = forms.CharField(label="Written on it", required=False, max_length=120)
    hole_label = forms.CharField(label="Hole", required=False, max_length=6)
    round = RoundChoice(Round.objects.none(), label="Round", required=False, empty_label="not known")
    found_by = forms.CharField(label="Found by", required=False, max_length=80)

    def __init__(self, *args: Any, event: Event, **options: Any) -> None:
        super().__init__(*args, **options)
        field = self.fields["round"]
        assert isinstance(field, RoundChoice)
        field.queryset = Round.objects.filter(event=event).order_by("number")
        for name in ("what", "written", "hole_label", "found_by"):
            self.fields[name].widget.attrs["autocomplete"] = "off"
        self.fields["what"].widget.attrs["autofocus"] = True


class HandOverForm(forms.Form):
    """`cleaned_data` are the keywords of `hand_over`."""

    outcome = forms.ChoiceField(choices=[choice for choice in FoundThing.Outcome.choices if choice[0]])
    to = forms.CharField(required=False, max_length=120)
    entry = forms.ModelChoiceField(Entry.objects.none(), required=False)

    def __init__(self, *args: Any, event: Event, **options: Any) -> None:
        super().__init__(*args, **options)
        field = self.fields["entry"]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset = Entry.objects.filter(event=event).select_related("person")
