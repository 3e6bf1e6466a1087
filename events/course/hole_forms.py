"""The page of one hole as forms: its own fields, and a table of rows for each kind of part."""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from decimal import Decimal
from typing import Any

from django import forms

from events.course import hole_details as kinds
from events.course.hole_details import HoleDetails
from events.course.sketch import LONGEST_LABEL, MOST_LINES, TOOLS, Item, points_text, read_points
from events.course.sources import SOURCES
from events.setup.figures import MINUS, in_metres, in_units

CM_PER_FOOT = Decimal("30.48")
YES_NO = [("", "not said"), ("yes", "yes"), ("no", "no")]
_AS_FLAG: Mapping[str, bool | None] = {"": None, "yes": True, "no": False}
_AS_WORD = {value: word for word, value in _AS_FLAG.items()}


def to_cm(length: Decimal | None, units: str) -> int | None:
    """A length typed in the event's unit, with decimals, in centimetres; None stays None."""
    return None if length is None else round(length * (100 if units == "m" else CM_PER_FOOT))


def from_cm(cm: int | None, units: str) -> Decimal | None:
    """Centimetres as they are typed: 2.5 m, 8.2 ft."""
    if cm is None:
        return None
    length = Decimal(cm) / (100 if units == "m" else CM_PER_FOOT)
    shown = round(length, 2 if units == "m" else 1)
    return shown.quantize(Decimal(1)) if shown == shown.to_integral() else shown.normalize()


def _choices(known: Mapping[str, str], blank: str = "") -> list[tuple[str, str]]:
    return [("", blank or "–"), *known.items()]


def _text(label: str, longest: int = 120, **attrs: str) -> forms.CharField:
    return forms.CharField(
        label=label,
        max_length=longest,
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off", **attrs}),
    )


def _length(label: str) -> forms.DecimalField:
    return forms.DecimalField(
        label=label, required=False, min_value=0, max_value=1000, decimal_places=2, widget=_figure()
    )


def _figure() -> forms.TextInput:
    return forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})


class SignedField(forms.IntegerField):
    """A whole number whose minus may be the true one, as we print it."""

    widget = forms.TextInput(attrs={"inputmode": "text", "autocomplete": "off"})

    def to_python(self, value: Any) -> int | None:
        return super().to_python(value.replace(MINUS, "-") if isinstance(value, str) else value)


class HoleFactsForm(forms.Form):
    tee_kind = forms.ChoiceField(label="Tee", choices=_choices(kinds.TEE_KINDS, "not said"), required=False)
    target_kind = forms.ChoiceField(
        label="Target", choices=_choices(kinds.TARGET_KINDS, "not said"), required=False
    )
    elevation_m = SignedField(label="Tee to target, up or down", required=False, help_text="down: −12")
    two_metre = forms.ChoiceField(
        label="Two-metre rule", choices=_choices(kinds.TWO_METRE, "as on the course"), required=False
    )
    two_metre_for = _text("for which objects")
    spotter = forms.ChoiceField(label="Spotter", choices=YES_NO, required=False)
    shelter = _text("Nearest shelter")
    shelter_minutes = forms.IntegerField(label="Minutes to it", required=False, widget=_figure())
    ambulance = _text("Nearest ambulance access")
    tee_at = _text("Tee, latitude and longitude", 40, placeholder="47.12345, 8.54321")
    target_at = _text("Target, latitude and longitude", 40, placeholder="47.12345, 8.54321")
    notes = forms.CharField(
        label="Notes for players",
        required=False,
        widget=forms.Textarea(attrs={"rows": 4, "maxlength": kinds.LONGEST_NOTES}),
    )


class MandatoryForm(forms.Form):
    marker = _text("marker")
    side = forms.ChoiceField(label="side", choices=_choices(kinds.SIDES), required=False)
    plane = _text("plane, in words")
    zone = _text("drop zone", 12)
    zone_cm = _length("plane to drop zone")
    waiver = _text("waiver reference", 60)


class OutOfBoundsForm(forms.Form):
    boundary = _text("boundary")
    marking = _text("marking")
    options = forms.ChoiceField(
        label="where play goes on", choices=list(kinds.OPTIONS.items()), required=False, initial=kinds.USUAL
    )
    zone = _text("drop zone", 12)
    relief_cm = _length("relief")
    approval = _text("approval reference", 60)


class AreaForm(forms.Form):
    area = _text("area")
    marking = _text("marking")


class DropZoneForm(forms.Form):
    name = _text("name", 12)
    purpose = forms.ChoiceField(label="after", choices=_choices(kinds.PURPOSES), required=False)
    place = _text("where")
    required = forms.ChoiceField(
        label="use", choices=[("", "–"), ("no", "optional"), ("yes", "required")], required=False
    )
    penalty = forms.TypedChoiceField(
        label="penalty throws",
        choices=[("", "–"), ("1", "1"), ("2", "2")],
        coerce=int,
        empty_value=None,
        required=False,
    )


@dataclass(frozen=True, slots=True)
class Kind:
    title: str
    form: type[forms.Form]
    part: type
    hint: str = ""


