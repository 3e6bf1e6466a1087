"""The day page: where the day stands, and what needs somebody now. The same for every role."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from urllib.parse import urlencode

from django.urls import reverse

from desk.countdown_lines import countdown_lines
from desk.crew_lines import crew_lines
from desk.found_lines import found_lines
from desk.group_lines import group_lines
from desk.prize_lines import prize_lines
from desk.ready_lines import ready_lines
from desk.running_lines import running_lines
from desk.safety_lines import Line, stop_lines, weather_lines
from desk.tie_lines import tie_lines
from desk.timeline import Mark, Span, Timeline, draw
from events.bags.waiting import waiting_of
from events.course.models import LayoutUse
from events.draw.clock import sheet_due
from events.draw.models import Group, Pool, Sheet
from events.entries.caps import next_from_waitlist
from events.entries.facts import applicants_of, caps_of
from events.entries.models import Entry, Status
from events.entries.queries import DeskCounts, desk_counts
from events.rulebook.loader import Rulebook
from events.setup.figures import money_text
from events.setup.models import Event, Round, StartType
from events.setup.queries import rulebook_for
from events.setup.sunlight import Daylight, daylight, in_the_dark
from scoring.cards.queries import cards_of
from scoring.cards.states import CardState

ROUND_MINUTES = "practice.round_minutes_18_holes.to"


@dataclass(slots=True)
class RoundState:
    """A round as the day page needs it; `sheets` by state, `cards` of its published sheet."""

    round: Round
    sheets: dict[str, Sheet]
    starts: tuple[datetime, datetime] | None
    cards: list[CardState] = field(default_factory=list)

    @property
    def published(self) -> Sheet | None:
        return self.sheets.get(Sheet.State.PUBLISHED)

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
    rounds = _rounds(event)
    counts = desk_counts(event)
    playing = any(
        state.starts and state.starts[0] <= now and state.published and not state.done for state in rounds
    )
    done = [state.round.number for state in rounds if state.done]
    todo = (
        *stop_lines(event, rulebook, now),
        *weather_lines(event, rulebook, now, playing=playing),
        *group_lines(event),
        *_plan_lines(event, rounds),
        *_entry_lines(event, counts, rulebook, now),
        *_check_in_lines(event, counts, now),
        *_draw_lines(event, rounds, rulebook, now),
        *_seat_lines(event, rounds),
        *_bag_lines(event),
        *_card_lines(event, rounds, now),
        *countdown_lines(event, rulebook, now),
        *crew_lines(event, now),
        *found_lines(event, rulebook),
        *ready_lines(event, [state.round for state in rounds], now),
        *running_lines(event, rounds, timedelta(minutes=rulebook.int(ROUND_MINUTES)), now),
        *tie_lines(event, done, all_done=bool(rounds) and len(done) == len(rounds)),
        *prize_lines(event, [state.round for state in rounds], rulebook, now),
        *_closing_lines(event, rounds),
    )
    ordered = tuple(sorted(todo, key=lambda line: not line.needs))
    sun = daylight(event, [_shown_day(event, rounds, now)])
    return Day(
        todo=ordered,
        timeline=_timeline(event, rounds, rulebook, now),
        counts=counts,
        rounds=rounds,
        headline=_headline(event, rounds, now),
        sun=sun,
        dark=_dark_rounds(event, rounds, rulebook, sun),
    )


def _rounds(event: Event) -> tuple[RoundState, ...]:
    """Rounds with their sheets and starts (4 queries), and the cards of those that were started."""
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
        state = RoundState(round_, sheets.get(round_.pk, {}), (min(found), max(found)))
        if state.published is not None:
            state.cards = cards_of(round_)
        states.append(state)
    return tuple(states)


def _plan_lines(event: Event, rounds: Sequence[RoundState]) -> Iterator[Line]:
    codes = dict(event.divisions.filter(dropped_at__isnull=True).values_list("pk", "code"))
    if not codes:
        yield Line("No division is offered yet", reverse("setup:plan", args=[event.slug]))
    if not rounds:
        yield Line("No round is planned yet", reverse("setup:plan", args=[event.slug]))
    chosen = set(LayoutUse.objects.filter(round__event=event).values_list("round_id", "division_id"))
    for state in rounds:
        missing = [code for pk, code in codes.items() if (state.round.pk, pk) not in chosen]
        if missing:
            named = ", ".join(missing[:4]) + (" …" if len(missing) > 4 else "")
            yield Line(
                f"Round {state.round.number}: no layout for {named}",
                reverse("course:layouts", args=[event.slug]),
            )


def _bag_lines(event: Event) -> Iterator[Line]:
    """What only the director decides about discs."""
    waits = waiting_of(event)
    if waits.questions:
        discs = (
            "1 questioned disc waits" if waits.questions == 1 else f"{waits.questions} questioned discs wait"
        )
        entry, number = waits.questioned or (None, None)
        query = urlencode({"entry": entry, **({"round": number} if number else {})})
        yield Line(f"{discs} for the director's word", f"{reverse('bags:desk', args=[event.slug])}?{query}")
    if waits.undrawn:
        checks = "1 spot check is" if waits.undrawn == 1 else f"{waits.undrawn} spot checks are"
        yield Line(f"{checks} published and not drawn", reverse("bags:spot_checks", args=[event.slug]))
    if waits.no_list:
        yield Line("No list of approved discs is brought in", reverse("bags:lists", args=[event.slug]))
    if waits.models:
        models = "1 model is" if waits.models == 1 else f"{waits.models} models are"
        yield Line(
            f"{models} not on the approved list", reverse("bags:lists", args=[event.slug]), needs=False
        )


def _entry_lines(event: Event, counts: DeskCounts, rulebook: Rulebook, now: datetime) -> Iterator[Line]:
    desk = reverse("entries:desk", args=[event.slug])
    if counts.expected == 0 and counts.applied == 0:
        yield Line("Nobody is entered yet: bring in the list", desk)
    if counts.owed_cents:
        owed = money_text(counts.owed_cents, event.currency)
        yield Line(f"{counts.owing} still owe {owed}", desk, needs=False)
    if counts.waitlist and next_from_waitlist(applicants_of(event, rulebook), caps_of(event)) is not None:
        yield Line("A place is free for the waitlist", reverse("entries:waitlist", args=[event.slug]))


def _check_in_lines(event: Event, counts: DeskCounts, now: datetime) -> Iterator[Line]:
    opens, closes = event.checkin_opens_at, event.checkin_closes_at
    out = counts.expected - counts.checked_in
    if closes is None or out == 0 or (opens is not None and now < opens):
        return
    text = f"{out} of {counts.expected} not checked in"
    desk = reverse("entries:desk", args=[event.slug])
    if now < closes:
        yield Line(text, desk, when=f"closes {event.local(closes):%H:%M}", until=closes)
    else:
        yield Line(f"{text}, and check-in is closed", desk, when=f"closed {event.local(closes):%H:%M}")


def due_of(state: RoundState, before: RoundState | None, rulebook: Rulebook) -> datetime | None:
    """When the tee sheet of a round is due (1.06.K); None for a shotgun, and while the round before lasts."""
    if state.starts is None or state.round.start_type != StartType.TEE_TIMES:
        return None
    due = sheet_due(
        {"": state.starts[0]},
        None if before is None else {"": before.ended},
        hours=rulebook.int("publish.hours_before_first_tee_time"),
        minutes=rulebook.int("publish.minutes_after_previous_round"),
    )
    return due.at if due else None


def _draw_lines(
    event: Event, rounds: Sequence[RoundState], rulebook: Rulebook, now: datetime
) -> Iterator[Line]:
    """The first round that is not published, once the one before is done."""
    before: RoundState | None = None
    for state in rounds:
        if state.published is None:
            if before is not None and not before.done:
                return
            number = state.round.number
            verb = "Publish" if Sheet.State.DRAFT in state.sheets else "Draw"
            due = due_of(state, before, rulebook)
            starts = f"starts {event.local(state.starts[0]):%a %H:%M}" if state.starts else ""
            soon = state.starts is not None and state.starts[0] - now < timedelta(hours=24)
            url = f"{reverse('draw:overview', args=[event.slug])}?round={number}"
            if due is not None:
                yield Line(
                    f"{verb} round {number}",
                    url,
                    needs=soon,
                    when=f"due {event.local(due):%a %H:%M}",
                    until=due,
                )
            else:
                yield Line(f"{verb} round {number}", url, needs=soon, when=starts)
            return
        if Sheet.State.DRAFT in state.sheets:
            url = f"{reverse('draw:overview', args=[event.slug])}?round={state.round.number}"
            yield Line(f"Round {state.round.number}: a changed sheet is not published", url)
        before = state


def _seat_lines(event: Event, rounds: Sequence[RoundState]) -> Iterator[Line]:
    """Players who came after the sheet was published: they would stand at the start without a group (1 query)."""
    state = next((found for found in rounds if found.published is not None and not found.done), None)
    if state is None:
        return
    sheet = state.published
    not_on = sheet.inputs.get("out", ()) if sheet is not None else ()  # after a cut
    here = Entry.objects.filter(event=event, status=Status.CONFIRMED, checked_in_at__isnull=False)
    left_out = (
        here.exclude(seats__sheet=sheet)
        .exclude(pk__in=not_on)
        .select_related("person")
        .order_by("person__sort_name")
    )
    url = f"{reverse('draw:overview', args=[event.slug])}?round={state.round.number}"
    for entry in left_out:
        yield Line(f"{entry.person.name} is checked in, but in no group of round {state.round.number}", url)


def _card_lines(event: Event, rounds: Sequence[RoundState], now: datetime) -> Iterator[Line]:
    for state in rounds:
        url = f"{reverse('cards:room', args=[event.slug])}?round={state.round.number}"
        name = f"Round {state.round.number}"
        for card in state.cards:
            if card.conflicts:
                yield Line(f"{name}, group {card.number}: two cards differ", url)
            elif not card.done and card.due_at is not None:
                late = " late" if now > card.due_at else ""
                yield Line(
                    f"{name}, group {card.number}: card out{late}",
                    url,
                    when=f"due {event.local(card.due_at):%H:%M}",
                    until=card.due_at,
                )
        started = [card for card in state.cards if card.starts_at <= now]
        out = sum(1 for card in started if not card.done)
        if out:
            yield Line(f"{name}: {out} of {len(state.cards)} cards out", url, needs=False)


def _closing_lines(event: Event, rounds: Sequence[RoundState]) -> Iterator[Line]:
    if rounds and all(state.done for state in rounds) and event.over_at is None:
        yield Line(
            "All cards are in: check the results and close the event",
            reverse("report:close", args=[event.slug]),
        )


def _shown_day(event: Event, rounds: Sequence[RoundState], now: datetime) -> date:
    """The day of the event that is today, else the next one, else the last; today where no round is planned."""
    today = event.local(now).date()
    days = sorted({event.local(state.starts[0]).date() for state in rounds if state.starts})
    return next((day for day in days if day >= today), days[-1] if days else today)


def _dark_rounds(
    event: Event, rounds: Sequence[RoundState], rulebook: Rulebook, sun: Daylight
) -> tuple[str, ...]:
    """One sentence for each round of the shown day that begins or ends in the dark."""
    length = timedelta(minutes=rulebook.int(ROUND_MINUTES))
    said = []
    for state in rounds:
        if state.starts and not state.done:
            first, last = (event.local(moment) for moment in state.starts)
            words = in_the_dark(sun, first, last + length)
            said += [f"Round {state.round.number}: {words}"] if words else []
    return tuple(said)


def _timeline(
    event: Event, rounds: Sequence[RoundState], rulebook: Rulebook, now: datetime
) -> Timeline | None:
    local = event.local(now)
    if not any(state.starts for state in rounds):
        return None
    today = _shown_day(event, rounds, now)
    length = timedelta(minutes=rulebook.int(ROUND_MINUTES))
    spans, marks = [], []
    opens, closes = event.checkin_opens_at, event.checkin_closes_at
    if opens and closes and event.local(opens).date() == today:
        spans.append(Span("check-in", event.local(opens), event.local(closes)))
    before: RoundState | None = None
    for state in rounds:
        if state.starts and event.local(state.starts[0]).date() == today:
            first, last = (event.local(moment) for moment in state.starts)
            spans.append(Span(f"round {state.round.number}", first, last + length))
            due = due_of(state, before, rulebook)
            if due is not None and state.published is None and event.local(due).date() == today:
                marks.append(Mark("tee sheet due", event.local(due), needs=now > due))
        cards_due = [card.due_at for card in state.cards if card.due_at and not card.done]
        if cards_due:
            marks.append(Mark("next card due", event.local(min(cards_due)), needs=now > min(cards_due)))
        before = state
    return draw(spans, marks, now=local)


def _headline(event: Event, rounds: Sequence[RoundState], now: datetime) -> str:
    """Where the event stands, in a few words."""
    if event.over_at is not None:
        return "The event is over"
    playing = [
        state
        for state in rounds
        if state.cards and state.starts and state.starts[0] <= now and not state.done
    ]
    if playing:
        state = playing[-1]
        return f"Round {state.round.number}: {state.cards_in} of {len(state.cards)} cards in"
    coming = next((state for state in rounds if state.starts and not state.done), None)
    if coming is None:
        return "All rounds are played" if rounds else "Plan the event"
    start = event.local(coming.starts[0]) if coming.starts else None
    same_day = start is not None and start.date() == event.local(now).date()
    words = (
        f"{start:%H:%M}" if same_day else f"{start:%A} {start.day} {start:%B}, {start:%H:%M}" if start else ""
    )
    return f"Round {coming.round.number} starts {words}"
