"""The forms of spot checks: freeze a pool, type the numbers, plan a sample, print a notice."""

from typing import Any

from django import forms

from events.bags.models import SpotCheck
from events.bags.spot_checks import LONGEST_SOURCE
from events.bags.spot_planner import LARGEST_POOL, MOST_ROUNDS

NUMBERS_LONGEST = 4000


class FreezeForm(forms.Form):
    """How a pool is frozen; the service says how many there are to draw from."""

    wanted = forms.IntegerField(label="Players to draw", min_value=1, max_value=LARGEST_POOL, initial=8)
    spares = forms.IntegerField(
        min_value=0,
        max_value=LARGEST_POOL,
        initial=2,
        help_text="A spare steps in for a drawn player who has left the event.",
    )
    source = forms.CharField(
        label="Where the numbers will come from, and when",
        max_length=LONGEST_SOURCE,
        help_text="Announced now, thrown or published later: “14 throws of a die by three players at the players’"
        " meeting, 08:40”. Nobody may know the numbers yet.",
    )
    method = forms.ChoiceField(
        choices=[
            (
                SpotCheck.Method.KEYED,
                "keyed hash: a withdrawal changes nobody else",
            ),
            (SpotCheck.Method.RFC3797, "RFC 3797: published in 2004, without a secret"),
        ],
        widget=forms.RadioSelect,
        initial=SpotCheck.Method.KEYED,
        label="How the draw is made",
    )


class NumbersForm(forms.Form):
    """The announced numbers as they are typed."""

    numbers = forms.CharField(
        label="The numbers, in the order in which they came",
        widget=forms.Textarea(
            attrs={
                "rows": 3,
                "autofocus": True,
                "autocomplete": "off",
                "spellcheck": "false",
                "inputmode": "numeric",
            }
        ),
        max_length=NUMBERS_LONGEST,
    )
    single = forms.ChoiceField(
        label="What they are",
        choices=[
            ("yes", "throws of dice, or single numbers"),
            ("no", "sets, as of a lottery: one a line"),
        ],
        widget=forms.RadioSelect,
        initial="yes",
    )

    @property
    def each_alone(self) -> bool:
        return bool(self.cleaned_data["single"] == "yes")


class PlanForm(forms.Form):
    """What a sample would find; every field may be changed and looked at again."""

    pool = forms.IntegerField(label="Players in the pool", min_value=1, max_value=LARGEST_POOL)
    sample = forms.IntegerField(label="Drawn each round", min_value=0, max_value=LARGEST_POOL)
    offenders = forms.IntegerField(
        label="Bags with a bad disc", min_value=1, max_value=LARGEST_POOL, help_text="Supposed, for the plan."
    )
    rounds = forms.IntegerField(min_value=1, max_value=MOST_ROUNDS)

    def figures(self) -> dict[str, Any]:
        return {name: self.cleaned_data[name] for name in ("pool", "sample", "offenders", "rounds")}


class NoticeForm(forms.Form):
    """Where and when the drawn players come, as the notice says it."""

    place = forms.CharField(label="Where", max_length=80, initial="the equipment desk")
    when = forms.CharField(max_length=80, initial="right after your card is in")
