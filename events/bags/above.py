"""What bags are told by the floors above, which they must not import: `desk.urls` hands it in."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime

from django.http import HttpRequest

from events.bags.models import Call
from events.entries.models import Entry
from events.log.services import Actor
from events.setup.models import Event, Round

Book = Callable[[Call, str, Actor, datetime], None]


@dataclass(frozen=True, slots=True)
class Measured:
    """A reading of the weather desk: wind in m/s or temperature in degrees Celsius, and when it was read."""

    value: float
    read_at: datetime


@dataclass(frozen=True, slots=True)
class AboveBags:
    """`book(call, rule, actor, now)`: put the call's throws beside the player's card; `unbook`: take them off again,
    where the text is the reason.
    `closed(entry)`: numbers of rounds whose card is in, so that their bag stays as it was.
    `all_in(event)`: numbers of rounds all of whose cards are in: a page opens at the first that is not over.
    `reachable(request, path)`: the whole address of a path as a phone on the network reaches it.
    `qr_image(text)`: a picture of the code, as an address that an `img` takes.
    `weather(event, now)`: today's newest "wind" and "temperature", as far as they were read.
    `links(event, round)`: name of a thing that the floors above have, and its address.
    """

    book: Book
    unbook: Book
    closed: Callable[[Entry], frozenset[int]]
    all_in: Callable[[Event], frozenset[int]]
    reachable: Callable[[HttpRequest, str], str]
    qr_image: Callable[[str], str]
    weather: Callable[[Event, datetime], Mapping[str, Measured]]
    links: Callable[[Event, Round], Mapping[str, str]]
