"""What the director types besides the answers: hole, who saw it, who else, whether the card has it."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.http import QueryDict

from events.sheets.cells import clean
from scoring.cards.models import Ruling
from scoring.cards.rulings import NEEDS_NOBODY
from scoring.penalties.catalogue import throws_text
from scoring.penalties.counting import NotPlayed
from scoring.penalties.queries import Where
from scoring.penalties.services import Told

OF_RULING, VOID, STAYS = "ruling_", "void", "stays"
BECOMES = [("", "–"), (VOID, "void with its throw: taken back"), (STAYS, "stays on top")]
PLAIN = {"autocomplete": "off"}
IN_CARD = [("", "not known: the card room is asked"), ("no", "no"), ("yes", "yes")]


class TextField(forms.CharField):
    """Text that people typed, without what nobody sees; too long is said, never cut."""

    def to_python(self, value: Any) -> str:
        return clean(str(value or ""))


class PenaltyForm(forms.Form):
    """`place` is where the player plays; `hole` is the one the page was opened for. The caller is checked by the
    service, so that it says so for every way in."""

    hole = forms.ChoiceField(label="Hole", required=False)
    what = TextField(
        label="What was seen", required=False, max_length=150, widget=forms.TextInput(attrs=PLAIN)
    )
    caller = TextField(
        label="Called by", max_length=120, widget=forms.TextInput(attrs={**PLAIN, "list": "company"})
    )
    confirmer = TextField(
        label="Confirmed by",
        required=False,
        max_length=120,
        widget=forms.TextInput(attrs={**PLAIN, "list": "company"}),
    )
    also = forms.TypedMultipleChoiceField(
        label="Others of the group who did the same",
        required=False,
        coerce=int,
        widget=forms.CheckboxSelectMultiple,
    )
    alone = forms.BooleanField(label="Own call, or an official’s: needs nobody", required=False)
    twice = forms.BooleanField(label="It happened twice: write it again", required=False)
    in_card = forms.ChoiceField(
        label="In the written score already?",
        required=False,
        choices=IN_CARD,
    )

    def __init__(self, data: QueryDict | None, *, place: Where | None, hole: str = "") -> None:
        super().__init__(data, initial={"hole": hole})
        labels = place.labels if place else ()
        self.fields["hole"].choices = [("", "–"), *((label, label) for label in labels)]  # type: ignore[attr-defined]
        self.fields["also"].choices = place.company if place else ()  # type: ignore[attr-defined]
        self.fields["caller"].error_messages["required"] = "Write who made the call."
        if data is None:
            self.fields["caller" if hole else "hole"].widget.attrs["autofocus"] = True

    def told(self, ways: tuple[str, ...]) -> Told:
        """What was told, as the services take it; only after `is_valid`."""
        facts = self.cleaned_data
        return Told(
            ways=ways,
            hole=facts["hole"],
            what=facts["what"],
            caller=facts["caller"],
            confirmer=facts["confirmer"] or (NEEDS_NOBODY if facts["alone"] else ""),
            also=tuple(facts["also"]),
            in_card={"yes": True, "no": False}.get(facts["in_card"]),
            twice=facts["twice"],
        )


class AbsenceForm(forms.Form):
    """The holes that were not played, as checkboxes in the order of play, and a word why."""

    holes = forms.MultipleChoiceField(
        label="Holes not played",
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Choose the holes that were not played."},
    )
    reason = TextField(label="Why", required=False, max_length=150, widget=forms.TextInput(attrs=PLAIN))

    def __init__(
        self,
        data: QueryDict | None,
        *,
        scores: Sequence[NotPlayed],
        rulings: Sequence[Ruling] = (),
        hole: str = "",
    ) -> None:
        super().__init__(data, initial={"holes": [hole]})
        for ruling in rulings:
            self.fields[f"{OF_RULING}{ruling.pk}"] = forms.ChoiceField(
                label=f"hole {ruling.hole_label}: {throws_text(ruling.throws)}, {ruling.what}",
                required=False,
                choices=BECOMES,
            )
        self.fields["holes"].choices = [(each.label, _in_words(each)) for each in scores]  # type: ignore[attr-defined]
        if data is None:
            self.fields["holes"].widget.attrs["autofocus"] = True

    @property
    def asked(self) -> list[forms.BoundField]:
        """The fields that ask what becomes of a ruling."""
        return [self[name] for name in self.fields if name.startswith(OF_RULING)]

    def rulings(self, answer: str) -> list[int]:
        """Ids of the rulings that were answered so; only after `is_valid`."""
        facts = self.cleaned_data
        return [
            int(name.removeprefix(OF_RULING))
            for name, said in facts.items()
            if name.startswith(OF_RULING) and said == answer
        ]


def _in_words(hole: NotPlayed) -> str:
    written = f", written {hole.written}" if hole.written is not None else ""
    return f"hole {hole.label}: {hole.score} (par {hole.par}{written})"


class EventWarningForm(forms.Form):
    what = TextField(label="What the warning is for", max_length=200, widget=forms.TextInput(attrs=PLAIN))
