"""Forms of the games; each one's `cleaned_data` are the words of its service."""

from collections.abc import Sequence
from typing import Any

from django import forms

from events.course.models import LayoutHole
from events.entries.models import Entry, Payment
from events.setup.fields import MoneyField
from events.setup.models import Event
from scoring.games.distances import BadDistance, cm_from
from scoring.games.models import Game, PotLine
from scoring.games.queries import addons_to_choose
from scoring.games.services import MOST_TICKETS, Terms
from scoring.games.states import Winner

WINNER_ROWS = 6
_OFF = {"autocomplete": "off"}


class _Names(forms.ModelChoiceField):  # type: ignore[type-arg]  # not generic at run time
    """Players by surname, so that its first letters jump to them."""

    def label_from_instance(self, obj: Any) -> str:
        person = obj.person
        given = f", {person.given_name}" if person.given_name else ""
        return f"{person.family_name}{given} · {obj.division.code}"


class _Holes(forms.ModelChoiceField):  # type: ignore[type-arg]
    def label_from_instance(self, obj: Any) -> str:
        return f"{obj.layout} {obj.label}"


def _players(entries: Sequence[int], **options: Any) -> _Names:
    rows = Entry.objects.filter(pk__in=entries).select_related("person", "division")
    return _Names(rows.order_by("person__sort_name", "pk"), **options)


def _method() -> forms.ChoiceField:
    return forms.ChoiceField(label="By", choices=Payment.Method.choices, initial=Payment.Method.CASH)


class GameForm(forms.Form):
    """`terms()` and `cleaned_data["apart"]` are what the services take."""

    kind = forms.ChoiceField(label="What is played", choices=Game.Kind.choices)
    name = forms.CharField(label="Name", max_length=50, widget=forms.TextInput(attrs=_OFF))
    round: Any = forms.ModelChoiceField(None, label="Round", required=False, empty_label="the whole event")
    layout_hole = _Holes(
        LayoutHole.objects.none(), label="Hole, for a distance", required=False, empty_label="none"
    )
    divisions = forms.MultipleChoiceField(
        label="Divisions",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="None ticked: everybody.",
    )
    apart = forms.BooleanField(
        label="One game for each of these divisions", required=False, help_text="Each with a pot of its own."
    )
    addon: Any = forms.ModelChoiceField(
        None,
        label="Let in by an add-on",
        required=False,
        empty_label="no add-on",
        help_text="Sold on top at check-in: who bought it is in.",
    )
    stake_cents = MoneyField(label="A place by hand, or one ticket", required=False, empty=0)
    prize = forms.CharField(
        label="A thing for the winner",
        required=False,
        max_length=120,
        widget=forms.TextInput(attrs=_OFF),
    )
    winners = forms.IntegerField(
        label="Tickets drawn, for a raffle", required=False, min_value=1, max_value=100
    )
    pays_percent = forms.IntegerField(
        label="Part of the pot that is paid, in %",
        required=False,
        min_value=0,
        max_value=100,
        help_text="Left empty: all of it.",
    )
    rest_to = forms.CharField(
        label="What nobody wins goes to",
        required=False,
        max_length=60,
        widget=forms.TextInput(attrs={**_OFF, "placeholder": "the next event"}),
    )

    def __init__(self, *args: Any, event: Event, game: Game | None = None, **options: Any) -> None:
        if game is not None:
            options["initial"] = _initial(game)
        super().__init__(*args, **options)
        fields: dict[str, Any] = self.fields
        fields["round"].queryset = event.rounds.order_by("number")
        holes = LayoutHole.objects.filter(layout__event=event).select_related("layout")
        fields["layout_hole"].queryset = holes.order_by("layout__name", "position")
        fields["divisions"].choices = [
            (division.code, division.code) for division in event.divisions.order_by("order", "code")
        ]
        fields["addon"].queryset = addons_to_choose(event)
        if game is not None:
            fields["kind"].choices = [(game.kind, game.get_kind_display())]
            del fields["apart"]

    def terms(self) -> Terms:
        said = {name: value for name, value in self.cleaned_data.items() if name != "apart"}
        percent = said["pays_percent"]
        said |= {
            "divisions": tuple(said["divisions"]),
            "winners": said["winners"] or 1,
            "pays_percent": 100 if percent is None else percent,
        }
        return Terms(**said)


def _initial(game: Game) -> dict[str, Any]:
    names = ("kind", "name", "round", "layout_hole", "divisions", "addon", "stake_cents", "prize")
    rest = ("winners", "pays_percent", "rest_to")
    return {name: getattr(game, name) for name in (*names, *rest)}


