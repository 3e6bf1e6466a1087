"""What is typed is text that can be seen: zero characters are refused, and marks that nobody sees are left out."""

from collections.abc import Callable, Iterator

from django.core.exceptions import SuspiciousOperation
from django.http import HttpRequest, HttpResponse, QueryDict

from events.sheets.cells import seen


class PlainText:
    """Forms get what lists get when they are read in (`events.sheets.cells.seen`), whoever reads the request.

    A zero character, which PostgreSQL does not store and no keyboard types, is answered by 400: forms of Django refuse
    it, bare fields do not. Passwords are left as they are.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request: HttpRequest, *view: object) -> None:
        """Here and not before, so that the form has been read already to protect against forgery."""
        if any("\0" in text for text in (request.path, *_texts(request.GET), *_texts(request.POST))):
            raise SuspiciousOperation("A request held a zero character.")
        sent = {name: [*map(str, values)] for name, values in request.POST.lists()}
        kept = {name: _kept(name, values) for name, values in sent.items()}
        if kept != sent:
            request.POST = _form(kept, request.POST.encoding)  # type: ignore[assignment]


def _kept(name: str, values: list[str]) -> list[str]:
    return values if "password" in name else [seen(value) for value in values]


def _form(fields: dict[str, list[str]], encoding: str | None) -> QueryDict:
    form = QueryDict(mutable=True, encoding=encoding)
    for name, values in fields.items():
        form.setlist(name, values)
    form._mutable = False
    return form


def _texts(sent: QueryDict) -> Iterator[str]:
    for name, values in sent.lists():
        yield name
        yield from map(str, values)
