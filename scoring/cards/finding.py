"""Finding a card by what somebody reads off it, types or scans."""

from collections.abc import Sequence
from dataclasses import dataclass

from events.draw.models import Seat, Sheet
from events.setup.models import Round
from players.names import fold
from scoring.cards.links import BadToken, read_token, scanned_token
from scoring.cards.states import CardState, PlayerLine


@dataclass(frozen=True, slots=True)
class GroupRef:
    """A group of a round; a scanned card may be of another round than the one that is open."""

    round_number: int
    group_number: int


def group_by_code(round: Round, text: str) -> GroupRef | None:
    """The group of a scanned code: a group's address (0 queries), or an entrant's code (1 query).

    None: it is neither, or of another event, or the entrant is not on the published sheet of `round`.
    """
    token = scanned_token(text)
    if token is not None:
        try:
            link = read_token(token)
        except BadToken:
            return None
        return GroupRef(link.round_number, link.group_number) if link.event_id == round.event_id else None
    code = text.strip().upper()
    seat = Seat.objects.filter(
        sheet__round=round, sheet__state=Sheet.State.PUBLISHED, entry__code=code
    ).select_related("group")
    found = seat.first() if code else None
    return GroupRef(round.number, found.group.number) if found else None


def matching(states: Sequence[CardState], text: str) -> list[CardState]:
    """Cards that fit a group's number, a start hole's label, a member number or the start of a name.

    A number or label that fits exactly counts before anything longer, and a group before a start hole, since the
    number of the group stands largest on its card: "hole 7" asks for the hole.
    """
    words = fold(text)
    if not words:
        return []
    bare = words.removeprefix("group ").removeprefix("hole ").strip()
    exact = [state for state in states if str(state.number) == bare and not words.startswith("hole ")]
    by_hole = [state for state in states if fold(state.start_label) == bare and state not in exact]
    if exact or by_hole:
        return exact or by_hole
    return [state for state in states if any(_is_meant(player, words) for player in state.players)]


def _is_meant(player: PlayerLine, words: str) -> bool:
    if words.isdigit():
        return str(player.member_number or "") == words
    names = fold(player.name).split()
    return all(any(name.startswith(word) for name in names) for word in words.split())
