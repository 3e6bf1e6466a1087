"""A call as it is typed: what was thrown, on which hole, by whose word."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from events.bags.calls import CallIn
from events.bags.models import Call
from events.setup.asked import whole_number
from events.sheets.cells import clean
from players.models import Disc

OTHER = ""
MOST_THROWS_A_HOLE = 30  # the product's own bound, no source
PLAIN = {"autocomplete": "off"}


class TextField(forms.CharField):
    """Text that people typed, without what nobody sees; too long is said, never cut."""

    def to_python(self, value: Any) -> str:
        return clean(str(value or ""))


class ThrowField(forms.CharField):
    """Which throw on the hole, counted from 1; None where nobody said."""

    def clean(self, value: Any) -> int | None:
        text = clean(str(value or ""))
        number = whole_number(text)
        if text and (number is None or not 0 < number <= MOST_THROWS_A_HOLE):
            raise ValidationError("Write the throw as a number from 1, or leave it empty.")
        return number


class CallForm(forms.Form):
    """What somebody calls. `holes` are the labels of the player's layout, `box` the player's discs, `company` the
    names of the group, which are offered and never enforced."""

    kinds = forms.MultipleChoiceField(
        label="What was thrown",
        choices=Call.Kind.choices,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Choose what was thrown: an unmarked disc, an illegal disc, or both."},
    )
    hole = forms.ChoiceField(label="Hole", error_messages={"required": "Choose the hole."})
    throw = ThrowField(
        label="Throw on the hole, if known",
        required=False,
        widget=forms.TextInput(attrs={**PLAIN, "inputmode": "numeric", "maxlength": 2}),
    )
    disc = forms.ChoiceField(label="Disc", required=False)
    what = TextField(
        label="What was seen", required=False, max_length=200, widget=forms.TextInput(attrs=PLAIN)
    )
    caller = TextField(
        label="Called by",
        max_length=120,
        widget=forms.TextInput(attrs={**PLAIN, "list": "company"}),
        error_messages={"required": "Write who made the call."},
    )
    confirmer = TextField(
        label="Confirmed by",
        required=False,
        max_length=120,
        widget=forms.TextInput(attrs={**PLAIN, "list": "company"}),
    )
    playoff = forms.BooleanField(label="in a playoff", required=False)

    def __init__(self, data: Any, *, holes: Sequence[str], box: Sequence[Disc]) -> None:
        super().__init__(data)
        if data is None:
            self.fields["kinds"].widget.attrs["autofocus"] = True
        self.box = {str(disc.pk): disc for disc in box}
        self.fields["hole"].choices = [("", "–"), *((label, label) for label in holes)]  # type: ignore[attr-defined]
        self.fields["disc"].choices = [  # type: ignore[attr-defined]
            (OTHER, "another, or not known"),
            *((key, _in_words(disc)) for key, disc in self.box.items()),
        ]

    @property
    def told(self) -> CallIn:
        """The call as the service takes it; only after `is_valid`."""
        facts = self.cleaned_data
        return CallIn(
            kinds=tuple(facts["kinds"]),
            hole_label=facts["hole"],
            throw=facts["throw"],
            what=facts["what"],
            caller=facts["caller"],
            confirmer=facts["confirmer"],
            playoff=facts["playoff"],
        )

    @property
    def piece(self) -> Disc | None:
        """The disc of the player's box that was named; only after `is_valid`."""
        return self.box.get(self.cleaned_data["disc"])


def _in_words(disc: Disc) -> str:
    return " ".join(filter(None, (f"{disc.number}", disc.maker, disc.model, disc.colour)))
