import pytest

import build_cards
from events.entries.models import Entry
from events.setup.models import Event


@pytest.fixture
def tied(event: Event) -> list[Entry]:
    """Four players of MA1 after the last round, the first three of them tied for first place."""
    field = build_cards.make_field(event, 4)
    for round_ in event.rounds.order_by("number"):
        build_cards.publish(round_, [field])
        lines = [build_cards.line(entry, 3) for entry in field[:3]]
        build_cards.save(round_, 1, [*lines, build_cards.line(field[3], 4)])
    return field


@pytest.fixture
def seconds(event: Event) -> list[Entry]:
    """Four players of MA1 after the last round: one ahead, and three who share second place."""
    field = build_cards.make_field(event, 4)
    for round_ in event.rounds.order_by("number"):
        build_cards.publish(round_, [field])
        lines = [build_cards.line(field[0], 3), *(build_cards.line(entry, 4) for entry in field[1:])]
        build_cards.save(round_, 1, lines)
    return field


@pytest.fixture
def at_cut(event: Event) -> list[Entry]:
    """Four players of MA1 after round 1 of 2: one ahead, two level, one behind."""
    field = build_cards.make_field(event, 4)
    round_ = event.rounds.get(number=1)
    build_cards.publish(round_, [field])
    figures = (3, [*[3] * 17, 4], [*[3] * 17, 4], 5)
    build_cards.save(
        round_, 1, [build_cards.line(entry, each) for entry, each in zip(field, figures, strict=True)]
    )
    return field
