"""What is typed at the desk: amounts, filters, an entry by hand, a change, a leaving."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from events.entries.by_hand import offered_person
from events.entries.models import Entry, Payment, Status
from events.entries.refunds import RefundOption
from events.setup.asked import whole_number
from events.setup.fields import MoneyField, WallClockField
from events.setup.figures import money_text
from events.setup.models import AddOn, Division, Event
from players.models import Membership, Person, PlayingClass

NOT_PAID = ""
HIGHEST_CAP = 9999
LOOK_AGAIN = "Look for that person again: what was typed does not lead to them."
PLAIN = {"autocomplete": "off"}
FIGURE = {"autocomplete": "off", "inputmode": "numeric"}
LONGEST_NAME = 60  # letters, as the list that is read in says it too


def _yes_no(value: str) -> bool:
    return value == "yes"


class NameField(forms.CharField):
    """A name of a person, a town, a club: what is too long is refused by a sentence and not cut off by the browser."""

    default_error_messages = {
        "max_length": "This holds %(limit_value)d letters, and %(show_value)d are written: write it shorter."
    }

    def __init__(self, *, max_length: int = LONGEST_NAME, **options: Any) -> None:
        options.setdefault("widget", forms.TextInput(attrs=PLAIN))
        super().__init__(max_length=max_length, **options)

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        return {name: value for name, value in super().widget_attrs(widget).items() if name != "maxlength"}


def offered(event: Event, *, empty: str | None = None) -> "forms.ModelChoiceField[Division]":
    return forms.ModelChoiceField(
        Division.objects.filter(event=event, dropped_at__isnull=True).order_by("order", "code"),
        empty_label=empty,
        error_messages={"required": "Choose the division."},
    )


class OtherPaymentForm(forms.Form):
    """An amount and a way of paying; `owed` is what the page showed, in cents."""

    owed = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
    amount = MoneyField(label="Amount", error_messages={"required": "Write the amount."})
    method = forms.ChoiceField(choices=Payment.Method.choices, label="Paid by")


class FilterForm(forms.Form):
    """The list's filters; an unreadable one filters nothing."""

    q = forms.CharField(required=False, label="Name or number", max_length=100)
    division = forms.ChoiceField(required=False)
    status = forms.ChoiceField(required=False, choices=[("", "any"), *Status.choices])
    owing = forms.BooleanField(required=False, label="owing money")

    def __init__(self, data: Any, *, codes: Sequence[str]) -> None:
        super().__init__(data)
        self.fields["division"].choices = [("", "all"), *((code, code) for code in codes)]  # type: ignore[attr-defined]


class PersonForm(forms.ModelForm):  # type: ignore[type-arg]  # not generic at run time
    """The facts of a person that the desk may need to write."""

    may_enter_f = forms.TypedChoiceField(
        choices=[("", "not known"), ("yes", "yes"), ("no", "no")],
        coerce=_yes_no,
        empty_value=None,
        required=False,
        label="May enter F divisions",
    )

    class Meta:
        model = Person
        fields = (
            "given_name",
            "family_name",
            "member_number",
            "birth_year",
            "may_enter_f",
            "playing_class",
            "rating",
            "membership",
            "membership_expires",
            "town",
            "club",
        )
        field_classes = dict.fromkeys(("given_name", "family_name", "town", "club"), NameField)
        widgets = {
            "member_number": forms.TextInput(attrs=FIGURE),
            "birth_year": forms.TextInput(attrs=FIGURE),
            "rating": forms.TextInput(attrs=FIGURE),
            "membership_expires": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        }
        labels = {"rating": "Rating, as it counts here", "membership_expires": "Membership ends on"}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        may = self.initial.get("may_enter_f")
        self.initial["may_enter_f"] = "" if may is None else "yes" if may else "no"

    def _post_clean(self) -> None:
        """The service writes and validates the person, so that nothing is changed here."""


class AddOnsField(forms.ModelMultipleChoiceField):  # type: ignore[type-arg]  # not generic at run time
    """The ticked add-ons. A number that no database can hold is refused as any other that is not offered."""

    def clean(self, value: Any) -> Any:
        for pk in value or ():
            if whole_number(str(pk)) is None:
                raise ValidationError(self.error_messages["invalid_pk_value"], params={"pk": "That"})
        return super().clean(value)


