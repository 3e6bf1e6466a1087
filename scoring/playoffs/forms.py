"""What is typed on the pages of cuts and playoffs."""

import re
from typing import Any

from django import forms
from django.http import QueryDict

from events.setup.models import Division, Round
from scoring.cards.arithmetic import MOST_THROWS
from scoring.playoffs.co_winners import LeftStanding
from scoring.playoffs.contest import MOST_AGGREGATE_HOLES
from scoring.standings.models import Cut


class CutForm(forms.Form):
    division = forms.ChoiceField(label="Division")
    after_round = forms.TypedChoiceField(label="After round", coerce=int)
    players = forms.IntegerField(label="Players who go on", required=False, min_value=1, max_value=999)
    percent = forms.IntegerField(
        label="or percent of the division",
        required=False,
        min_value=1,
        max_value=99,
        help_text="Of those who started, rounded up",
    )
    ties = forms.ChoiceField(label="Ties at the line", choices=Cut.Ties.choices, initial=Cut.Ties.PLAYOFF)
    reason = forms.CharField(label="Why now", max_length=200, required=False)

    def __init__(
        self, *args: Any, divisions: list[Division], rounds: list[Round], late: bool, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["division"].choices = [(each.code, each.code) for each in divisions]  # type: ignore[attr-defined]
        self.fields["after_round"].choices = [(each.number, each.number) for each in rounds[:-1]]  # type: ignore[attr-defined]
        if late:
            self.fields["reason"].help_text = "Registration is open: a cut is made known before (1.08.A)"
        else:
            del self.fields["reason"]

    def clean(self) -> dict[str, Any]:
        facts = super().clean() or {}
        if not self.errors and (facts.get("players") is None) == (facts.get("percent") is None):
            raise forms.ValidationError("Give a number of players or a percentage, one of the two.")
        return facts


class BeginForm(forms.Form):
    aggregate = forms.TypedChoiceField(
        label="How",
        coerce=int,
        choices=[
            (0, "sudden death, hole by hole"),
            *(
                (count, f"{count} holes added up, then sudden death")
                for count in range(2, MOST_AGGREGATE_HOLES + 1)
            ),
        ],
    )
    holes = forms.CharField(
        label="Holes, if others were named before the event",
        required=False,
        max_length=200,
        help_text="As 1 2 17; empty: the last layout from its first hole",
    )
    seed = forms.CharField(label="Seed of the order on the first tee", max_length=64)
    declined = forms.TypedMultipleChoiceField(
        label="Declines to play off",
        coerce=int,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="Takes the lower place",
    )

    def __init__(self, *args: Any, players: list[tuple[int, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["declined"].choices = players  # type: ignore[attr-defined]

    def clean_holes(self) -> tuple[str, ...]:
        return tuple(part for part in re.split(r"[\s,;]+", self.cleaned_data["holes"]) if part)


class ContestForm(forms.Form):
    """A trophy decided by another contest; `players` are those who are tied for it."""

    what = forms.CharField(label="What they did", max_length=200, help_text="As: three putts from 10 m")
    winner = forms.TypedChoiceField(label="Who won", coerce=int, widget=forms.RadioSelect)
    result = forms.CharField(label="Who did how well", max_length=200, required=False)

    def __init__(self, *args: Any, players: list[tuple[int, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["winner"].choices = players  # type: ignore[attr-defined]
        self.fields["winner"].error_messages["required"] = "Choose who won."
        self.fields["what"].widget.attrs["autofocus"] = True


class CallForm(forms.Form):
    """A breach in a playoff: `players`, `rules` and `holes` are what there is to choose from."""

    entry = forms.TypedChoiceField(label="Player", coerce=int)
    rule = forms.ChoiceField(label="Rule")
    hole = forms.TypedChoiceField(label="Hole", coerce=int)
    caller = forms.CharField(label="Called by", max_length=120)
    what = forms.CharField(label="What was seen", max_length=200, required=False)

    def __init__(
        self,
        *args: Any,
        players: list[tuple[int, str]],
        rules: list[tuple[str, str]],
        holes: list[tuple[int, str]],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.initial["hole"] = holes[-1][0]
        for name, choices in (("entry", players), ("rule", rules), ("hole", holes)):
            self.fields[name].choices = choices  # type: ignore[attr-defined]
        self.fields["caller"].error_messages["required"] = "Write who made the call."
        for name in ("caller", "what"):
            self.fields[name].widget.attrs["autocomplete"] = "off"


class CoWinnersForm(forms.Form):
    exception = forms.ChoiceField(label="The tie stands because of", choices=LeftStanding.choices)
    reason = forms.CharField(label="What happened", max_length=200)


class FiguresWrong(ValueError):
    """A row of figures that cannot be; the message is a sentence."""


def figures(post: QueryDict, players: tuple[int, ...], names: dict[int, str]) -> dict[int, int]:
    """One row of a playoff: a figure for each player in it. Raises FiguresWrong."""
    found = {}
    for player in players:
        text = post.get(f"throws-{player}", "").strip()
        if not text.isascii() or not text.isdigit() or not 1 <= int(text[:4]) <= MOST_THROWS:
            raise FiguresWrong(f"{names[player]}: write the throws as a figure from 1 to {MOST_THROWS}.")
        found[player] = int(text)
    return found