class PlaceForm(forms.Form):
    method = _method()

    def __init__(self, *args: Any, entries: Sequence[int], **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["entry"] = _players(entries, label="Player", empty_label="")
        self.order_fields(["entry", "method"])


class TicketsForm(forms.Form):
    """To a player of the field, or to anybody by name."""

    submission = forms.UUIDField(widget=forms.HiddenInput)
    name = forms.CharField(
        label="Or a name, for who does not play",
        required=False,
        max_length=120,
        widget=forms.TextInput(attrs=_OFF),
    )
    count = forms.IntegerField(label="Tickets", min_value=1, max_value=MOST_TICKETS, initial=1)
    method = _method()

    def __init__(self, *args: Any, entries: Sequence[int], **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["entry"] = _players(entries, label="Player", required=False, empty_label="")
        self.order_fields(["submission", "entry", "name", "count", "method"])


class PotForm(forms.Form):
    submission = forms.UUIDField(widget=forms.HiddenInput)
    kind = forms.ChoiceField(
        label="What",
        choices=[(kind.value, kind.label) for kind in (PotLine.Kind.ROLLED_IN, PotLine.Kind.GIVEN)],
    )
    who = forms.CharField(
        label="From which event, or from whom", max_length=120, widget=forms.TextInput(attrs=_OFF)
    )
    cents = MoneyField(label="Amount")
    method = _method()

    def clean_kind(self) -> PotLine.Kind:
        return PotLine.Kind(self.cleaned_data["kind"])


class MarkForm(forms.Form):
    cm = forms.CharField(label="Distance", max_length=20, widget=forms.TextInput(attrs=_OFF))
    measured_by = forms.CharField(label="Measured by", max_length=120)

    def __init__(self, *args: Any, entries: Sequence[int], units: str, **options: Any) -> None:
        super().__init__(*args, **options)
        self.units = units
        self.fields["cm"].help_text = "as 3.42" if units == "m" else "as 11 ft 4 in"
        self.fields["entry"] = _players(entries, label="Player", empty_label="")
        self.order_fields(["entry", "cm", "measured_by"])

    def clean_cm(self) -> int:
        try:
            return cm_from(self.cleaned_data["cm"], self.units)
        except BadDistance as problem:
            raise forms.ValidationError(str(problem)) from None


class AceForm(forms.Form):
    """An ace that is on no card, as one of a round that was not scored here."""

    round: Any = forms.ModelChoiceField(None, label="Round", empty_label=None)
    hole_label = forms.CharField(label="Hole", max_length=6, widget=forms.TextInput(attrs=_OFF))

    def __init__(self, *args: Any, entries: Sequence[int], game: Game, **options: Any) -> None:
        super().__init__(*args, **options)
        rounds = game.event.rounds.order_by("number")
        field: Any = self.fields["round"]
        field.queryset = rounds.filter(pk=game.round_id) if game.round_id else rounds
        self.fields["entry"] = _players(entries, label="Player", empty_label="")
        self.order_fields(["entry", "round", "hole_label"])


class CalledForm(forms.Form):
    called_out = forms.CharField(
        label="What the hall called out",
        max_length=120,
        help_text="A few words or figures, said now by somebody who holds no ticket.",
        widget=forms.TextInput(attrs=_OFF),
    )


class WinnersForm(forms.Form):
    """Winners of a game that the tool cannot know; equal parts unless others are written."""

    def __init__(self, *args: Any, players: Sequence[Any], **options: Any) -> None:
        super().__init__(*args, **options)
        self.entries = {player.name: player.entry for player in players}
        for row in range(1, WINNER_ROWS + 1):
            self.fields[f"who{row}"] = forms.CharField(
                label=f"Winner {row}", required=False, max_length=120,
                widget=forms.TextInput(attrs={**_OFF, "list": "players"}),
            )  # fmt: skip
            self.fields[f"parts{row}"] = forms.IntegerField(
                label=f"Parts of winner {row}", required=False, min_value=1, max_value=1000
            )

    def rows(self) -> list[tuple[forms.BoundField, forms.BoundField]]:
        return [(self[f"who{row}"], self[f"parts{row}"]) for row in range(1, WINNER_ROWS + 1)]

    def winners(self) -> list[Winner]:
        found: list[Winner] = []
        for row in range(1, WINNER_ROWS + 1):
            name = self.cleaned_data[f"who{row}"].strip()
            if name:
                parts = self.cleaned_data[f"parts{row}"] or 1
                found.append(Winner(name, f"place {len(found) + 1}", self.entries.get(name), parts))
        return found
