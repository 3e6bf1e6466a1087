"""Lines of the day page: what groups on the course have asked and nobody has answered yet."""

from collections.abc import Iterator

from django.urls import reverse

from desk.safety_lines import Line
from events.setup.models import Event
from scoring.cards.asking import waiting_messages


def group_lines(event: Event) -> Iterator[Line]:
    """One line for each question, dangers first (1 query)."""
    for message in waiting_messages(event):
        what = "reports a danger" if message.danger else "asks for a ruling"
        hole = f" at hole {message.hole}" if message.hole else ""
        page = f"{reverse('phones:page', args=[event.slug])}?round={message.round_number}"
        yield Line(
            f"Group {message.group_number} {what}{hole}", page, when=f"{event.local(message.at):%H:%M}"
        )
