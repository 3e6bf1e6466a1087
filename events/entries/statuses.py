"""What the status words of an entry mean for payout, standings and ratings (1.02, 5.06, 3.03). Pure."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True, slots=True)
class StatusWord:
    """`in_payout`: counts in the headcount and money of the division. `ranked`: has a place in the standings.

    `rated`: the rounds that were played are rated. `report_code` is what the report writes for the total.
    """

    status: str
    sentence: str
    source: str
    in_payout: bool
    ranked: bool
    rated: bool
    report_code: int | None = None


_WORDS = (
    StatusWord("applied", "Not in until the fee is received and verified.", "1.02.B", False, False, False),
    StatusWord("confirmed", "In: the fee is received.", "1.02.B, H", True, True, True),
    StatusWord("waitlisted", "Waits for a place, in the order of entry.", "1.02.D, G", False, False, False),
    StatusWord(
        "withdrawn", "Told the director before the start; refund by table.", "1.03", False, False, False
    ),
    StatusWord(
        "did_not_play",
        "Never started: deleted before the payout is computed; the own net fee may go to the added money.",
        "5.06.A",
        False,
        False,
        False,
    ),
    StatusWord(
        "did_not_finish",
        "Told the director before leaving or before the next round: no points, no other penalty.",
        "5.06.B",
        True,
        False,
        True,
        999,
    ),
    StatusWord(
        "disqualified",
        "No prize, refund or rated round; headcount and fee stay in the payout, the name leaves the report.",
        "3.03.E, 5.06.D",
        True,
        False,
        False,
    ),
)

# By the status an entry carries. Sections are of the Competition Manual 2025.
STATUS_WORDS: Mapping[str, StatusWord] = MappingProxyType({word.status: word for word in _WORDS})
