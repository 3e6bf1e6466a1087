"""The day page: where the day stands, and what needs somebody now. The same for every role."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from desk.countdown_lines import countdown_lines
from desk.crew_lines import crew_lines
from desk.day_drawing import dark_rounds, shown_day, timeline
from desk.day_rounds import RoundState, rounds_of
from desk.entry_lines import check_in_lines, entry_lines
from desk.found_lines import found_lines
from desk.group_lines import group_lines
from desk.plan_lines import bag_lines, closing_lines, plan_lines
from desk.prize_lines import prize_lines
from desk.ready_lines import ready_lines
from desk.round_lines import card_lines, draw_lines, seat_lines
from desk.running_lines import running_lines
from desk.safety_lines import Line, stop_lines, weather_lines
from desk.tie_lines import tie_lines
from desk.timeline import Timeline
from events.entries.queries import DeskCounts, desk_counts
from events.setup.models import Event
from events.setup.queries import rulebook_for
from events.setup.sunlight import Daylight, daylight


@dataclass(frozen=True, slots=True)
class Day:
    todo: tuple[Line, ...]
    timeline: Timeline | None
    counts: DeskCounts
    rounds: tuple[RoundState, ...]
    headline: str
    sun: Daylight
    dark: tuple[str, ...]


def day_of(event: Event, now: datetime) -> Day:
    """Everything the page shows. Queries: a fixed number, nine for each round that is being played, and those of the
    standings once a cut or the first places are due."""
    rulebook = rulebook_for(event)
    rounds = rounds_of(event, rulebook)
    counts = desk_counts(event)
    playing = any(state.starts[0] <= now and state.published and not state.done for state in rounds)
    done = [state.round.number for state in rounds if state.done]
    todo = (
        *stop_lines(event, rulebook, now),
        *weather_lines(event, rulebook, now, playing=playing),
        *group_lines(event),
        *plan_lines(event, rounds),
        *entry_lines(event, counts, rulebook, now),
        *check_in_lines(event, counts, now),
        *draw_lines(event, rounds, rulebook, now),
        *seat_lines(event, rounds),
        *bag_lines(event),
        *card_lines(event, rounds, now),
        *countdown_lines(event, rulebook, now),
        *crew_lines(event, now),
        *found_lines(event, rulebook),
        *ready_lines(event, [state.round for state in rounds], now),
        *running_lines(event, rounds, now),
        *tie_lines(event, done, all_done=bool(rounds) and len(done) == len(rounds)),
        *prize_lines(event, [state.round for state in rounds], rulebook, now),
        *closing_lines(event, rounds),
    )
    ordered = tuple(sorted(todo, key=lambda line: not line.needs))
    sun = daylight(event, [shown_day(event, rounds, now)])
    return Day(
        todo=ordered,
        timeline=timeline(event, rounds, rulebook, now),
        counts=counts,
        rounds=rounds,
        headline=_headline(event, rounds, now),
        sun=sun,
        dark=dark_rounds(event, rounds, sun),
    )


def _headline(event: Event, rounds: Sequence[RoundState], now: datetime) -> str:
    """Where the event stands, in a few words."""
    if event.over_at is not None:
        return "The event is over"
    playing = [state for state in rounds if state.cards and state.starts[0] <= now and not state.done]
    if playing:
        state = playing[-1]
        return f"Round {state.round.number}: {state.cards_in} of {len(state.cards)} cards in"
    coming = next((state for state in rounds if not state.done), None)
    if coming is None:
        return "All rounds are played" if rounds else "Plan the event"
    start = event.local(coming.starts[0])
    same_day = start.date() == event.local(now).date()
    words = f"{start:%H:%M}" if same_day else f"{start:%A} {start.day} {start:%B}, {start:%H:%M}"
    return f"Round {coming.round.number} starts {words}"
