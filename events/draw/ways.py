"""Which ways of drawing a round are open: those across divisions only where the manual lets a smaller event."""

from events.draw.models import Sheet
from events.rulebook.loader import Rulebook
from events.setup.models import Round

Method = Sheet.Method
ACROSS_IN = {
    1: Method.RANDOM_ALL,
    2: Method.SCORE_ALL,
}  # round → the way across divisions that 6.03.E has for it


def ways_for(round: Round, book: Rulebook) -> list[Sheet.Method]:
    """What may be chosen for a round, the usual ones first (1 query, where the event's tier may draw across)."""
    across = [method for method in ACROSS_IN.values() if not refusal(method, round, book)]
    return [Method.RANDOM, Method.RATING, Method.SCORE, *across]


def refusal(method: Sheet.Method, round: Round, book: Rulebook) -> str:
    """Why a round cannot be drawn like this, "" where it can (1 query, where the event's tier may draw across)."""
    if not method.across:
        return ""
    if not book.has("group.mixed_draw_tiers"):
        return (
            "Players are drawn across divisions outside the United States and Canada only"
            " (Competition Manual 2025, 6.03.E): draw within the divisions."
        )
    tiers = book.words("group.mixed_draw_tiers")
    if round.event.tier not in tiers:
        named = " and ".join(tiers)
        return (
            f"Players are drawn across divisions at tiers {named} only"
            f" ({book.value('group.mixed_draw_tiers').citation}): draw within the divisions."
        )
    return _wrong_round(method, round, book)


def _wrong_round(method: Sheet.Method, round: Round, book: Rulebook) -> str:
    number = next(number for number, way in ACROSS_IN.items() if way is method)
    named = str(method.label).capitalize()
    if round.number != number:
        return f"{named} is for round {number} only: choose another way for round {round.number}."
    key = f"group.mixed_draw_rounds.round_{number}"
    needed, planned = book.int(key), round.event.rounds.count()
    if planned < needed:
        return (
            f"{named} needs an event of at least {needed} rounds, and this one has {planned}"
            f" ({book.value(key).citation}): draw within the divisions."
        )
    return ""
