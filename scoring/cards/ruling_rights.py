"""Who may change what counts of a card that is verified: the director alone."""

from events.setup.models import Role, Round
from scoring.cards.models import Card
from scoring.cards.rulings import RulingRefused


def refuse_verified(*, role: Role | None, round: Round, group_number: int) -> None:
    """Raises RulingRefused where the group's card is verified and somebody else than the director rules (1 query;
    the director: 0)."""
    if role is not Role.DIRECTOR and is_verified(round, group_number):
        raise RulingRefused(
            f"The card of group {group_number} is verified: only the director rules on it from now on."
        )


def is_verified(round: Round, group_number: int) -> bool:
    """(1 query)"""
    return Card.objects.filter(round=round, group_number=group_number, verified_at__isnull=False).exists()
