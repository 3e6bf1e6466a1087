"""Everything that can happen, in the order in which the pages list it. Pure data."""

from scoring.penalties.situations_rounds import OF_ROUNDS
from scoring.penalties.situations_throws import OF_THROWS

SITUATIONS = (*OF_THROWS, *OF_ROUNDS)
