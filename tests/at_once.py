"""The same act several times at the same moment.

A database in memory has one writer, so there the acts come one after the other; on PostgreSQL they come at once.
"""

import threading
from collections.abc import Callable

from django.db import connection

MANY = 5


def at_once(write: Callable[[], object]) -> None:
    """The same several times; whatever is raised fails the test."""
    if connection.vendor == "sqlite":
        for _ in range(MANY):
            write()
        return
    raised: list[Exception] = []
    start = threading.Barrier(MANY)

    def run() -> None:
        start.wait()
        try:
            write()
        except Exception as error:
            raised.append(error)
        connection.close()

    threads = [threading.Thread(target=run) for _ in range(MANY)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert raised == []
