"""The rounds of an event as the day page needs them: sheets, starts, lengths and cards."""

from dataclasses import dataclass, field
from datetime import datetime, timedelta

from events.course.round_holes import most_holes
from events.course.round_length import MINUTES_KEY, round_length
from events.draw.clock import sheet_due
from events.draw.models import Group, Pool, Sheet
from events.rulebook.loader import Rulebook
from events.setup.models import Event, Round, StartType
from scoring.cards.queries import cards_of
from scoring.cards.states import CardState


@dataclass(slots=True)
class RoundState:
    """A round as the day page needs it; `sheets` by state, `starts` of its first and of its last group, `length` of a
    group's round, `cards` of its published sheet."""

    round: Round
    sheets: dict[str, Sheet]
    starts: tuple[datetime, datetime]
    length: timedelta
    cards: list[CardState] = field(default_factory=list)

    @property
    def published(self) -> Sheet | None:
        return self.sheets.get(Sheet.State.PUBLISHED)

    @property
    def ends(self) -> datetime:
        """When the last group is expected to have finished."""
        return self.starts[1] + self.length

    @property
    def cards_in(self) -> int:
        return sum(1 for card in self.cards if card.done)

    @property
    def ended(self) -> datetime | None:
        """Last putt of the last group, once every card is in."""
        finished = [card.finished_at for card in self.cards if card.finished_at is not None]
        return max(finished) if self.done and finished else None

    @property
    def done(self) -> bool:
        return bool(self.cards) and all(card.done for card in self.cards)


def rounds_of(event: Event, rulebook: Rulebook) -> tuple[RoundState, ...]:
    """Rounds with their sheets, starts and lengths (5 queries), and the cards of those that were started."""
    holes, minutes = most_holes(event), rulebook.int(MINUTES_KEY)
    sheets: dict[int, dict[str, Sheet]] = {}
    for sheet in Sheet.objects.filter(round__event=event).exclude(state=Sheet.State.SUPERSEDED):
        sheets.setdefault(sheet.round_id, {})[sheet.state] = sheet
    published = Group.objects.filter(sheet__round__event=event, sheet__state=Sheet.State.PUBLISHED)
    planned = Pool.objects.filter(round__event=event, retired=False).values_list("round_id", "first_start_at")
    moments: dict[int, list[datetime]] = {}
    for round_id, moment in [*planned, *published.values_list("sheet__round_id", "starts_at")]:
        moments.setdefault(round_id, []).append(moment)
    states = []
    for round_ in Round.objects.filter(event=event).select_related("event").order_by("number"):
        found = moments.get(round_.pk, [round_.first_start_at])
        length = round_length(holes.get(round_.pk), minutes)
        state = RoundState(round_, sheets.get(round_.pk, {}), (min(found), max(found)), length)
        if state.published is not None:
            state.cards = cards_of(round_)
        states.append(state)
    return tuple(states)


def due_of(state: RoundState, before: RoundState | None, rulebook: Rulebook) -> datetime | None:
    """When the tee sheet of a round is due (1.06.K); None for a shotgun, and while the round before lasts."""
    if state.round.start_type != StartType.TEE_TIMES:
        return None
    due = sheet_due(
        {"": state.starts[0]},
        None if before is None else {"": before.ended},
        hours=rulebook.int("publish.hours_before_first_tee_time"),
        minutes=rulebook.int("publish.minutes_after_previous_round"),
    )
    return due.at if due else None
