"""The day page's drawing of the day, and what of it is too long for the light."""

from collections.abc import Sequence
from datetime import date, datetime

from desk.day_rounds import RoundState, due_of
from desk.timeline import Mark, Span, Timeline, draw
from events.rulebook.loader import Rulebook
from events.setup.models import Event
from events.setup.sunlight import Daylight, in_the_dark


def shown_day(event: Event, rounds: Sequence[RoundState], now: datetime) -> date:
    """The day of the event that is today, else the next one, else the last; today where no round is planned."""
    today = event.local(now).date()
    days = sorted({event.local(state.starts[0]).date() for state in rounds})
    return next((day for day in days if day >= today), days[-1] if days else today)


def dark_rounds(event: Event, rounds: Sequence[RoundState], sun: Daylight) -> tuple[str, ...]:
    """One sentence for each round of the shown day that begins or ends in the dark."""
    said = []
    for state in rounds:
        if not state.done:
            words = in_the_dark(sun, event.local(state.starts[0]), event.local(state.ends))
            said += [f"Round {state.round.number}: {words}"] if words else []
    return tuple(said)


def timeline(
    event: Event, rounds: Sequence[RoundState], rulebook: Rulebook, now: datetime
) -> Timeline | None:
    local = event.local(now)
    if not rounds:
        return None
    today = shown_day(event, rounds, now)
    spans, marks = [], []
    opens, closes = event.checkin_opens_at, event.checkin_closes_at
    if opens and closes and event.local(opens).date() == today:
        spans.append(Span("check-in", event.local(opens), event.local(closes)))
    before: RoundState | None = None
    for state in rounds:
        if event.local(state.starts[0]).date() == today:
            first, last = event.local(state.starts[0]), event.local(state.ends)
            spans.append(Span(f"round {state.round.number}", first, last))
            due = due_of(state, before, rulebook)
            if due is not None and state.published is None and event.local(due).date() == today:
                marks.append(Mark("tee sheet due", event.local(due), needs=now > due))
        cards_due = [card.due_at for card in state.cards if card.due_at and not card.done]
        if cards_due:
            marks.append(Mark("next card due", event.local(min(cards_due)), needs=now > min(cards_due)))
        before = state
    return draw(spans, marks, now=local)
