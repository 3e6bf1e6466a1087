"""Lines of the day page about the plan, the discs and the end."""

from collections.abc import Iterator, Sequence
from urllib.parse import urlencode

from django.urls import reverse

from desk.day_rounds import RoundState
from desk.safety_lines import Line
from events.bags.waiting import waiting_of
from events.course.models import LayoutUse
from events.setup.models import Event


def plan_lines(event: Event, rounds: Sequence[RoundState]) -> Iterator[Line]:
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


def bag_lines(event: Event) -> Iterator[Line]:
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


def closing_lines(event: Event, rounds: Sequence[RoundState]) -> Iterator[Line]:
    if rounds and all(state.done for state in rounds) and event.over_at is None:
        yield Line(
            "All cards are in: check the results and close the event",
            reverse("report:close", args=[event.slug]),
        )
