from collections.abc import Iterator

import pytest
from django.core.cache import cache


@pytest.fixture(autouse=True)
def _nothing_kept() -> Iterator[None]:
    """Parts of the board are kept by the end of the log, which is alike in tests that write at the same time."""
    cache.clear()
    yield
    cache.clear()
