"""The forms of the plan page."""

from collections.abc import Iterable, Mapping
from copy import copy
from typing import Any
from zoneinfo import ZoneInfo, available_timezones

from django import forms
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError

from events.setup.fields import DaysField, MoneyField, WallClockField, at_venue
from events.setup.models import AddOn, Event, Role, StartType

MOMENTS = ("registration_opens_at", "registration_closes_at", "checkin_opens_at", "checkin_closes_at")
DATE = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
TIME = forms.TimeInput(attrs={"type": "time"}, format="%H:%M")

# What stands under which heading of the form of an event, line by line.
FACT_SECTIONS = (
    (
        "When and where",
        (
            ("name",),
            ("starts_on", "ends_on", "venue", "place"),
            ("days_off",),
            ("time_zone", "latitude", "longitude"),
        ),
    ),
    (
        "How it is run",
        (
            ("tier", "region", "units", "paper"),
            ("cards",),
            ("avoid_repeats",),
            ("show_town",),
        ),
    ),
    (
        "Entries",
        (
            ("registration_opens_at", "registration_closes_at"),
            ("checkin_opens_at", "checkin_closes_at"),
            ("cap", "cap_pro", "cap_am"),
            ("currency", "handling_fee_cents"),
        ),
    ),
)


def zones() -> list[str]:
    """Names of time zones that a venue can have: places, and UTC."""
    named = {name for name in available_timezones() if "/" in name}
    return ["UTC", *sorted(name for name in named if not name.startswith(("Etc/", "SystemV/", "US/")))]


class FactsForm(forms.ModelForm):  # type: ignore[type-arg]  # not generic at run time
    """The event's facts; `cleaned_data` are the keywords of `create_event` and `change_event`."""

    registration_opens_at = WallClockField(required=False)
    registration_closes_at = WallClockField(required=False, label="Registration and promotion close at")
    checkin_opens_at = WallClockField(required=False, label="Check-in opens at")
    checkin_closes_at = WallClockField(required=False, label="Check-in closes at")
    days_off = DaysField(
        required=False,
        label="Days off around the event, as 2026-12-25, 2026-12-26",
        help_text="Public holidays are not known otherwise: a span of business days passes over these.",
    )
    handling_fee_cents = MoneyField(required=False, empty=0, label="Handling fee kept from a refund")

    class Meta:
        model = Event
        fields = [name for _, lines in FACT_SECTIONS for line in lines for name in line]
        widgets = {
            "starts_on": DATE,
            "ends_on": DATE,
            "time_zone": forms.TextInput(attrs={"list": "zones", "autocomplete": "off"}),
            "currency": forms.TextInput(attrs={"maxlength": 3, "autocomplete": "off"}),
        }
        labels = {
            "place": "Town and country",
            "time_zone": "Time zone, as Europe/Oslo",
            "latitude": "Latitude, north +",
            "longitude": "Longitude, east +",
            "currency": "Currency, as USD",
            "avoid_repeats": "Try not to give the same company again",
            "show_town": "Show the town of players on the board",
        }
        help_texts = dict.fromkeys(("avoid_repeats", "show_town"), "")

    def __init__(self, *args: Any, **options: Any) -> None:
        if options.get("instance") is not None:
            options["instance"] = copy(options["instance"])  # what does not validate must not show elsewhere
        super().__init__(*args, **options)

    def clean_currency(self) -> str:
        code = str(self.cleaned_data["currency"]).upper()
        if not (code.isascii() and code.isalpha() and len(code) == 3):
            raise ValidationError("Write three letters, as USD or EUR.")
        return code

    def clean(self) -> dict[str, Any]:
        facts = super().clean() or self.cleaned_data
        zone = facts.get("time_zone")
        if zone not in available_timezones():
            return facts  # the model says so at the field
        for name in MOMENTS:
            wall = facts.get(name)
            if wall is not None:
                try:
                    facts[name] = at_venue(wall, ZoneInfo(zone))
                except ValidationError as problem:
                    self.add_error(name, problem)
        return facts

    def sections(self) -> list[tuple[str, list[list[forms.BoundField]]]]:
        return [(title, [[self[name] for name in line] for line in lines]) for title, lines in FACT_SECTIONS]


