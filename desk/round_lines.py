"""Lines of the day page about tee sheets and cards."""

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta

from django.urls import reverse

from desk.day_rounds import RoundState, due_of
from desk.safety_lines import Line
from events.draw.models import Sheet
from events.entries.models import Entry, Status
from events.rulebook.loader import Rulebook
from events.setup.models import Event


def draw_lines(
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
            starts = f"starts {event.local(state.starts[0]):%a %H:%M}"
            soon = state.starts[0] - now < timedelta(hours=24)
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


def seat_lines(event: Event, rounds: Sequence[RoundState]) -> Iterator[Line]:
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


def card_lines(event: Event, rounds: Sequence[RoundState], now: datetime) -> Iterator[Line]:
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
