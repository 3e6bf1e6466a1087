"""The forms of the draw: pools of a round, how to draw, why it is published."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from events.draw.models import Pool, Sheet
from events.draw.planning import PoolRow
from events.setup.fields import WallClockField, at_venue
from events.setup.models import Division, Event, Round, StartType

SPARE_POOLS = 1


class PoolForm(forms.Form):
    """One pool. A form without a label and without divisions is left out."""

    pk = forms.IntegerField(widget=forms.HiddenInput, required=False)
    label = forms.CharField(max_length=4, required=False)
    divisions = forms.MultipleChoiceField(widget=forms.CheckboxSelectMultiple, required=False)
    start_type = forms.ChoiceField(label="Start", choices=StartType.choices)
    first_start_at = WallClockField(label="First start")
    groups_of = forms.TypedChoiceField(
        label="Players in a group", coerce=int, choices=[(3, "3"), (4, "4"), (5, "5")], initial=4
    )
    interval_minutes = forms.IntegerField(label="Interval, minutes", min_value=1, max_value=60)
    gap_after = forms.IntegerField(
        label="Starter’s gap after groups", required=False, min_value=1, max_value=100
    )
    gap_minutes = forms.IntegerField(label="Gap, minutes", required=False, min_value=0, max_value=120)
    start_labels = forms.CharField(label="Start holes, as 1, 10", required=False, max_length=100)
    second_groups = forms.BooleanField(label="Emergency: second groups on holes", required=False)
    remove = forms.BooleanField(label="Remove this pool", required=False)

    def __init__(self, *args: Any, event: Event, offered: Sequence[Division], **options: Any) -> None:
        super().__init__(*args, **options)
        self.event = event
        divisions = self.fields["divisions"]
        assert isinstance(divisions, forms.MultipleChoiceField)
        divisions.choices = [(str(division.pk), division.code) for division in offered]
        self.title = f"Pool {self.initial['label']}" if self.initial.get("label") else "New pool"

    def clean(self) -> dict[str, Any]:
        facts = super().clean() or self.cleaned_data
        if self.left_out:
            self._errors = type(self.errors)()  # an empty new pool, or one that goes, says nothing
            return facts
        if not facts.get("label") and "label" not in self.errors:
            self.add_error("label", "A pool needs a label, as A.")
        wall = facts.get("first_start_at")
        if wall is not None:
            try:
                facts["first_start_at"] = at_venue(wall, self.event.zone)
            except ValidationError as problem:
                self.add_error("first_start_at", problem)
        return facts

    @property
    def left_out(self) -> bool:
        facts = self.cleaned_data
        unused = not (facts.get("pk") or facts.get("label") or facts.get("divisions"))
        return unused or bool(facts.get("remove"))

    def row(self) -> PoolRow:
        facts = self.cleaned_data
        return PoolRow(
            pk=facts["pk"],
            label=facts["label"].strip(),
            divisions=tuple(int(pk) for pk in facts["divisions"]),
            start_type=facts["start_type"],
            first_start_at=facts["first_start_at"],
            interval_minutes=facts["interval_minutes"],
            gap_after=facts["gap_after"],
            gap_minutes=facts["gap_minutes"] or 0,
            start_labels=facts["start_labels"],
            groups_of=facts["groups_of"],
            second_groups=facts["second_groups"],
        )


PoolFormSet = forms.formset_factory(PoolForm, extra=SPARE_POOLS, max_num=20)


def pool_forms(round: Round, pools: Sequence[Pool], offered: Sequence[Division], data: Any = None) -> Any:
    """The pools as forms, and an empty one after them."""
    initial = [
        {
            **{name: getattr(pool, name) for name in PoolForm.base_fields if hasattr(pool, name)},
            "first_start_at": pool.first_start_at,
            "divisions": [str(division.pk) for division in pool.divisions.all()],
        }
        for pool in pools
    ]
    blank: dict[str, Any] = {
        "start_type": round.start_type,
        "first_start_at": round.first_start_at,
        "interval_minutes": round.interval_minutes,
        "groups_of": 4,
        "gap_minutes": 0,
    }
    grid = PoolFormSet(
        data, initial=initial, prefix="pool", form_kwargs={"event": round.event, "offered": offered}
    )
    if data is None:
        if not pools:  # what the draw would take by itself, to be changed or not
            blank |= {"label": "A", "divisions": [str(division.pk) for division in offered]}
        for form in grid.extra_forms:
            form.initial.update(blank)
    return grid


class DrawForm(forms.Form):
    """`ways`: the methods that are open for the round."""

    method = forms.ChoiceField(label="Draw", widget=forms.RadioSelect)
    seed = forms.CharField(
        max_length=40,
        label="Seed",
        help_text="Made for you. Type another, for instance one thrown with dice in front of the players: "
        "the same seed gives the same draw.",
    )
    only_checked_in = forms.BooleanField(required=False, label="Only who is checked in")

    def __init__(self, *args: Any, ways: Sequence[Sheet.Method], **options: Any) -> None:
        super().__init__(*args, **options)
        method = self.fields["method"]
        assert isinstance(method, forms.ChoiceField)
        method.choices = [(way.value, way.label) for way in ways]


class PublishForm(forms.Form):
    """`reason` is asked where a version is published already, `keep` where a rule is not kept."""

    keep = forms.CharField(
        max_length=300, label="Why it goes out like this", help_text="Recorded with each of the rules above."
    )
    reason = forms.CharField(max_length=300, label="Why the published sheet changes")

    def __init__(self, *args: Any, later: bool, open_marks: bool, **options: Any) -> None:
        super().__init__(*args, **options)
        if not later:
            del self.fields["reason"]
        if not open_marks:
            del self.fields["keep"]
