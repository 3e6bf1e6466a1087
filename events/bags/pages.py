"""What a box and a bag show, on the player's phone and at the desk."""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import uuid4

from events.bags.above import AboveBags
from events.bags.checking import Status
from events.bags.judging import Judged, judge
from events.bags.piece_fields import ROLES, WEARS
from events.bags.queries import BagView, PieceView, bag_of
from events.entries.models import Entry
from events.setup.models import Event, Round
from players.models import Disc

ROLE_WORDS: Mapping[str, str] = dict(Disc.RoleInBag.choices)
WEAR_WORDS: Mapping[str, str] = dict(Disc.Wear.choices)


@dataclass(frozen=True, slots=True)
class Line:
    """One piece as a line of the page: what it is in a few words, and what is known of it."""

    piece: PieceView
    judged: Judged

    @property
    def looks(self) -> str:
        """ "gum, orange, 174.5 g, putting putter" without what was not said."""
        disc = self.piece.disc
        mass = f"{disc.stamped_mass_g} g" if disc.stamped_mass_g is not None else ""
        role = ROLE_WORDS[disc.role] if disc.role != Disc.RoleInBag.UNKNOWN else ""
        wear = WEAR_WORDS[disc.wear] if disc.wear != Disc.Wear.UNKNOWN else ""
        return ", ".join(filter(None, (disc.plastic, disc.colour, mass, role, wear)))

    @property
    def warning(self) -> tuple[str, ...]:
        """Sentences for who carries it: what not to throw and why, what is not on the list."""
        said = [check.sentence for check in self.judged.forbidden]
        said += [check.sentence for check in self.judged.unproven]
        listed = next(check for check in self.judged.checks if check.key == "list")
        if listed.status is Status.NOT_KNOWN:
            said.append(listed.sentence)
        return tuple(said)


def chosen_round(event: Event, number: str | None, closed: Collection[int] = ()) -> Round | None:
    """The round that is asked for, else the first whose number is not in `closed`, else the last (1 query)."""
    rounds = list(event.rounds.order_by("number"))
    asked = [each for each in rounds if str(each.number) == number]
    going = [each for each in rounds if each.number not in closed]
    return next(iter(asked + going + rounds[-1:]), None)


def round_tabs(
    event: Event, shown: Round | None, address: Callable[[Round], str] = lambda each: f"?round={each.number}"
) -> list[dict[str, Any]]:
    """One tab a round, with where it leads (1 query)."""
    return [
        {"label": f"Round {each.number}", "url": address(each), "current": each == shown}
        for each in event.rounds.order_by("number")
    ]


def current_round(event: Event, number: str | None, above: AboveBags) -> Round | None:
    """The round that is asked for, else the first that is not played to its end (3 queries; 1 if one is asked for)."""
    return chosen_round(event, number, () if number else above.all_in(event))


def bag_context(entry: Entry, round: Round, closed: frozenset[int]) -> dict[str, Any]:
    """Everything the bag's part of a page needs (12 queries at most)."""
    view = bag_of(entry, round)
    judged = judge(entry.event, [piece.disc for piece in view.pieces], round)
    lines = [Line(piece, judged[piece.disc.pk]) for piece in view.pieces]
    # In the order of the numbers: a tap must not move what is under the thumb.
    lines.sort(key=lambda line: line.piece.disc.number)
    return {
        "entry": entry,
        "round": round,
        "view": view,
        "lines": lines,
        "summary": summary(view, lines),
        "closed": round.number in closed,
        "new_act": str(uuid4()),
        "blank": Disc(),
        "roles": [(value, ROLE_WORDS[value]) for value in ROLES],
        "wears": [(value, WEAR_WORDS[value]) for value in WEARS],
    }


def summary(view: BagView, lines: Sequence[Line]) -> dict[str, Any]:
    """Figures over the list: how many pieces, what changed, what not to throw."""
    carried = [line for line in lines if line.piece.in_bag]
    return {
        "carried": len(carried),
        "came_in": len(view.came_in),
        "went_out": len(view.went_out),
        "forbidden": [line for line in carried if line.judged.forbidden],
    }
