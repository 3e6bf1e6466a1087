"""All paper of a round's draw as PDF: score cards, spare cards, tee sheets, and the whole round in one.

Every function takes plain dataclasses and returns the bytes of a PDF; `printed` (when, as text) and `version`
(of the published sheet, as text) stand in the footer.
"""

from collections.abc import Sequence

from events.draw.card_data import CardHole, CardPlayer, CardSheet, StartKind, copies_per_player, playing_order
from events.draw.card_print import card_pages
from events.draw.tee_sheet_print import TeeGroup, TeePlayer, by_name, by_time
from events.paper.listing import listing_pages
from events.paper.page import EventHead, Part, document

__all__ = [
    "CardHole",
    "CardPlayer",
    "CardSheet",
    "StartKind",
    "TeeGroup",
    "TeePlayer",
    "copies_per_player",
    "playing_order",
    "score_cards",
    "spare_card",
    "spare_cards",
    "tee_sheet_by_name",
    "tee_sheet_by_time",
    "whole_round",
]

UNKNOWN_HOLES = 18  # columns of a blank card when no layout is given
SPARE_PLAYERS = 5  # lines of a blank card: the largest regular group (Competition Manual 2025, 1.06.B)


def score_cards(
    head: EventHead, cards: Sequence[CardSheet], *, printed: str = "", version: str = ""
) -> bytes:
    """The cards in the order given. Use `copies_per_player` first where every player keeps a card."""
    return document(head, [_cards_part(head, "score cards", cards)], printed=printed, version=version)


def spare_cards(
    head: EventHead,
    holes: Sequence[CardHole],
    count: int,
    *,
    players: int = SPARE_PLAYERS,
    round_number: int = 0,
    date_text: str = "",
    layout_name: str = "",
    printed: str = "",
) -> bytes:
    """Blank cards; without holes the hole row is blank too. Round 0 is a line to write on."""
    card = spare_card(
        holes, players=players, round_number=round_number, date_text=date_text, layout_name=layout_name
    )
    return document(head, [_cards_part(head, "spare score cards", [card] * count)], printed=printed)


def spare_card(
    holes: Sequence[CardHole],
    *,
    players: int = SPARE_PLAYERS,
    round_number: int = 0,
    date_text: str = "",
    layout_name: str = "",
) -> CardSheet:
    """One blank card, with the layout's holes in course order where they are known."""
    return CardSheet(
        group_number="",
        start_label="",
        time_text="",
        start_kind="shotgun",
        round_number=round_number,
        date_text=date_text,
        pool="",
        layout_name=layout_name,
        holes=tuple(holes) or (CardHole("", None),) * UNKNOWN_HOLES,
        players=(CardPlayer(""),) * players,
        copy_label="Spare card",
    )


def tee_sheet_by_time(
    head: EventHead, groups: Sequence[TeeGroup], *, subtitle: str, printed: str = "", version: str = ""
) -> bytes:
    """Groups in the order given; `subtitle` names round and date."""
    return document(head, [_time_part(head, groups, subtitle)], printed=printed, version=version)


def tee_sheet_by_name(
    head: EventHead, groups: Sequence[TeeGroup], *, subtitle: str, printed: str = "", version: str = ""
) -> bytes:
    """Players in the order of their listed names; `subtitle` names round and date."""
    return document(head, [_name_part(head, groups, subtitle)], printed=printed, version=version)


def whole_round(
    head: EventHead,
    *,
    cards: Sequence[CardSheet],
    groups: Sequence[TeeGroup],
    spares: Sequence[CardSheet] = (),
    subtitle: str,
    printed: str = "",
    version: str = "",
) -> bytes:
    """Everything that a round needs on paper in one document: both tee sheets, the cards, the spare cards."""
    parts = [_time_part(head, groups, subtitle), _name_part(head, groups, subtitle)]
    parts.append(_cards_part(head, "score cards", cards))
    parts.append(_cards_part(head, "spare score cards", spares))
    return document(head, parts, printed=printed, version=version)


def _cards_part(head: EventHead, name: str, cards: Sequence[CardSheet]) -> Part:
    return Part(name, tuple(page for card in cards for page in card_pages(head, card)))


def _time_part(head: EventHead, groups: Sequence[TeeGroup], subtitle: str) -> Part:
    listing = by_time(groups, title="Tee sheet by time", subtitle=_under(head, subtitle))
    return Part("tee sheet by time", listing_pages(head, listing))


def _name_part(head: EventHead, groups: Sequence[TeeGroup], subtitle: str) -> Part:
    listing = by_name(groups, title="Tee sheet by name", subtitle=_under(head, subtitle))
    return Part("tee sheet by name", listing_pages(head, listing))


def _under(head: EventHead, subtitle: str) -> str:
    return " · ".join(filter(None, (head.name, subtitle, head.place)))
