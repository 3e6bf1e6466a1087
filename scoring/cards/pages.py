"""What the card room's pages show: which round, the list of cards, the open card and its questions."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from urllib.parse import urlencode
from uuid import uuid4

from django.db.models import Exists, OuterRef
from django.urls import reverse

from events.draw.models import Sheet
from events.log.services import revision
from events.setup.models import Event, Role, Round
from events.setup.queries import rulebook_for
from scoring.cards import presence
from scoring.cards.agreeing import ready_cards
from scoring.cards.arithmetic import ASK_FROM_OVER_PAR, ASK_FROM_THROWS
from scoring.cards.checking import Question
from scoring.cards.evidence import evidence_context
from scoring.cards.forms import Typed
from scoring.cards.grid import blank_lines_in, differences, questions_of, rows_of, standing_lines_in
from scoring.cards.pointers import pointers
from scoring.cards.queries import ABSENCE_OVER_PAR, view_of
from scoring.cards.ruling_lines import rulings_context, unasked_of
from scoring.cards.signing import confirmations_of
from scoring.cards.states import CardState, CardView, VersionState
from scoring.cards.waiting import WARN_MINUTES, waiting


def rounds_of(event: Event) -> list[Round]:
    """All rounds, each with `drawn`: whether its tee sheet is published (1 query)."""
    published = Sheet.objects.filter(round=OuterRef("pk"), state=Sheet.State.PUBLISHED)
    return list(Round.objects.filter(event=event).annotate(drawn=Exists(published)).order_by("number"))


def chosen(rounds: Sequence[Round], number: str | None) -> Round | None:
    """The round that is asked for, else the last one that is drawn, else the first."""
    for round in rounds:
        if str(round.number) == number:
            return round
    drawn = [round for round in rounds if round.drawn]  # type: ignore[attr-defined]
    return next(iter([*drawn[-1:], *rounds]), None)


def room_url(event: Event, round_number: int, group: int | None = None, **more: str) -> str:
    query = {"round": str(round_number), **({"group": str(group)} if group else {}), **more}
    return f"{reverse('cards:room', args=[event.slug])}?{urlencode(query)}"


@dataclass(frozen=True, slots=True)
class Listed:
    """One line of the list at the left."""

    url: str
    number: int
    name: str
    since: datetime | None
    warn: int
    word: str
    needs: bool
    current: bool
    title: str
    heard_at: datetime | None


def list_context(
    event: Event, round: Round, states: Sequence[CardState], group: int | None, now: datetime
) -> dict[str, Any]:
    """The cards that are out, those that need somebody first, and those that are done."""
    rows = waiting(states, now)
    out = [
        _listed(
            event,
            round,
            row.state,
            group,
            row.word,
            needs=row.needs,
            clock=row.kind == "due",
            heard=row.heard_at,
        )
        for row in rows
    ]
    done = [
        _listed(event, round, state, group, "verified" if state.verified else "in")
        for state in states
        if state.done
    ]
    ready = ready_cards(round, states)
    query = urlencode({"round": round.number, "group": group or "", "seen": revision(event.slug)})
    return {
        "round": round,
        "out": out,
        "done": done,
        "cards": len(states),
        "agreed": sum(bool(each.why) for each in ready),
        "to_look_at": sum(not each.why for each in ready),
        "list_url": f"{reverse('cards:waiting', args=[event.slug])}?{query}",
    }


def _listed(
    event: Event,
    round: Round,
    state: CardState,
    group: int | None,
    word: str,
    *,
    needs: bool = False,
    clock: bool = False,
    heard: datetime | None = None,
) -> Listed:
    warn = warn_after(state)
    return Listed(
        url=room_url(event, round.number, state.number),
        number=state.number,
        name=state.short_name,
        since=state.finished_at if clock else None,
        warn=warn,
        word=word,
        needs=needs,
        current=state.number == group,
        title=", ".join(player.name for player in state.players),
        heard_at=heard,
    )


def warn_after(state: CardState) -> int:
    """Minutes after the group's last putt from which its card is marked; 0 while no clock runs."""
    if state.due_at is None or state.finished_at is None:
        return 0
    return int((state.due_at - state.finished_at).total_seconds() // 60) - WARN_MINUTES


def card_context(
    event: Event,
    round: Round,
    state: CardState,
    *,
    can_write: bool,
    role: Role | None = None,
    blind: bool = False,
    typed: Typed | None = None,
    asked: Sequence[Question] = (),
    problems: Sequence[str] = (),
) -> dict[str, Any]:
    """The open card. `typed` (with its questions and problems) is what was posted and not taken yet; `blind`: an empty
    grid is asked for, by somebody who is not to see what is there. The first to type a card that phones have filled
    gets one unasked."""
    view = view_of(round, state)
    desk = view.current if view.untyped else None
    blind = not state.verified and (
        _phones_said(state, desk) if view.untyped else blind and state.holes_played > 0
    )
    rulebook = rulebook_for(event)
    said = confirmations_of(round, [player.entry_id for player in state.players])
    lines = list(typed.lines) if typed else blank_lines_in(state, desk) if blind else standing_lines_in(state)
    rows = rows_of(state, lines, asked, typed.raw if typed else None)
    may_rule = can_write and (not state.verified or role is Role.DIRECTOR)
    may_type = can_write and event.over_at is None and not state.verified
    rulings = rulings_context(event, round, state, can_write=may_rule)
    # What was asked about the figures that stand was answered when they were saved.
    stood = blank_lines_in(state, desk) if blind else standing_lines_in(state)
    answered = {each.key for each in questions_of(state, stood) if not blind or each.index is not None}
    return {
        "round": round,
        "state": state,
        "view": view,
        "holes": state.holes,
        "rows": rows,
        "can_write": may_type,
        "shows_added": not may_type and any(row.additional for row in rows),
        "shows_counts": not may_type and any(row.counts != row.total for row in rows),
        "blind": blind,
        "second": blind and not view.untyped,
        "asked": asked,
        "problems": problems,
        "sure": sorted(answered | (typed.sure if typed else frozenset())),
        "base": typed.base if typed else state.base,
        "submission": typed.submission if typed else uuid4(),
        "reason": typed.reason if typed else "",
        "conflicts": conflicts_of(state, view),
        "absence": rulebook.int(ABSENCE_OVER_PAR),
        "pointers": pointers(state, rulebook, said, typed=view.typed),
        **rulings,
        **evidence_context(event, round, state, said, can_write=can_write, role=role),
        "ask_over": ASK_FROM_OVER_PAR,
        "ask_from": ASK_FROM_THROWS,
        "ping_seconds": presence.PING_SECONDS,
        **clock_context(event, round, state, can_write=can_write),
        "unasked": unasked_of(state, rulings["rulings"]),
        "pinging": True,
    }


def _phones_said(state: CardState, desk: VersionState | None) -> bool:
    """Whether there is a hole's score that the desk did not write."""
    written = blank_lines_in(state, desk)
    return any(
        score is not None and score != own
        for player, line in zip(state.players, written, strict=True)
        for score, own in zip(player.throws, line.throws, strict=True)
    )


def clock_context(event: Event, round: Round, state: CardState, *, can_write: bool) -> dict[str, Any]:
    """The line that says when the group finished and when its card is due or came."""
    return {
        "round": round,
        "state": state,
        "warn": warn_after(state),
        "late": state.late,
        "can_mark": can_write and event.over_at is None,
        "urls": {
            name: reverse(f"cards:{name}", args=[event.slug, round.number, state.number])
            for name in ("save", "open", "finished", "returned")
        },
    }


def conflicts_of(state: CardState, view: CardView) -> list[dict[str, Any]]:
    """For each version that differs: the cells on which it does, and who wrote what."""
    current = view.current
    if current is None:
        return []
    return [
        {"current": current, "other": other, "cells": differences(state, current, other)}
        for other in view.differing
    ]