class ChangeForm(forms.Form):
    """The entry itself; the person and the contact are forms beside it."""

    version = forms.IntegerField(widget=forms.HiddenInput)
    pack = forms.CharField(required=False, max_length=20, widget=forms.TextInput(attrs=PLAIN))
    guardian = forms.CharField(required=False, max_length=120, widget=forms.TextInput(attrs=PLAIN))
    paid_elsewhere_cents = MoneyField(required=False, empty=0, label="Paid before, elsewhere")
    addons = AddOnsField(
        AddOn.objects.none(), required=False, widget=forms.CheckboxSelectMultiple, label="Add-ons"
    )
    note = forms.CharField(required=False, widget=forms.Textarea(attrs={"rows": 2}), max_length=2000)
    exception = forms.CharField(
        required=False,
        label="Approval, where the rules refuse (who, when)",
        widget=forms.TextInput(attrs=PLAIN),
    )
    reason = forms.CharField(required=False, label="Reason, for the log", widget=forms.TextInput(attrs=PLAIN))

    def __init__(self, *args: Any, event: Event, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["division"] = offered(event)
        chosen = AddOn.objects.filter(event=event, included=False).order_by("name")
        self.fields["addons"].queryset = chosen  # type: ignore[attr-defined]


class ContactForm(forms.Form):
    email = forms.EmailField(required=False)
    phone = forms.CharField(required=False, max_length=40)
    emergency_name = forms.CharField(required=False, max_length=120, label="Emergency contact")
    emergency_phone = forms.CharField(required=False, max_length=40, label="Emergency phone")


class NewEntryForm(forms.Form):
    """An entry by hand. Empty fields of somebody who is known leave what is known."""

    person = forms.CharField(required=False, widget=forms.HiddenInput)  # the id; cleaned to the person
    sought = forms.CharField(required=False, widget=forms.HiddenInput)  # what found them
    given_name = NameField(required=False, widget=forms.TextInput(attrs={**PLAIN, "autofocus": True}))
    family_name = NameField()
    member_number = forms.IntegerField(
        required=False, min_value=1, max_value=2**31 - 1, widget=forms.TextInput(attrs=FIGURE)
    )
    birth_year = forms.IntegerField(
        required=False, min_value=1900, max_value=2100, widget=forms.TextInput(attrs=FIGURE)
    )
    playing_class = forms.ChoiceField(
        choices=PlayingClass.choices, required=False, label="Class", initial=PlayingClass.UNKNOWN
    )
    may_enter_f = forms.TypedChoiceField(
        choices=[("", "not known"), ("yes", "yes"), ("no", "no")],
        coerce=_yes_no,
        empty_value=None,
        required=False,
        label="May enter F",
    )
    rating = forms.IntegerField(
        required=False, min_value=1, max_value=1200, widget=forms.TextInput(attrs=FIGURE)
    )
    membership = forms.ChoiceField(choices=Membership.choices, required=False, initial=Membership.UNKNOWN)
    method = forms.ChoiceField(
        choices=[(NOT_PAID, "not paid yet"), *Payment.Method.choices], required=False, label="Paid by"
    )
    amount = MoneyField(required=False, label="Amount (empty: the whole fee)")
    exception = forms.CharField(
        required=False,
        label="Approval, where the rules refuse (who, when)",
        widget=forms.TextInput(attrs=PLAIN),
    )

    another = forms.BooleanField(required=False, label="Yes, another person of that name")

    PERSON = (
        "given_name",
        "family_name",
        "member_number",
        "birth_year",
        "playing_class",
        "may_enter_f",
        "rating",
        "membership",
    )

    def __init__(self, *args: Any, event: Event, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.event = event
        self.fields["division"] = offered(event, empty="choose")

    def clean(self) -> dict[str, Any]:
        facts = super().clean() or self.cleaned_data
        asked = facts.get("person")
        facts["person"] = offered_person(self.event, asked, facts.get("sought", "")) if asked else None
        if asked and facts["person"] is None:
            self.add_error(None, LOOK_AGAIN)
        return facts

    @property
    def facts(self) -> dict[str, Any]:
        return {name: self.cleaned_data[name] for name in self.PERSON}

    def known(self) -> dict[str, Any]:
        """The fields that can be read, also while others are still empty or wrong."""
        self.is_valid()
        return {name: self.cleaned_data.get(name) for name in (*self.PERSON, "division", "person")}


class LeaveForm(forms.Form):
    """A withdrawal: when it was received, which refund of those that the table leaves, how it is paid back."""

    received_at = WallClockField(label="Received (mail or call)")
    option = forms.TypedChoiceField(
        coerce=int, empty_value=None, required=False, widget=forms.RadioSelect, label="Paid back"
    )
    method = forms.ChoiceField(
        choices=Payment.Method.choices, initial=Payment.Method.OTHER, label="Paid back by"
    )
    reason = forms.CharField(required=False, label="Note for the log", widget=forms.TextInput(attrs=PLAIN))

    def __init__(self, *args: Any, options: Sequence[RefundOption], currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices = [(n, option_words(option, currency)) for n, option in enumerate(options)]
        self.fields["option"].choices = [*choices, ("", "nothing now, decide later")]  # type: ignore[attr-defined]


def option_words(option: RefundOption, currency: str) -> str:
    """A choice of the refund as it is shown."""
    figure = money_text(option.cents, currency)
    return f"{option.text}: {figure}" if option.cents or not option.pack else option.text


class ReasonForm(forms.Form):
    reason = forms.CharField(required=False, widget=forms.TextInput(attrs=PLAIN), max_length=500)

    def __init__(self, *args: Any, required: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["reason"].required = required


class CapsForm(forms.Form):
    """Every cap of the event in one form; empty: no cap. `version` is the plan's."""

    version = forms.IntegerField(widget=forms.HiddenInput)
    cap = forms.IntegerField(required=False, min_value=0, max_value=HIGHEST_CAP, label="event")
    cap_pro = forms.IntegerField(required=False, min_value=0, max_value=HIGHEST_CAP, label="professionals")
    cap_am = forms.IntegerField(required=False, min_value=0, max_value=HIGHEST_CAP, label="amateurs")

    def __init__(self, *args: Any, divisions: Sequence[Division], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for division in divisions:
            self.fields[f"division_{division.pk}"] = forms.IntegerField(
                required=False, min_value=0, max_value=HIGHEST_CAP, label=division.code, initial=division.cap
            )


def entries_chosen(event: Event, ids: Sequence[str]) -> list[Entry]:
    """The ticked entries of this event. Raises ValidationError where none is."""
    wanted = [pk for each in ids if (pk := whole_number(each)) is not None]
    found = list(
        Entry.objects.filter(event=event, pk__in=wanted).select_related("person", "division", "event")
    )
    if not found:
        raise ValidationError("Tick somebody first.")
    return found