class GridForm(forms.Form):
    """A row of a table that is typed into: every input says for the screen reader what it is, and of what."""

    row_words = "new row"

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        of = self.row_name()
        for name, field in self.fields.items():
            field.widget.attrs["aria-label"] = f"{field.label or name}, {of}"

    def row_name(self) -> str:
        return self.row_words

    @property
    def removed(self) -> bool:
        return bool(self.cleaned_data.get("remove"))


class DivisionForm(GridForm):
    row_words = "new division"

    code = forms.ChoiceField(label="division")
    fee_cents = MoneyField(label="fee")
    cap = forms.IntegerField(label="cap", required=False, min_value=1, max_value=9999)
    order = forms.IntegerField(label="order", required=False, min_value=0, max_value=999)
    remove = forms.BooleanField(label="remove", required=False)

    def __init__(self, *args: Any, names: Mapping[str, str], offered: Iterable[str], **options: Any) -> None:
        super().__init__(*args, **options)
        self.offered_code = str(self.initial.get("code", ""))
        code = self.fields["code"]
        assert isinstance(code, forms.ChoiceField)
        if self.offered_code:
            code.choices = [(self.offered_code, self.offered_code)]
            code.widget = forms.HiddenInput()
        else:
            free = [(c, f"{c} {name}") for c, name in names.items() if c not in set(offered)]
            code.choices = [("", ""), *free]

    def row_name(self) -> str:
        return str(self.initial.get("code") or self.row_words)


class RoundForm(GridForm):
    number = forms.IntegerField(widget=forms.HiddenInput(), min_value=1, max_value=20)
    date = forms.DateField(label="date", widget=DATE)
    start_type = forms.ChoiceField(label="start", choices=StartType.choices)
    first_start = forms.TimeField(label="first start", widget=TIME)
    interval_minutes = forms.IntegerField(label="interval", min_value=1, max_value=60)
    remove = forms.BooleanField(label="remove", required=False)

    def row_name(self) -> str:
        return f"round {self.initial.get('number', '')}".strip()


class AddOnForm(GridForm):
    row_words = "new add-on"

    pk = forms.IntegerField(widget=forms.HiddenInput(), required=False)
    name = forms.CharField(label="name", max_length=60)
    kind = forms.ChoiceField(label="kind", choices=AddOn.Kind.choices)
    fee_cents = MoneyField(label="fee")
    included = forms.BooleanField(label="part of the entry fee", required=False)
    remove = forms.BooleanField(label="remove", required=False)

    def row_name(self) -> str:
        return str(self.initial.get("name") or self.row_words)


class RoleForm(GridForm):
    """The role of somebody who is on the staff."""

    pk = forms.IntegerField(widget=forms.HiddenInput())
    role = forms.ChoiceField(label="role", choices=Role.choices)
    remove = forms.BooleanField(label="remove", required=False)

    def row_name(self) -> str:
        return str(self.initial.get("name", ""))


class AccountChoice(forms.ModelChoiceField):  # type: ignore[type-arg]  # not generic at run time
    def label_from_instance(self, account: Any) -> str:
        return f"{account.get_full_name() or account.get_username()} ({account.get_username()})"


class MoveForm(forms.Form):
    """By how many days the whole event moves."""

    days = forms.IntegerField(
        label="By days, earlier with a minus",
        widget=forms.NumberInput({"size": 5, "autocomplete": "off"}),
        error_messages={
            "required": "Write by how many days.",
            "invalid": "Write a whole number of days, as 7 or -7.",
        },
    )


class StaffForm(forms.Form):
    """A new member of the staff: a name for a new account, or an account that exists."""

    name = forms.CharField(max_length=100, required=False)
    user = AccountChoice(
        queryset=User.objects.none(), required=False, label="or an account that exists", empty_label=""
    )
    role = forms.ChoiceField(choices=Role.choices, initial=Role.DESK)

    def __init__(self, *args: Any, accounts: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        user = self.fields["user"]
        assert isinstance(user, forms.ModelChoiceField)
        user.queryset = accounts
        if not accounts:
            del self.fields["user"]

    def clean(self) -> dict[str, Any]:
        facts = super().clean() or self.cleaned_data
        if not self.errors and bool(facts.get("name")) == bool(facts.get("user")):
            self.add_error("name", "Write a name, or choose an account.")
        return facts
