"""Forms of helpers and shifts."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime, time, timedelta
from typing import Any

from django import forms

from events.course.models import LayoutHole
from events.entries.models import IN_THE_FIELD, Entry
from events.logistics.crew.duties import ANCHORS, CERTIFICATES, DUTIES, FIRST_START, ROUND_END
from events.logistics.crew.models import Helper, Need
from events.setup.models import Event, Round

NOT_ASKED = ("", "not asked"), ("no", "no"), ("yes", "yes")
CONTACT = ("phone", "email", "emergency", "guardian")
TYPED_OFF = {"autocomplete": "off"}


class EntryChoice(forms.ModelChoiceField):  # type: ignore[type-arg]  # not generic at run time
    def label_from_instance(self, obj: Any) -> str:
        return f"{obj.person.name}, {obj.division.code}"


class HoleChoice(forms.ModelChoiceField):  # type: ignore[type-arg]  # not generic at run time
    def label_from_instance(self, obj: Any) -> str:
        return f"{obj.layout} {obj.label}"


class RoundChoice(forms.ModelChoiceField):  # type: ignore[type-arg]  # not generic at run time
    def label_from_instance(self, obj: Any) -> str:
        return f"round {obj.number}"


class HelperForm(forms.Form):
    """Somebody who helps; `facts()` are keywords of `keep_helper`."""

    name = forms.CharField(max_length=80, widget=forms.TextInput(attrs=TYPED_OFF))
    role = forms.CharField(max_length=60, required=False, help_text="As head official, volunteer")
    phone = forms.CharField(max_length=40, required=False, label="Telephone")
    email = forms.EmailField(required=False, label="E-mail")
    channel = forms.CharField(max_length=40, required=False, label="Radio channel")
    emergency = forms.CharField(max_length=120, required=False, label="Whom to call for them")
    minor = forms.ChoiceField(choices=NOT_ASKED, required=False, label="Under age")
    guardian = forms.CharField(
        max_length=160, required=False, label="Guardian", help_text="Of a minor: name and telephone"
    )
    duties = forms.MultipleChoiceField(
        choices=[(code, duty.label) for code, duty in DUTIES.items()],
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="None ticked: anything that asks no certificate",
    )
    entry = EntryChoice(Entry.objects.none(), required=False, label="Plays here", empty_label="does not play")

    def __init__(self, *args: Any, event: Event, **options: Any) -> None:
        super().__init__(*args, **options)
        field = self.fields["entry"]
        assert isinstance(field, EntryChoice)
        field.queryset = (
            Entry.objects.filter(event=event, status__in=IN_THE_FIELD)
            .select_related("person", "division")
            .order_by("person__sort_name", "pk")
        )

    @staticmethod
    def begun(helper: Helper) -> dict[str, Any]:
        contact = getattr(helper, "contact", None)
        minor = contact.minor if contact else None
        return {
            **{name: getattr(helper, name) for name in ("name", "role", "channel", "duties")},
            **{name: getattr(contact, name, "") for name in CONTACT},
            "entry": helper.entry_id,
            "minor": "" if minor is None else "yes" if minor else "no",
        }

    def facts(self) -> dict[str, Any]:
        given = self.cleaned_data
        minor = {"yes": True, "no": False}.get(given["minor"])
        return {
            **{name: given[name] for name in ("name", "role", "channel", "duties", "entry")},
            "contact": {**{name: given[name] for name in CONTACT}, "minor": minor},
        }


class CertificateForm(forms.Form):
    """`cleaned_data` are keywords of `keep_certificate`."""

    kind = forms.ChoiceField(label="Certificate", choices=list(CERTIFICATES.items()))
    expires_on = forms.DateField(
        label="Valid until",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text="Without a day it does not count",
    )


class HoursForm(forms.Form):
    """From and to for each day of the event and the day before; a day left empty: not there."""

    def __init__(self, *args: Any, event: Event, **options: Any) -> None:
        super().__init__(*args, **options)
        self._event = event
        self.days = [
            event.starts_on + timedelta(days=step)
            for step in range(-1, (event.ends_on - event.starts_on).days + 1)
        ]
        clock = {"type": "time"}
        for day in self.days:
            for part in ("from", "to"):
                self.fields[f"{part}_{day}"] = forms.TimeField(
                    required=False,
                    label=f"{day:%A} {day.day} {day:%B}, {part}",
                    widget=forms.TimeInput(attrs=clock, format="%H:%M"),
                )

    def pairs(self) -> list[tuple[date, forms.BoundField, forms.BoundField]]:
        return [(day, self[f"from_{day}"], self[f"to_{day}"]) for day in self.days]

    @staticmethod
    def begun(helper: Helper) -> dict[str, Any]:
        local = helper.event.local
        found: dict[str, Any] = {}
        for row in helper.free_hours.all():
            day = local(row.starts_at).date()
            found[f"from_{day}"] = local(row.starts_at).time()
            found[f"to_{day}"] = local(row.ends_at).time()
        return found

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        for day in self.days:
            first, last = given.get(f"from_{day}"), given.get(f"to_{day}")
            if (first is None) != (last is None):
                self.add_error(f"to_{day}" if first else f"from_{day}", "Write both times, or none.")
            elif first is not None and last is not None and last <= first:
                self.add_error(f"to_{day}", "The hours end before they begin: write a later time.")
        return given

    def spans(self) -> list[tuple[datetime, datetime]]:
        found = []
        for day in self.days:
            first: time | None = self.cleaned_data.get(f"from_{day}")
            last: time | None = self.cleaned_data.get(f"to_{day}")
            if first is not None and last is not None:
                found.append((self._event.at(day, first), self._event.at(day, last)))
        return found


class NeedForm(forms.Form):
    """A shift: tied to a round, or with hours of its own. `facts()` is what `keep_need` takes."""

    duty = forms.ChoiceField(choices=[(code, duty.label) for code, duty in DUTIES.items()])
    place = forms.CharField(max_length=80, required=False, help_text="In words, or choose a hole")
    layout_hole = HoleChoice(LayoutHole.objects.none(), label="Hole", required=False, empty_label="no hole")
    people = forms.IntegerField(min_value=1, max_value=30, initial=1, label="How many people")
    round = RoundChoice(
        Round.objects.none(), required=False, empty_label="none: hours of its own", help_text="Moves with it"
    )
    from_minutes = forms.IntegerField(label="Minutes after (before: −)", required=False, initial=-10)
    from_anchor = forms.ChoiceField(
        label="of", choices=list(ANCHORS.items()), required=False, initial=FIRST_START
    )
    to_minutes = forms.IntegerField(label="Until minutes after", required=False, initial=0)
    to_anchor = forms.ChoiceField(
        label="of", choices=list(ANCHORS.items()), required=False, initial=ROUND_END
    )
    starts_at = forms.DateTimeField(label="From", required=False)
    ends_at = forms.DateTimeField(label="To", required=False)
    channel = forms.CharField(max_length=40, required=False, label="Radio channel")
    road = forms.BooleanField(required=False, label="Vehicles pass there")
    task = forms.CharField(
        max_length=400,
        required=False,
        label="What to do",
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Empty: as the duty says",
    )

    def __init__(self, *args: Any, event: Event, **options: Any) -> None:
        super().__init__(*args, **options)
        hole, round_ = self.fields["layout_hole"], self.fields["round"]
        assert isinstance(hole, HoleChoice)
        assert isinstance(round_, RoundChoice)
        holes = LayoutHole.objects.filter(layout__event=event).select_related("layout")
        hole.queryset = holes.order_by("layout__name", "position")
        round_.queryset = Round.objects.filter(event=event).order_by("number")
        for name in ("starts_at", "ends_at"):
            self.fields[name].widget = forms.DateTimeInput(
                attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"
            )

    @staticmethod
    def begun(need: Need) -> dict[str, Any]:
        same: Sequence[str] = (
            "duty", "place", "people", "from_minutes", "to_minutes", "from_anchor", "to_anchor",
            "starts_at", "ends_at", "channel", "road", "task",
        )  # fmt: skip
        return {
            **{name: getattr(need, name) for name in same},
            "layout_hole": need.layout_hole_id,
            "round": need.round_id,
        }

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        if not given.get("place") and not given.get("layout_hole"):
            self.add_error("place", "Say where: in words, or by a hole.")
        if not given.get("round"):
            for name in ("starts_at", "ends_at"):
                if not given.get(name) and name not in self.errors:
                    self.add_error(name, "Without a round a shift needs a day and time.")
        return given

    def facts(self) -> Mapping[str, Any]:
        given = dict(self.cleaned_data)
        hole = given["layout_hole"]
        given["place"] = given["place"] or f"{hole.layout} {hole.label}"
        if given["round"]:
            given |= {"starts_at": None, "ends_at": None}
            given["from_minutes"] = given["from_minutes"] or 0
            given["to_minutes"] = given["to_minutes"] or 0
        else:
            given |= {"from_anchor": "", "to_anchor": "", "from_minutes": 0, "to_minutes": 0}
        return given
