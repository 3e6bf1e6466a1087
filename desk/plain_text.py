"""Refuses what no text is: a zero character, which PostgreSQL does not store and no keyboard types."""

from collections.abc import Callable, Iterator

from django.core.exceptions import SuspiciousOperation
from django.http import HttpRequest, HttpResponse, QueryDict


class NoZeroCharacters:
    """Answers 400 to a request whose address or form holds one; forms of Django refuse it, bare fields do not."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request: HttpRequest, *view: object) -> None:
        """Here and not before, so that the form has been read already to protect against forgery."""
        if any("\0" in text for text in (request.path, *_texts(request.GET), *_texts(request.POST))):
            raise SuspiciousOperation("A request held a zero character.")


def _texts(sent: QueryDict) -> Iterator[str]:
    for name, values in sent.lists():
        yield name
        yield from map(str, values)
