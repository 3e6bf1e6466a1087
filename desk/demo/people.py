"""The invented field: who enters, in which division, with which rating and what paid. Pure and seeded."""

import random
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal

from desk.demo.names import CLUBS, ELSEWHERE, FAMILY, GIVEN_F, GIVEN_M, PACKS, TOWNS
from events.sheets.safe import Value


@dataclass(frozen=True, slots=True)
class DivisionShare:
    """How large a division is in the field, and what its players are like."""

    code: str
    share: float
    rating: tuple[int, int]  # mean, spread
    ages: tuple[int, int]
    fee_cents: int
    f: bool = False
    pro: bool = False


DIVISIONS = (
    DivisionShare("MPO", 0.20, (968, 28), (18, 45), 9000, pro=True),
    DivisionShare("FPO", 0.07, (880, 30), (18, 42), 9000, f=True, pro=True),
    DivisionShare("MA1", 0.18, (930, 18), (17, 45), 4500),
    DivisionShare("MA40", 0.14, (902, 30), (41, 60), 4500),
    DivisionShare("MA2", 0.17, (902, 16), (16, 45), 4500),
    DivisionShare("MA3", 0.12, (862, 18), (16, 50), 4000),
    DivisionShare("FA1", 0.08, (815, 35), (17, 50), 4500, f=True),
    DivisionShare("MJ15", 0.04, (790, 40), (12, 15), 2500),
)
RATING_BELOW = {"MA2": 934, "MA3": 899}  # the caps are in the rulebook; the demo only has to stay under them
HEADINGS = (
    "No.", "First name", "Last name", "Member #", "Born", "Division", "Rating", "Rating date", "Rated rounds",
    "Gender division", "Class", "Membership", "Town", "Club", "E-mail", "Phone", "Emergency contact", "Pack",
    "Guardian", "Paid", "Entered at",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Entrant:
    given: str
    family: str
    number: int | None
    born: int
    division: str
    rating: int | None
    rated_rounds: int | None
    f: bool
    pro: bool
    member: bool
    town: str
    club: str
    pack: str
    guardian: str
    paid_cents: int
    entered_at: datetime


def field_of(count: int, *, seed: int, first_day: date) -> list[Entrant]:
    """`count` entrants, the same for the same seed and day; in the order of entry."""
    rng = random.Random(f"field {seed}")  # noqa: S311  invented people, not secrets
    codes = _codes(count)
    rng.shuffle(codes)
    # A wall-clock time of the list, as directors write it: no zone.
    moment = datetime(first_day.year, first_day.month, first_day.day, 18) - timedelta(days=60)  # noqa: DTZ001
    taken: set[tuple[str, str]] = set()
    entrants = []
    for index, share in enumerate(codes):
        moment += timedelta(minutes=rng.randint(1, max(2, 60 * 24 * 30 // count)))
        entrants.append(_entrant(rng, share, index, first_day, moment, taken))
    return entrants


def _codes(count: int) -> list[DivisionShare]:
    """Division of each player, by the shares, every division at least one."""
    codes = [share for share in DIVISIONS for _ in range(max(1, round(share.share * count)))]
    while len(codes) < count:
        codes.append(DIVISIONS[len(codes) % len(DIVISIONS)])
    return codes[:count]


def _entrant(
    rng: random.Random,
    share: DivisionShare,
    index: int,
    first_day: date,
    moment: datetime,
    taken: set[tuple[str, str]],
) -> Entrant:
    given, family = _name(rng, share.f, index, taken)
    rating = round(rng.gauss(*share.rating))
    rating = min(rating, RATING_BELOW.get(share.code, rating))
    unrated = rng.random() < 0.05
    member = rng.random() < 0.94
    junior = share.code.startswith("MJ")
    return Entrant(
        given=given,
        family=family,
        number=70_000 + index * 37 if member else None,
        born=first_day.year - rng.randint(*share.ages),
        division=share.code,
        rating=None if unrated or not member else rating,
        rated_rounds=None if unrated or not member else rng.randint(4, 60),
        f=share.f,
        pro=share.pro,
        member=member,
        town=rng.choice(TOWNS),
        club=rng.choice(CLUBS),
        pack=rng.choice(PACKS),
        guardian=f"{rng.choice(GIVEN_F)} {family}" if junior and rng.random() < 0.6 else "",
        paid_cents=0 if rng.random() < 0.08 else share.fee_cents,
        entered_at=moment,
    )


def _name(rng: random.Random, f: bool, index: int, taken: set[tuple[str, str]]) -> tuple[str, str]:
    """A name that nobody has yet; a few outside the Latin alphabet early in the list."""
    if index % 23 == 11 and index // 23 < len(ELSEWHERE):
        return ELSEWHERE[index // 23]
    while True:
        given = rng.choice(GIVEN_F if f or rng.random() < 0.06 else GIVEN_M)
        family = rng.choice(FAMILY)
        if len(taken) > len(FAMILY) * 12:
            family = f"{family}-{rng.choice(FAMILY)}"
        if (given, family) not in taken:
            taken.add((given, family))
            return given, family


def as_rows(entrants: list[Entrant], first_day: date) -> list[list[Value]]:
    """The field as a director's list has it: rows under HEADINGS."""
    rated = date(first_day.year, first_day.month, 1) - timedelta(days=20)
    return [
        [
            number,
            entrant.given,
            entrant.family,
            entrant.number,
            entrant.born,
            entrant.division,
            entrant.rating,
            rated if entrant.rating else None,
            entrant.rated_rounds,
            "F" if entrant.f else "M",
            "pro" if entrant.pro else "am",
            "current" if entrant.member else "none",
            entrant.town,
            entrant.club,
            f"player{number}@mail.example",
            f"555-{number:04d}",
            f"Contact {number}, 555-{9000 + number % 1000}",
            entrant.pack,
            entrant.guardian or None,
            Decimal(entrant.paid_cents) / 100,
            entrant.entered_at,
        ]
        for number, entrant in enumerate(entrants, start=1)
    ]
