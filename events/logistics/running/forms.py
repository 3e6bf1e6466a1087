"""Forms of a day: a delay, and an item."""

from datetime import date
from typing import Any

from django import forms

from events.draw.models import LONGEST_DELAY
from events.logistics.running.anchors import FIXED, OF_A_ROUND, OF_THE_DAY
from events.logistics.running.laying import DESK, LANES, PEOPLE, SUN, Item
from events.logistics.running.models import FARTHEST_MINUTES
from events.logistics.running.services import ItemFacts
from events.setup.models import Event, Round

CLOCKS = ["%H:%M", "%H.%M", "%H%M"]
LANE_CHOICES = [(code, name) for code, name in LANES.items() if code not in {SUN, PEOPLE}]


class ClockField(forms.TimeField):
    """A time as it is said: 13:00, 13.00 or 1300."""

    def __init__(self, **options: Any) -> None:
        widget = forms.TimeInput({"inputmode": "numeric", "autocomplete": "off", "size": 5}, format="%H:%M")
        wrong = {"invalid": "Write the time as 13:00.", "required": "Write the time as 13:00."}
        super().__init__(widget=widget, input_formats=CLOCKS, error_messages=wrong, **options)


class DelayForm(forms.Form):
    """`cleaned_data` and the day make the keywords of `delay_day`."""

    since = ClockField(label="From")
    minutes = forms.IntegerField(
        label="Minutes later",
        min_value=1,
        max_value=LONGEST_DELAY,
        widget=forms.NumberInput({"inputmode": "numeric", "autocomplete": "off"}),
    )
    reason = forms.CharField(label="Because", max_length=120, widget=forms.TextInput({"autocomplete": "off"}))

    def __init__(self, *args: Any, **options: Any) -> None:
        """Its fields have addresses of their own: the page has another form with minutes."""
        super().__init__(*args, **{"auto_id": "delay_%s", **options})


class ItemForm(forms.Form):
    """An item of a day. `key` and `pk` say which one is kept otherwise; neither: a new one."""

    key = forms.CharField(required=False, max_length=40, widget=forms.HiddenInput)
    pk = forms.IntegerField(required=False, widget=forms.HiddenInput)
    label = forms.CharField(label="What happens", max_length=80)
    tied = forms.ChoiceField(label="Goes by")
    clock = ClockField(label="Time, by the clock", required=False)
    minutes = forms.IntegerField(
        label="Minutes after it",
        required=False,
        min_value=-FARTHEST_MINUTES,
        max_value=FARTHEST_MINUTES,
        help_text="−30: half an hour before",
    )
    lasts = forms.IntegerField(
        label="Lasts, in minutes", required=False, min_value=0, max_value=FARTHEST_MINUTES
    )
    owner = forms.CharField(label="Who", required=False, max_length=60)
    place = forms.CharField(label="Where", required=False, max_length=80)
    lane = forms.ChoiceField(label="Drawn under", choices=LANE_CHOICES, initial=DESK)

    def __init__(self, *args: Any, event: Event, day: date, **options: Any) -> None:
        super().__init__(*args, **options)
        self.rounds = {
            round_.number: round_ for round_ in Round.objects.filter(event=event, date=day).order_by("number")
        }
        tied = self.fields["tied"]
        assert isinstance(tied, forms.ChoiceField)
        tied.choices = [(f"{code}:0", words) for code, words in OF_THE_DAY.items()] + [
            (f"{code}:{number}", f"round {number}: {words}")
            for number in self.rounds
            for code, words in OF_A_ROUND.items()
        ]
        for name in ("label", "owner", "place"):
            self.fields[name].widget.attrs["autocomplete"] = "off"

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        by_clock = str(found.get("tied", "")).split(":")[0] in ("clock", FIXED)
        if by_clock and not found.get("clock") and "clock" not in self.errors:
            self.add_error("clock", "Write the time, as 13:00.")
        return found

    @property
    def facts(self) -> ItemFacts:
        """What was typed; only of a valid form. What does not belong to the choice is left out."""
        typed = self.cleaned_data
        anchor, number = typed["tied"].split(":")
        by_clock = anchor in ("clock", FIXED)
        return ItemFacts(
            label=typed["label"],
            lane=typed["lane"],
            owner=typed["owner"],
            place=typed["place"],
            anchor=anchor,
            round=self.rounds.get(int(number)),
            clock=typed["clock"] if by_clock else None,
            minutes=0 if by_clock else typed["minutes"] or 0,
            lasts=typed["lasts"] or 0,
        )


def typed_item(item: Item, event: Event) -> dict[str, Any]:
    """An item as the form shows it."""
    return {
        "key": item.key if item.usual else "",
        "pk": item.pk,
        "label": item.label,
        "tied": f"{item.anchor[0]}:{item.anchor[1]}",
        "clock": event.local(item.at).time() if item.at else None,
        "minutes": item.minutes,
        "lasts": item.lasts,
        "owner": item.owner,
        "place": item.place,
        "lane": item.lane,
    }
