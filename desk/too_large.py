"""A request that is too large, answered by a page of our own: it names the limit and the mend.

The answer goes out at once, before the body is sent. A browser looks at it only when it has sent everything, and cut
off before it shows a broken connection: so what is still coming is let in, and nothing of it is kept.
"""

from typing import Any

from django.template.loader import render_to_string
from waitress.channel import HTTPChannel  # type: ignore[import-untyped]
from waitress.parser import HTTPRequestParser  # type: ignore[import-untyped]
from waitress.task import ErrorTask  # type: ignore[import-untyped]
from waitress.utilities import RequestEntityTooLarge  # type: ignore[import-untyped]

LARGEST_BODY = 16 * 1024 * 1024  # bytes; a list has 10 MB at most, a photo 15 MB
_MOST_LET_IN = 512 * 1024 * 1024  # beyond it the connection is cut off


class Channel(HTTPChannel):  # type: ignore[misc]
    """A connection of waitress. Set as the server's `channel_class`."""

    rest = 0  # bytes of a refused body that are still to come

    def parser_class(self, adj: Any) -> Any:
        """What reads the bytes that come next."""
        if not self.rest:
            return _Parser(adj, self)
        left, self.rest = self.rest, 0
        return _Rest(left)


class _Parser(HTTPRequestParser):  # type: ignore[misc]
    lets_in = False  # whether the body of a refused request is read to its end
    expect_continue: bool = False

    def __init__(self, adj: Any, channel: Channel) -> None:
        super().__init__(adj)
        self.channel = channel

    def received(self, data: bytes) -> int:
        consumed: int = super().received(data)
        if isinstance(self.error, RequestEntityTooLarge):
            # Who asks before sending a body (Expect: 100-continue) sends none after this answer.
            self.lets_in = not self.expect_continue and 0 < self.content_length <= _MOST_LET_IN
            self.expect_continue = False
            self.channel.rest = self.content_length if self.lets_in else 0
        return consumed


class _Rest:
    """The body of a refused request, read in the place of another request, which for waitress is an empty one."""

    empty = True
    completed = False
    expect_continue = False
    headers_finished = True
    error = None

    def __init__(self, left: int) -> None:
        self._left = left

    def received(self, data: bytes) -> int:
        taken = min(len(data), self._left)
        self._left -= taken
        self.completed = self._left == 0
        return taken


class _Refusal(ErrorTask):  # type: ignore[misc]
    def execute(self) -> None:
        if not isinstance(self.request.error, RequestEntityTooLarge):
            super().execute()
            return
        body = render_to_string("413.html", {"most": f"{LARGEST_BODY // 2**20} MB"}).encode()
        self.status = "413 Content Too Large"
        self.response_headers.append(("Content-Type", "text/html; charset=utf-8"))
        self.content_length = len(body)
        if not self.request.lets_in:
            self.set_close_on_finish()
        self.write(body)


Channel.error_task_class = _Refusal
