"""The form of a hazard note."""

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django import forms

from events.course.hazard_starts import CONTROLS, EFFECTS, SEVERITIES, Start
from events.course.hazards import FIELD_OF
from events.course.models import HazardNote, LayoutHole
from events.setup.fields import WallClockField, at_venue
from events.setup.models import Event


class HazardForm(forms.ModelForm):  # type: ignore[type-arg]  # not generic at run time
    """`facts()` and `places()` are what the services take. A hole is ticked once, whatever layouts call it."""

    holes = forms.MultipleChoiceField(
        label="Holes",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="None ticked: the whole course.",
    )
    severity = forms.ChoiceField(label="How severe", choices=list(SEVERITIES.items()))
    effect = forms.ChoiceField(label="Effect in the rules", choices=list(EFFECTS.items()), required=False)
    valid_from = WallClockField(required=False, label="From", help_text="Empty: from now on.")
    valid_to = WallClockField(required=False, label="Until", help_text="Empty: until withdrawn.")
    version = forms.IntegerField(widget=forms.HiddenInput, required=False)

    class Meta:
        model = HazardNote
        fields = [
            "what", "where", "risk_player", "risk_spectator", "risk_public", "severity", "control", "effect",
            "valid_from", "valid_to", "on_card", "on_tee_sign", "at_meeting", "on_board",
        ]  # fmt: skip
        labels = {"what": "What", "where": "Where exactly", "control": "What is done about it"}
        widgets = {"control": forms.TextInput(attrs={"list": "controls", "autocomplete": "off"})}

    def __init__(self, *args: Any, event: Event, **options: Any) -> None:
        super().__init__(*args, **options)
        self.event = event
        self.controls = CONTROLS
        self._places = list(
            LayoutHole.objects.filter(layout__event=event)
            .select_related("layout")
            .order_by("layout__name", "position")
        )
        self.fields["holes"].choices = _hole_choices(self._places)  # type: ignore[attr-defined]
        if self.instance.pk:
            chosen = self.instance.layout_holes.values_list("hole_id", flat=True)
            self.fields["holes"].initial = [str(hole) for hole in set(chosen)]
            self.fields["version"].initial = self.instance.version

    def clean_valid_from(self) -> datetime | None:
        return self._moment("valid_from")

    def clean_valid_to(self) -> datetime | None:
        return self._moment("valid_to")

    def _moment(self, name: str) -> datetime | None:
        wall = self.cleaned_data[name]
        return at_venue(wall, self.event.zone) if wall is not None else None

    def facts(self) -> dict[str, Any]:
        return {name: self.cleaned_data[name] for name in self.Meta.fields}

    def places(self) -> list[LayoutHole]:
        """Every place in a layout of the ticked physical holes."""
        chosen = {int(hole) for hole in self.cleaned_data["holes"]}
        return [place for place in self._places if place.hole_id in chosen]

    @property
    def at_risk(self) -> list[Any]:
        return [self[name] for name in ("risk_player", "risk_spectator", "risk_public")]

    @property
    def printed_on(self) -> list[Any]:
        return [self[name] for name in FIELD_OF.values()]


def _hole_choices(places: Iterable[LayoutHole]) -> list[tuple[str, str]]:
    """Physical hole → "Upper 7, Short 3"."""
    names: dict[int, list[str]] = {}
    for place in places:
        names.setdefault(place.hole_id, []).append(f"{place.layout.name} {place.label}")
    return [(str(hole), ", ".join(found)) for hole, found in names.items()]


def initial_of(start: Start) -> dict[str, Any]:
    """A starting point as the form shows it."""
    return {
        "what": start.what,
        "severity": start.severity,
        "control": start.control,
        "effect": start.effect,
        **{f"risk_{name}": True for name in start.at_risk},
        **{field: name in start.printed for name, field in FIELD_OF.items()},
    }
