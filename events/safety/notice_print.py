"""A notice as a sheet to hang up, read from three metres.

Letters: capitals of a two-hundredth of the distance are read at ease and of a three-hundredth at all (common
practice, no source): 15 mm and 10 mm at three metres. A capital is 0.7 of the size, so 10 mm are 40 points, which
is the smallest here; a text that is too long for one page goes on to the next at that size.
"""

from collections.abc import Sequence

from events.paper.flow import Piece, Sheet, leaves, page_room, pages_of, prose, rule
from events.paper.fonts import Style
from events.paper.page import EventHead, Part, document
from events.safety.computed import CAUTIONS
from events.safety.notice_words import Words

SIZES = ((110.0, 62.0), (90.0, 56.0), (76.0, 50.0), (64.0, 46.0), (56.0, 40.0))  # title and text, points
SMALL = 13.0  # times and cautions, which are read from near


def notice_sheet(
    head: EventHead, words: Sequence[Words], *, kind: str, times: str, withdrawn: str, printed: str
) -> bytes:
    """The notice as PDF: each language begins a page of its own. `withdrawn` "" or "withdrawn 14:20", as large."""
    parts = [
        Part(f"notice {said.language}".strip(), pages_of(head, _sheet(head, said, kind, times, withdrawn)))
        for said in words
    ]
    return document(head, parts, printed=printed)


def _sheet(head: EventHead, said: Words, kind: str, times: str, withdrawn: str) -> Sheet:
    room, height = page_room(head)
    over = [f"{kind}:" if kind and not said.language else "", withdrawn.upper()]
    tried = [_sized(head, said, [each for each in over if each], times, room, sizes) for sizes in SIZES]
    return next((sheet for sheet in tried if len(leaves(sheet, height)) == 1), tried[-1])


def _sized(
    head: EventHead, said: Words, over: Sequence[str], times: str, room: float, sizes: tuple[float, float]
) -> Sheet:
    title, text = sizes
    body: list[Piece] = []
    for words in over:
        body += prose(words, room, Style.HEAD, text, joins_next=True)
    body += prose(said.title, room, Style.HEAD, title, joins_next=True)
    if said.text:
        body += [rule(room, 3.0), *prose(said.text, room, Style.BOLD, text, above=6)]
    foot = (
        *prose(f"{head.name}. {times}.", room, Style.BOLD, SMALL),
        *prose(" ".join(CAUTIONS), room, Style.BODY, SMALL - 3),
    )
    return Sheet(tuple(body), prose(f"{said.title} (continued)", room, Style.HEAD, 40.0), foot)
