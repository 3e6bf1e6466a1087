"""What the page of calls shows: the calls of a round in words, whose call it is, what it comes to."""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Q, QuerySet

from events.bags.calls import RULES, CallIn, calls_of, out_of_step, repeated
from events.bags.finding import found_entries
from events.bags.ladder import Proposal
from events.bags.models import Call
from events.draw.models import Seat, Sheet
from events.entries.models import Entry
from events.rulebook.loader import Rulebook
from events.setup.asked import whole_number
from events.setup.models import Event, Round
from events.setup.queries import rulebook_for

HIGHEST_GROUP = 999


@dataclass(frozen=True, slots=True)
class CallLine:
    """One call in words. `odd`: the ladder would say otherwise now, since an earlier one was taken back."""

    call: Call
    what: str
    comes_to: str
    citation: str
    unconfirmed: bool
    odd: bool


@dataclass(frozen=True, slots=True)
class Repeat:
    """A player who threw illegal discs several times over the event: for the director, who alone disqualifies."""

    entry: Entry
    count: int


def throws_text(call: Call | Proposal) -> str:
    if call.warning:
        return "warning"
    return "1 penalty throw" if call.throws == 1 else f"{call.throws} penalty throws"


def call_lines(event: Event, round: Round) -> tuple[list[CallLine], list[Repeat]]:
    """The round's calls, newest first, and who repeats over the event (1 query and the rulebook)."""
    everything = calls_of(event)
    book = rulebook_for(event)
    calls = [call for call in everything if call.round_id == round.pk]
    odd = out_of_step(calls, book)
    entries = {call.entry_id: call.entry for call in everything}
    repeats = [Repeat(entries[pk], count) for pk, count in repeated(everything).items()]
    repeats.sort(key=lambda each: (-each.count, each.entry.person.sort_name, each.entry.pk))
    return [_line(call, book, call.pk in odd) for call in calls], repeats


def _line(call: Call, book: Rulebook, odd: bool) -> CallLine:
    seen = [f"{' and '.join(call.kinds)} disc thrown"]
    seen += [f"{call.disc.maker} {call.disc.model}".strip()] if call.disc else []
    seen += [call.what] if call.what else []
    own = call.caller.casefold() == call.entry.person.name.casefold()
    return CallLine(
        call=call,
        what=": ".join([seen[0], ", ".join(seen[1:])]) if seen[1:] else seen[0],
        comes_to=throws_text(call),
        citation=book.value(call.rule).citation,
        unconfirmed=bool(call.throws and not call.confirmer and not own),
        odd=odd,
    )


def who_is_meant(event: Event, round: Round, text: str) -> list[Entry]:
    """Players by name, number, scan, or a group's number of the round's tee sheet."""
    number = whole_number(text)
    group = []
    if number is not None and number <= HIGHEST_GROUP:
        seats = seats_of(round).filter(group__number=number).order_by("order")
        group = [seat.entry for seat in seats]
    seated = {entry.pk for entry in group}
    return [*group, *(entry for entry in found_entries(event, text) if entry.pk not in seated)]


def seats_of(round: Round) -> "QuerySet[Seat]":
    published = Seat.objects.filter(sheet__round=round, sheet__state=Sheet.State.PUBLISHED)
    return published.select_related("entry__person", "entry__division", "entry__event", "group")


def group_of(entry: Entry, round: Round) -> tuple[int | None, list[str]]:
    """Number of the player's group and the names in it, the player's own last (1 query)."""
    mates = list(seats_of(round).filter(Q(group__seats__entry=entry)).order_by("order"))
    names = sorted((seat.entry.pk == entry.pk, seat.order, seat.entry.person.name) for seat in mates)
    return (mates[0].group.number if mates else None), [name for _, _, name in names]


def proposal_context(
    told: CallIn, proposal: Proposal, remarks: Sequence[str], book: Rulebook
) -> dict[str, Any]:
    """What the page says before the call is written; `shown` holds it against what is written then."""
    value = book.value(RULES[proposal.counted])
    return {
        "comes_to": throws_text(proposal),
        "sentence": proposal.sentence,
        "citation": value.citation,
        "note": value.note,
        "remarks": list(remarks),
        "playoff": told.playoff,
        "shown": shown(told, proposal, remarks),
    }


def shown(told: CallIn, proposal: Proposal, remarks: Sequence[str]) -> str:
    """What was told and shown as one word that the form sends back: whatever changes meanwhile is shown again."""
    said = repr((told, proposal, list(remarks)))
    return hashlib.sha256(said.encode()).hexdigest()[:16]
