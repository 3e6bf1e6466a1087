"""Forms of the emergency plan and of who stands where."""

from typing import Any

from django import forms

from events.course.models import LayoutHole
from events.safety.emergency_fields import GROUPS, LONGEST
from events.safety.models import Assignment
from events.setup.models import Event


class PlanForm(forms.Form):
    """A field for each of the plan's; `facts()` is what the service takes."""

    version = forms.IntegerField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        for fields in GROUPS.values():
            for field in fields:
                area = forms.Textarea(attrs={"rows": field.lines})
                self.fields[field.key] = (
                    forms.DateField(
                        required=False, widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
                    )
                    if field.day
                    else forms.CharField(
                        required=False,
                        max_length=LONGEST,
                        widget=area if field.lines > 1 else forms.TextInput(attrs={"autocomplete": "off"}),
                    )
                )
                self.fields[field.key].label = field.label
                self.fields[field.key].help_text = field.help

    def groups(self) -> list[tuple[str, list[forms.BoundField]]]:
        """Headings with their fields, for the page."""
        return [(name, [self[field.key] for field in fields]) for name, fields in GROUPS.items()]

    def facts(self) -> dict[str, str]:
        values = {key: value for key, value in self.cleaned_data.items() if key != "version"}
        return {
            key: value.isoformat() if hasattr(value, "isoformat") else value or ""
            for key, value in values.items()
        }


class HoleChoice(forms.ModelChoiceField):  # type: ignore[type-arg]  # not generic at run time
    """Holes by their layout, as "Upper 7"."""

    def label_from_instance(self, obj: Any) -> str:
        return f"{obj.layout} {obj.label}"


class AssignmentForm(forms.Form):
    """`cleaned_data` are the keywords of `assign`."""

    duty = forms.ChoiceField(label="Duty", choices=Assignment.Duty.choices)
    layout_hole = HoleChoice(
        LayoutHole.objects.none(), label="Hole", required=False, empty_label="no hole: a zone"
    )
    zone = forms.CharField(
        label="Zone", required=False, max_length=60, help_text="As car park, or holes 4 to 9"
    )
    name = forms.CharField(label="Name", max_length=80, widget=forms.TextInput(attrs={"autocomplete": "off"}))
    channel = forms.CharField(label="Telephone or channel", required=False, max_length=40)
    shift = forms.CharField(label="When", required=False, max_length=40, help_text="As 08:30 to 12:00")

    def __init__(self, *args: Any, event: Event, **options: Any) -> None:
        super().__init__(*args, **options)
        holes = LayoutHole.objects.filter(layout__event=event).select_related("layout")
        field = self.fields["layout_hole"]
        assert isinstance(field, HoleChoice)
        field.queryset = holes.order_by("layout__name", "position")
