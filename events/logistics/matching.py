"""Whose thing it may be, by what stands on it: a member number, a telephone number, a name."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from events.sheets.cells import plain

MOST = 3  # suggestions that a hurried volunteer still reads
PHONE_DIGITS = 6  # the last digits of a telephone number that are enough to tell players of one event apart
_DIGITS = re.compile(r"[\d\s()+./-]*\d[\d\s()+./-]*")


@dataclass(frozen=True, slots=True)
class Owner:
    """Somebody who is entered. `phone` is empty where none is known or the reader may not see it."""

    entry_id: int
    name: str
    family_name: str
    given_name: str
    member_number: int | None
    phone: str = ""


@dataclass(frozen=True, slots=True)
class Suggestion:
    owner: Owner
    why: str


def suggest(written: str, owners: Sequence[Owner]) -> tuple[Suggestion, ...]:
    """The likeliest owners, at most three; nobody for a text that fits nobody.

    A whole member number or the end of a telephone number weighs most, then the family name with the given name
    or its first letter and the given name with the first letter of the family name, then the family name alone: only
    those of the best fit are named.
    """
    runs = _DIGITS.findall(written)
    # A telephone number may be written with blanks; two numbers may stand beside each other.
    numbers = [re.sub(r"\D", "", part) for run in runs for part in (run, *run.split())]
    words = plain(written).split()
    found = [(rank, owner, why) for owner in owners for rank, why in [_fits(numbers, words, owner)] if why]
    best = min((rank for rank, _, _ in found), default=0)
    fits = sorted((owner.name, owner.entry_id, owner, why) for rank, owner, why in found if rank == best)
    return tuple(Suggestion(owner, why) for _, _, owner, why in fits[:MOST])


def _fits(numbers: Sequence[str], words: Sequence[str], owner: Owner) -> tuple[int, str]:
    if owner.member_number is not None and str(owner.member_number) in numbers:
        return 0, "member number"
    phone = re.sub(r"\D", "", owner.phone)[-PHONE_DIGITS:]
    if len(phone) == PHONE_DIGITS and any(number.endswith(phone) for number in numbers):
        return 0, "telephone number"
    family, given = plain(owner.family_name).split(), plain(owner.given_name).split()
    if not family:
        return 9, ""
    if not _stands_in(family, words):
        initialled = given and _stands_in(given, words) and family[0][0] in words
        return (1, "name") if initialled else (9, "")
    rest = [word for word in words if word not in family]
    if given and (_stands_in(given, rest) or any(word == given[0][0] for word in rest)):
        return 1, "name"
    return 2, "family name"


def _stands_in(part: Sequence[str], words: Sequence[str]) -> bool:
    """All words of a name follow each other: "van der Berg" is not "Berg, van"."""
    return any(list(words[at : at + len(part)]) == list(part) for at in range(len(words)))
