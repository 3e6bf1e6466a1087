"""The page of one playoff: its holes, and the calls that were made in it."""

from collections.abc import Mapping
from dataclasses import dataclass
from uuid import uuid4

from django.http import Http404, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from events.entries.models import Entry
from events.setup.access import EventRequest
from events.setup.models import Role
from events.setup.queries import rulebook_for
from scoring.penalties.catalogue import Penalty, throws_text
from scoring.penalties.queries import disc_calls_in_playoffs, event_warnings_among
from scoring.playoffs.calls import warning_rules
from scoring.playoffs.contest import Outcome
from scoring.playoffs.forms import CallForm
from scoring.playoffs.models import Playoff, PlayoffCall, PlayoffVersion
from scoring.playoffs.outcomes import outcome_of
from scoring.playoffs.table import hole_label, table_of

WRITERS = (Role.DIRECTOR, Role.CARD_ROOM)
PLACES = "Competition Manual 2025, 1.09.B"
TROPHIES = "Competition Manual 2025, 1.09.E; played as 1.09.B"


def source_of(trophy: int) -> str:
    """What a playoff for a place, or for a trophy, rests on."""
    return (
        f"{TROPHIES if trophy else PLACES}; order of throwing also Official Rules of Disc Golf 2025, 802.02."
    )


def may_write(request: EventRequest) -> bool:
    """Whether this person writes playoffs and calls, and the event still takes them."""
    return request.role in WRITERS and request.event.over_at is None


@dataclass(frozen=True, slots=True)
class Typed:
    """What somebody typed that was refused, and why."""

    wrong: str = ""
    index: int | None = None
    texts: dict[int, str] | None = None


@dataclass(frozen=True, slots=True)
class CallShown:
    """One call: `hole` in words, `comes_to` "warning" or the throws."""

    row: PlayoffCall
    name: str
    rule: str
    hole: str
    comes_to: str


def calls_shown(playoff: Playoff, names: Mapping[int, str], rules: Mapping[str, Penalty]) -> list[CallShown]:
    """Every call of a playoff, those taken back too, first to last (1 query)."""
    return [
        CallShown(
            row=row,
            name=names.get(row.entry_id, "somebody"),
            rule=rules[row.rule].name if row.rule in rules else row.rule,
            hole=hole_words(playoff, row.hole),
            comes_to=throws_text(row.throws) if row.throws else "warning",
        )
        for row in playoff.calls.order_by("pk")
    ]


def hole_words(playoff: Playoff, number: int) -> str:
    """ "3 (hole 7)": the third of the playoff, on hole 7 of the layout."""
    return f"{number} (hole {hole_label(playoff, number - 1)})"


def form_for_calls(
    playoff: Playoff,
    outcome: Outcome,
    names: Mapping[int, str],
    rules: Mapping[str, Penalty],
    data: QueryDict | None = None,
) -> CallForm:
    """The form of a call: holes that were played, and the next one while it is not decided."""
    begun = len(outcome.steps) + (not outcome.decided)
    return CallForm(
        data,
        players=[(key, names[key]) for key in playoff.players],
        rules=[(key, rule.name) for key, rule in rules.items()],
        holes=[(number, hole_words(playoff, number)) for number in range(1, max(begun, 1) + 1)],
    )


def playoff_of(request: EventRequest, pk: int) -> Playoff:
    """The playoff with its division and layout, or 404 (1 query)."""
    found = Playoff.objects.select_related("division__event", "layout")
    return get_object_or_404(found, pk=pk, division__event=request.event)


def newest(row: Playoff) -> PlayoffVersion:
    """The version that counts (1 query)."""
    version = row.versions.order_by("number").last()
    if version is None:
        raise Http404("This playoff has no holes.")
    return version


def names_of(row: Playoff) -> dict[int, str]:
    """Entry id → name of who is in it (1 query)."""
    entries = Entry.objects.filter(pk__in=row.players).select_related("person")
    return {entry.pk: entry.person.name for entry in entries}


def playoff_page(
    request: EventRequest,
    row: Playoff,
    typed: Typed | None = None,
    call_form: CallForm | None = None,
    status: int = 200,
) -> HttpResponse:
    """The playoff with its holes and its calls; what was refused stands in `typed` or in `call_form`."""
    typed = typed or Typed()
    versions = list(row.versions.order_by("number"))
    if not versions:
        raise Http404("This playoff has no holes.")
    outcome, names = outcome_of(row, versions[-1]), names_of(row)
    rules = warning_rules(rulebook_for(request.event), request.event.tier)
    shown = table_of(row, outcome, names, correct=typed.index, typed=typed.texts)
    context = {
        "playoff": row,
        "seen": versions[-1].number,
        "table": shown,
        "playing": [(key, names[key]) for key in outcome.playing],
        "wrong": typed.wrong,
        "versions": versions,
        "first_order": [names[key] for key in row.players],
        "declined": [names[int(key)] for key in versions[-1].declined],
        "source": source_of(row.trophy),
        "calls": calls_shown(row, names, rules),
        "call_form": call_form or form_for_calls(row, outcome, names, rules),
        "submission": request.POST.get("submission") or uuid4(),
        "event_warnings": event_warnings_among(row.players),
        "disc_calls": disc_calls_in_playoffs(row.players),
        "may": may_write(request) and row.dropped_at is None,
        "correct_url": reverse("playoffs:playoff", args=[request.event.slug, row.pk]),
    }
    return render(request, "playoffs/playoff.html", context, status=status)
