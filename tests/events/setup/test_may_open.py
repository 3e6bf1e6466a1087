"""Nobody is led to a closed door: a link is shown to those whom it opens for."""

import pytest

from events.setup.access import may_open
from events.setup.models import Role


@pytest.mark.parametrize(
    ("url", "role", "opens"),
    [
        ("/desk/quiet-pines/cards/?round=1", Role.VIEWER, True),
        ("/desk/quiet-pines/money/", Role.VIEWER, False),
        ("/desk/quiet-pines/money/", Role.DIRECTOR, True),
        ("/desk/quiet-pines/prizes/#post", Role.CARD_ROOM, False),
        ("/board/quiet-pines/", Role.VIEWER, True),
        ("/nowhere/", Role.DIRECTOR, False),
    ],
)
def test_a_link_opens_for_those_who_may_read_its_page(url, role, opens):
    assert may_open(url, role) is opens
