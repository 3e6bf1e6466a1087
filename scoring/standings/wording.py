"""How scores and places are said. Pure; used by the board, the desk and the paper alike."""

from collections.abc import Sequence

NONE = "–"


def to_par_text(to_par: int | None) -> str:
    """Score against par: "−2" with a true minus, "E" for even, "+3"; an en dash for none."""
    if to_par is None:
        return NONE
    if to_par == 0:
        return "E"
    return f"+{to_par}" if to_par > 0 else f"−{-to_par}"


def to_par_spoken(to_par: int | None) -> str:
    """The same for a screen reader: "2 under", "even", "3 over", "no score"."""
    if to_par is None:
        return "no score"
    if to_par == 0:
        return "even"
    return f"{abs(to_par)} {'over' if to_par > 0 else 'under'}"


def total_text(total: int | None) -> str:
    """A total, or an en dash where there is none."""
    return NONE if total is None else str(total)


def place_text(place: int | None, *, repeats: bool = False) -> str:
    """A place in a list: "2", "=" where it `repeats` the place of the line above, "" for no place."""
    if place is None:
        return ""
    return "=" if repeats else str(place)


def place_marked(place: int | None, *, tied: bool) -> str:
    """A place in a list for print or staff: "2", "T2" when tied; an en dash for none."""
    if place is None:
        return NONE
    return f"T{place}" if tied else str(place)


def place_words(place: int | None, *, tied: bool) -> str:
    """A place that stands alone: "2", "tied 2", "no place"."""
    if place is None:
        return "no place"
    return f"tied {place}" if tied else str(place)


def holes_text(played: int, holes: int, gaps: int = 0) -> str:
    """The holes column: "12", "12, 1 blank" (a hole passed without a score), "done", or "" for none."""
    if played == 0:
        return ""
    if played >= holes:
        return "done"
    return f"{played}, {gaps} blank" if gaps else str(played)


def through_text(played: int, holes: int) -> str:
    """Progress in words: "through 12", "done", "not started"."""
    if played == 0:
        return "not started"
    return "done" if played >= holes else f"through {played}"


def undecided_text(cards: int) -> str:
    """What is left to be decided: "1 card to be decided", "2 cards to be decided"; "" for none."""
    if not cards:
        return ""
    return f"{cards} {'card' if cards == 1 else 'cards'} to be decided"


def waiting_text(players: int) -> str:
    """Who is still in it without a place: "1 without a card", "4 without a card"; "" for nobody."""
    return f"{players} without a card" if players else ""


def open_text(holes: Sequence[str], *, card: bool) -> str:
    """The same of one player's card: "hole 7 to be decided", "holes 7, 9 to be decided", "card to be decided" where
    two versions of the whole card wait; "" for nothing."""
    if card:
        return "card to be decided"
    if not holes:
        return ""
    return f"{'hole' if len(holes) == 1 else 'holes'} {', '.join(holes)} to be decided"


def missing_text(round_number: int, blanks: int, holes: int) -> str:
    """What is missing of a round that is over: "round 1: no card", "round 1: 2 holes missing"."""
    if blanks >= holes:
        return f"round {round_number}: no card"
    return f"round {round_number}: {blanks} {'hole' if blanks == 1 else 'holes'} missing"