KINDS: Mapping[str, Kind] = {
    "mandatories": Kind("Mandatories", MandatoryForm, kinds.Mandatory, "No drop zone: previous lie."),
    "out_of_bounds": Kind(
        "Out of bounds",
        OutOfBoundsForm,
        kinds.OutOfBounds,
        "The line belongs to it. Usual: previous lie, or relief at the last point in bounds.",
    ),
    "zones": Kind("Drop zones", DropZoneForm, kinds.DropZone, "Name them A, B, as above."),
    "hazards": Kind("Hazards", AreaForm, kinds.Area, "A penalty, no relief."),
    "relief": Kind("Relief areas", AreaForm, kinds.Area, "As out of bounds, without penalty."),
    "casual": Kind("Casual areas", AreaForm, kinds.Area, "Casual water needs no word."),
}


@dataclass(frozen=True, slots=True)
class Section:
    name: str
    title: str
    hint: str
    source: str
    rows: Any

    @property
    def columns(self) -> list[str]:
        return [str(field.label) for field in self.rows.empty_form]


class DetailsForms:
    """All forms of a hole's page. Bound with POST data, else filled from `details`."""

    def __init__(self, data: Any, *, details: HoleDetails, units: str) -> None:
        self.units = units
        self.facts = HoleFactsForm(data, initial=_facts_of(details, units))
        self.sections = [
            Section(name, kind.title, kind.hint, SOURCES[name], _rows(data, name, kind, details, units))
            for name, kind in KINDS.items()
        ]

    def is_valid(self) -> bool:
        """Every form is asked, so that all marks show at once."""
        return all([self.facts.is_valid(), *(section.rows.is_valid() for section in self.sections)])

    def details(self) -> HoleDetails:
        """What was typed; a row whose texts are all empty is left out."""
        facts = {**self.facts.cleaned_data}
        facts["spotter"] = _AS_FLAG[facts["spotter"]]
        facts["elevation_m"] = in_metres(facts["elevation_m"], self.units)
        parts: dict[str, Any] = {section.name: self._parts(section) for section in self.sections}
        return HoleDetails(**facts, **parts)

    def _parts(self, section: Section) -> tuple[Any, ...]:
        part = KINDS[section.name].part
        return tuple(
            part(**_typed(row.cleaned_data, self.units)) for row in section.rows if not _is_blank(row)
        )


def _facts_of(details: HoleDetails, units: str) -> dict[str, Any]:
    facts = {name: getattr(details, name) for name in HoleFactsForm.base_fields}
    facts["spotter"] = _AS_WORD[details.spotter]
    facts["elevation_m"] = in_units(details.elevation_m, units)
    return facts


def _rows(data: Any, name: str, kind: Kind, details: HoleDetails, units: str) -> Any:
    parts = [_shown(part, units) for part in getattr(details, name)]
    formset = forms.formset_factory(kind.form, extra=0, max_num=kinds.MOST_OF_A_KIND + 1)
    spare: list[dict[str, Any]] = [{}] if len(parts) < kinds.MOST_OF_A_KIND else []
    return formset(data, initial=[*parts, *spare], prefix=name)


def _shown(part: Any, units: str) -> dict[str, Any]:
    shown = {field.name: getattr(part, field.name) for field in fields(part)}
    for name, value in shown.items():
        if name.endswith("_cm"):
            shown[name] = from_cm(value, units)
        elif name == "required":
            shown[name] = _AS_WORD[value]
    return shown


def _typed(values: Mapping[str, Any], units: str) -> dict[str, Any]:
    found = dict(values)
    for name, value in values.items():
        if name.endswith("_cm"):
            found[name] = to_cm(value, units)
        elif name == "required":
            found[name] = _AS_FLAG[value]
    return found


def _is_blank(row: forms.Form) -> bool:
    """A choice alone does not make a row: every row shows one from the start."""
    texts = [name for name, field in row.fields.items() if not isinstance(field, forms.ChoiceField)]
    return not any(row.cleaned_data.get(name) not in (None, "") for name in texts)


class ReasonForm(forms.Form):
    """What each save of a hole carries beside its fields."""

    version = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
    reason = forms.CharField(label="Why it changes", max_length=200, required=False)


class SketchLineForm(forms.Form):
    """One line of the sketch in the table of points."""

    tool = forms.ChoiceField(choices=[(name, tool.words) for name, tool in TOOLS.items()], required=False)
    points = forms.CharField(required=False, max_length=1200, widget=_figure())
    label = forms.CharField(required=False, max_length=LONGEST_LABEL, widget=_figure())

    def clean_points(self) -> Any:
        try:
            return read_points(self.cleaned_data["points"])
        except ValueError as problem:
            raise forms.ValidationError(str(problem)) from None


SketchFormSet = forms.formset_factory(SketchLineForm, extra=0, max_num=MOST_LINES)


def sketch_rows(data: Any, items: tuple[Item, ...]) -> Any:
    """The table of points, bound with POST data or filled from the sketch."""
    rows = [{"tool": item.tool, "points": points_text(item.points), "label": item.label} for item in items]
    return SketchFormSet(data, initial=rows, prefix="line")


def items_of(rows: Any) -> tuple[Item, ...]:
    """The lines of a valid table; one without points is left out."""
    return tuple(
        Item(row.cleaned_data["tool"], row.cleaned_data["points"], row.cleaned_data["label"])
        for row in rows
        if row.cleaned_data.get("points")
    )
