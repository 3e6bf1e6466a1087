"""How much of a pot is paid. Pure."""


def paid_part(cents: int, percent: int) -> int:
    """What a pot that pays so many percent pays, in cents rounded down: the rest stays whole in the pot."""
    return cents * percent // 100
