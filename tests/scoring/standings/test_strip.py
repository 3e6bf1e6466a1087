"""The run of a round as bars."""

import pytest

from scoring.standings.strip import Bar, bars, strip_text


def test_bars_stand_in_the_order_of_play_and_skip_blank_holes() -> None:
    assert bars([4, None, 2, 3], [3, 3, 3, 3], start_position=2) == (Bar(0, -1), Bar(1, 0), Bar(2, 1))


@pytest.mark.parametrize(
    ("amounts", "text"),
    [
        ([], "no holes played"),
        ([-1], "1 hole under, 0 over, through 1"),
        ([-1, -2, 0, 3], "2 holes under, 1 over, through 4"),
    ],
)
def test_the_strip_in_words(amounts: list[int], text: str) -> None:
    assert strip_text([Bar(x, amount) for x, amount in enumerate(amounts)]) == text
