"""What the pages of penalties show: addresses, the helper's step, a round's list in words."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.urls import reverse

from events.bags.call_page import who_is_meant
from events.entries.models import Entry
from events.setup.models import Event, Role, Round
from events.setup.queries import rulebook_for
from scoring.cards.models import Ruling
from scoring.cards.rulings import confirmed_words
from scoring.penalties.catalogue import Penalty, catalogue, throws_text
from scoring.penalties.models import Warning
from scoring.penalties.queries import disc_warnings_in, event_warnings, rulings_in, warnings_in

WRITERS = (Role.DIRECTOR, Role.CARD_ROOM, Role.MARSHAL)
UNMARKED = "discs.unmarked_throws"


def list_url(event: Event, round: Round | None, **more: str) -> str:
    query = {"round": str(round.number)} if round else {}
    return _with(reverse("penalties:list", args=[event.slug]), query | more)


def helper_url(
    event: Event, round: Round, entry: Entry | None, hole: str = "", ways: Sequence[str] = ()
) -> str:
    """The helper at one of its steps; every step is an address of its own, so that going back works."""
    query: list[tuple[str, str]] = [("round", str(round.number))]
    query += [("entry", str(entry.pk))] if entry else []
    query += [("hole", hole)] if hole else []
    query += [("way", way) for way in ways]
    return f"{reverse('penalties:new', args=[event.slug])}?{urlencode(query)}"


def absent_url(event: Event, round: Round, entry: Entry, hole: str = "") -> str:
    query = {"round": str(round.number), "entry": str(entry.pk)} | ({"hole": hole} if hole else {})
    return _with(reverse("penalties:absent", args=[event.slug]), query)


def _with(address: str, query: Mapping[str, str]) -> str:
    return f"{address}?{urlencode(query)}" if query else address


def tabs(rounds: Sequence[Round], shown: Round | None, event: Event) -> list[dict[str, Any]]:
    return [
        {"label": f"Round {each.number}", "url": list_url(event, each), "current": each == shown}
        for each in rounds
    ]


def chosen(rounds: Sequence[Round], number: str | None) -> Round | None:
    """The round asked for, else the last one that has begun to be drawn, else the first."""
    asked = [each for each in rounds if str(each.number) == number]
    drawn = [each for each in rounds if each.drawn]  # type: ignore[attr-defined]
    return next(iter([*asked, *drawn[-1:], *rounds]), None)


@dataclass(frozen=True, slots=True)
class Standing:
    """Warnings of a player under one rule that stand, and what the next breach in the round comes to."""

    entry: Entry
    rule: str
    count: int
    following: str


@dataclass(frozen=True, slots=True)
class Line:
    """A ruling or a warning in words. `back`: where it is taken back, "" where it goes with what it came from."""

    entry: Entry
    where: str
    comes_to: str
    what: str
    source: str
    caller: str
    confirmed: str
    by: str
    at: Any
    taken_back_at: Any
    taken_back_by: str
    taken_back_reason: str
    back: str


def list_context(event: Event, round: Round) -> dict[str, Any]:
    """Everything that stands beside the cards of a round (5 queries)."""
    rows = catalogue(rulebook_for(event), event.tier)
    warnings, discs = warnings_in(round), disc_warnings_in(round)
    lines = [_warning_line(event, each, rows) for each in warnings]
    lines += [_ruling_line(event, round, each) for each in rulings_in(round)]
    lines.sort(key=lambda line: line.at, reverse=True)
    counted = Counter((each.entry, each.rule) for each in warnings if each.taken_back_at is None)
    counted += Counter((each.entry, UNMARKED) for each in discs)
    return {
        "lines": lines,
        "standing": _standing(counted, rows),
        "event_warnings": [_warning_line(event, each, rows) for each in event_warnings(event)],
    }


def _standing(counted: Mapping[tuple[Entry, str], int], rows: Mapping[str, Penalty]) -> list[Standing]:
    found = [
        Standing(entry, rows[rule].name if rule in rows else rule, count, _following(rows.get(rule), count))
        for (entry, rule), count in counted.items()
    ]
    return sorted(found, key=lambda each: (each.entry.person.sort_name, each.rule, each.entry.pk))


def _following(row: Penalty | None, count: int) -> str:
    if row is None:
        return ""
    return "a warning again" if count < row.warnings else throws_text(row.throws)


def _warning_line(event: Event, warning: Warning, rows: Mapping[str, Penalty]) -> Line:
    row = rows.get(warning.rule)
    what = (row.name if row else warning.rule) if warning.round_id else warning.what
    more = f": {warning.what}" if warning.what and warning.round_id else ""
    return Line(
        entry=warning.entry,
        where=f"hole {warning.hole_label}"
        if warning.hole_label
        else ""
        if warning.round_id
        else "whole event",
        comes_to="warning",
        what=f"{what}{more}",
        source=row.source if row else "Competition Manual 2025, 3.03.B" if warning.round_id is None else "",
        caller=warning.caller,
        confirmed=confirmed_words(warning.confirmer),
        by=warning.by,
        at=warning.at,
        taken_back_at=warning.taken_back_at,
        taken_back_by=warning.taken_back_by,
        taken_back_reason=warning.taken_back_reason,
        back=reverse("penalties:unwarn", args=[event.slug, warning.pk]),
    )


def _ruling_line(event: Event, round: Round, ruling: Ruling) -> Line:
    return Line(
        entry=ruling.entry,
        where=f"hole {ruling.hole_label}" if ruling.hole_label else "round total",
        comes_to=throws_text(ruling.throws),
        what=ruling.what,
        source=ruling.rule,
        caller=ruling.caller,
        confirmed=confirmed_words(ruling.confirmer),
        by=ruling.by,
        at=ruling.at,
        taken_back_at=ruling.taken_back_at,
        taken_back_by=ruling.taken_back_by,
        taken_back_reason=ruling.taken_back_reason,
        back=reverse("penalties:unrule", args=[event.slug, ruling.pk]) if ruling.by_hand else "",
    )


def found_people(event: Event, round: Round, text: str) -> list[tuple[Entry, str]]:
    """Who is meant by a name, a number, a scan or a group, each with the helper's address."""
    return [(each, helper_url(event, round, each)) for each in who_is_meant(event, round, text)]
