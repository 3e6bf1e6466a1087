from collections.abc import Iterator

import pytest

from scoring.standings import board_kept


@pytest.fixture(autouse=True)
def _nothing_kept() -> Iterator[None]:
    """What the board shows is kept by the end of the log, which is alike in tests that write at the same time."""
    board_kept.forget()
    yield
    board_kept.forget()
