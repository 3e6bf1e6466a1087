"""The forms of the prizes: the event's plan, one division's plan, a table to take, a prize to hand out."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from events.setup.fields import MoneyField, WallClockField, at_venue
from events.setup.models import Event
from scoring.prizes.models import UNITS, DivisionPlan, PrizePlan, TakenTable

CURVE, TABLE = "curve", "table:"
OFF = {"autocomplete": "off"}


def ways(tables: list[TakenTable]) -> list[tuple[str, str]]:
    """The curve and every table, as choices of one field."""
    return [(CURVE, "smooth curve"), *((f"{TABLE}{table.pk}", table.name) for table in tables)]


def way_facts(by: str, tables: list[TakenTable]) -> dict[str, Any]:
    """What a choice of `ways` says of a plan; "" is none."""
    if by.startswith(TABLE):
        table = next(table for table in tables if f"{TABLE}{table.pk}" == by)
        return {"method": DivisionPlan.Method.TABLE.value, "table": table}
    return {"method": by, "table": None}


class EventPlanForm(forms.Form):
    version = forms.IntegerField(widget=forms.HiddenInput)
    added_cents = MoneyField(
        required=False,
        empty=0,
        label="Added cash",
        help_text="Split over the pro divisions by their entry fees",
    )
    how = forms.CharField(
        required=False,
        max_length=200,
        label="How prizes are handed out",
        help_text="As your announcement says it",
        widget=forms.TextInput(attrs=OFF),
    )

    @classmethod
    def of(cls, plan: PrizePlan | None, data: Any = None) -> "EventPlanForm":
        initial = {"version": 0, "added_cents": 0, "how": ""}
        if plan is not None:
            initial = {"version": plan.version, "added_cents": plan.added_cents, "how": plan.how}
        return cls(data, initial=initial)


class PublishedForm(forms.Form):
    at = WallClockField(label="Published")

    def __init__(self, *args: Any, event: Event, **options: Any) -> None:
        super().__init__(*args, **options)
        self.event = event

    def clean_at(self) -> Any:
        return at_venue(self.cleaned_data["at"], self.event.zone)


class WayForm(forms.Form):
    """One way for every division that has none yet."""

    by = forms.ChoiceField(label="Pay by")

    def __init__(self, *args: Any, tables: list[TakenTable], **options: Any) -> None:
        super().__init__(*args, **options)
        self.tables = tables
        self.fields["by"].choices = ways(tables)  # type: ignore[attr-defined]

    def facts(self) -> dict[str, Any]:
        return way_facts(self.cleaned_data["by"], self.tables)


class DivisionPlanForm(forms.Form):
    """`facts()` are those of `plan_division`; professional divisions have fewer fields."""

    version = forms.IntegerField(widget=forms.HiddenInput)
    by = forms.ChoiceField(label="Pay by", required=False)
    curve_first_percent = forms.IntegerField(
        min_value=1,
        max_value=100,
        required=False,
        label="Curve: first prize, % of the purse",
        help_text="Empty: prizes fall as 1, 1/2, 1/3 …",
    )
    curve_last_cents = MoneyField(required=False, empty=0, label="Curve: every prize above")
    unit_cents = forms.TypedChoiceField(choices=UNITS, coerce=int, label="Round prizes")
    places = forms.IntegerField(
        min_value=1, max_value=200, required=False, label="Places paid", help_text="Empty: the least allowed"
    )
    share_percent = forms.IntegerField(
        min_value=0,
        max_value=500,
        required=False,
        label="Net entry returned, %",
        help_text="Empty: by the tier",
    )
    extra_cents = MoneyField(required=False, empty=0, label="Added to this division")
    extra_note = forms.CharField(
        required=False,
        max_length=200,
        label="From",
        help_text="A sponsor, a no-show’s fee",
        widget=forms.TextInput(attrs=OFF),
    )
    fixed_cents = MoneyField(required=False, label="Purse instead", help_text="Empty: as worked out")
    pack_cents = MoneyField(required=False, empty=0, label="Retail value of each pack")
    trophies = forms.IntegerField(min_value=0, max_value=50, required=False, label="Trophies")
    true_amateur = forms.BooleanField(required=False, label="True amateur: trophies only")
    amateur_kind = forms.ChoiceField(choices=DivisionPlan.Kind.choices, label="Prizes are")

    main = ("by", "curve_first_percent", "curve_last_cents", "unit_cents", "places")

    def __init__(self, *args: Any, tables: list[TakenTable], professional: bool, **options: Any) -> None:
        super().__init__(*args, **options)
        self.tables = tables
        self.fields["by"].choices = [("", "not chosen"), *ways(tables)]  # type: ignore[attr-defined]
        if professional:
            del self.fields["true_amateur"]
            del self.fields["amateur_kind"]

    @classmethod
    def of(
        cls, plan: DivisionPlan | None, tables: list[TakenTable], *, professional: bool, data: Any = None
    ) -> "DivisionPlanForm":
        plan, version = plan or DivisionPlan(), plan.version if plan is not None else 0
        by = f"{TABLE}{plan.table_id}" if plan.method == DivisionPlan.Method.TABLE else plan.method
        names = (name for name in cls.base_fields if name not in {"version", "by"})
        initial = {name: getattr(plan, name) for name in names} | {"version": version, "by": by}
        return cls(data, initial=initial, tables=tables, professional=professional)

    def main_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in self.main]

    def other_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in self.fields if name not in {*self.main, "version"}]

    @property
    def others_open(self) -> bool:
        """Whether something stands there already, or is refused."""
        return any(
            field.errors or (field.value() not in {None, "", 0, "0", "merchandise"})
            for field in self.other_fields()
        )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("extra_cents") and not cleaned.get("extra_note"):
            self.add_error("extra_note", ValidationError("Say where it comes from."))
        return cleaned

    def facts(self) -> dict[str, Any]:
        facts = {name: value for name, value in self.cleaned_data.items() if name not in {"version", "by"}}
        return facts | way_facts(self.cleaned_data["by"], self.tables)


class TableForm(forms.Form):
    """A table to look at and to take; what is in the file stands in `text`, so that it can be mended there."""

    name = forms.CharField(max_length=60, label="Name", widget=forms.TextInput(attrs=OFF))
    source = forms.CharField(
        max_length=300,
        label="Where it comes from",
        help_text="Printed with it",
        widget=forms.TextInput(attrs=OFF),
    )
    file = forms.FileField(required=False, label="File (.csv)")
    text = forms.CharField(
        required=False,
        strip=False,
        label="or the table itself",
        help_text="Each row: number of places, then the percentages",
        widget=forms.Textarea(attrs={"rows": 12, "spellcheck": "false"}),
    )

    def content(self) -> bytes:
        """The chosen file, else what stands in the box."""
        chosen = self.cleaned_data.get("file")
        if not chosen:
            return str(self.cleaned_data.get("text", "")).encode()
        content: bytes = chosen.read()
        return content


class HandOverForm(forms.Form):
    """A button's own figures: the amount it showed and the way."""

    method = forms.CharField(max_length=10)
    cents = forms.IntegerField(min_value=0)
    note = forms.CharField(required=False, max_length=200)


class AnswerForm(forms.Form):
    said = forms.CharField(required=False, max_length=11)
    reason = forms.CharField(required=False, max_length=200)


class ForfeitForm(forms.Form):
    """What was done to reach a player who did not claim a prize."""

    cents = forms.IntegerField(min_value=0, widget=forms.HiddenInput)
    asked = forms.CharField(
        max_length=200,
        label="Whom you wrote to, and how",
        help_text="As: the player, twice by mail; the club by phone",
        widget=forms.TextInput(attrs=OFF),
    )
    asked_on = forms.DateField(
        label="The last time, on", widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})
    )
