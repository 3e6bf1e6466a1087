"""A bag at a glance: which roles in which wear, as a table, and how near each piece comes to its limit, as a picture.

Numbers of pieces stand in both, so that nothing rests on colour; the template draws the picture as SVG.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

ROLES = ("putting", "throwing", "approach", "midrange", "fairway", "distance", "utility", "unknown")
WEARS = ("new", "first", "half", "worn", "unknown")

SCALE_W = 310  # with its margins it fits a phone, so that its letters keep their size
FROM_SHARE, TO_SHARE = (
    Decimal("0.90"),
    Decimal("1.02"),
)  # common practice, no source: where nearly all pieces lie
LANE = 16


@dataclass(frozen=True, slots=True)
class Piece:
    """`mass_g` is what was weighed, else what is stamped; `weighed` says which. None: not known."""

    number: int
    role: str
    wear: str
    mass_g: Decimal | None = None
    limit_g: Decimal | None = None
    weighed: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    """The numbers of a role's pieces, for each of WEARS in its order."""

    role: str
    numbers: tuple[tuple[int, ...], ...]


@dataclass(frozen=True, slots=True)
class Mark:
    """One piece on the mass axis: a filled mark was weighed, an open one is only stamped."""

    number: int
    x: float
    y: int
    weighed: bool
    words: str


@dataclass(frozen=True, slots=True)
class MassPicture:
    """Share of the limit from left to right. `guard_x`, `guard_width`: the band in which nothing is proven."""

    width: int
    height: int
    limit_x: float
    guard_x: float
    guard_width: float
    marks: tuple[Mark, ...]
    ticks: tuple[tuple[float, str], ...]
    left_out: tuple[int, ...]


def roles_table(pieces: Sequence[Piece]) -> tuple[Row, ...]:
    """Pieces by role and wear. Roles without a piece are left out; a bag without pieces has no rows."""
    rows = (Row(role, tuple(_numbers(pieces, role, wear) for wear in WEARS)) for role in ROLES)
    return tuple(row for row in rows if any(row.numbers))


def _numbers(pieces: Sequence[Piece], role: str, wear: str) -> tuple[int, ...]:
    return tuple(sorted(piece.number for piece in pieces if (piece.role, piece.wear) == (role, wear)))


def mass_picture(pieces: Sequence[Piece], guard_g: Decimal | None) -> MassPicture:
    """Each piece with mass and limit on one axis of shares; `guard_g` is the guard band of the scale in use.

    Pieces below the axis' start or over its end stand at its edge; those without mass or limit are left out by
    number, since missing is not zero.
    """
    known = [piece for piece in pieces if piece.mass_g is not None and piece.limit_g]
    marks: list[Mark] = []
    lanes: list[float] = []
    for piece in sorted(known, key=lambda piece: (_share(piece), piece.number)):
        share = _share(piece)
        x = _x(share)
        lane = next((i for i, end in enumerate(lanes) if x - end >= 30), len(lanes))
        lanes[lane : lane + 1] = [x]
        how = "weighed" if piece.weighed else "stamped"
        words = f"{piece.number}: {how} {piece.mass_g} g, {share * 100:.1f} % of {piece.limit_g} g"
        marks.append(Mark(piece.number, x, 34 + lane * LANE, piece.weighed, words))
    limit_x = _x(Decimal(1))
    band = _guard_share(known, guard_g)
    guard_x = _x(1 - band)
    ticks = tuple((_x(Decimal(p) / 100), f"{p} %") for p in (90, 92, 94, 96, 98, 100, 102))
    return MassPicture(
        width=SCALE_W + 40,
        height=46 + max(1, len(lanes)) * LANE,
        limit_x=limit_x,
        guard_x=guard_x,
        guard_width=round(_x(1 + band) - guard_x, 1),
        marks=tuple(marks),
        ticks=ticks,
        left_out=tuple(sorted(piece.number for piece in pieces if piece not in known)),
    )


def _share(piece: Piece) -> Decimal:
    assert piece.mass_g is not None
    assert piece.limit_g is not None
    return piece.mass_g / piece.limit_g


def _guard_share(known: Sequence[Piece], guard_g: Decimal | None) -> Decimal:
    """The guard band as a share of the smallest limit in the picture; without a scale there is none."""
    limits = [piece.limit_g for piece in known if piece.limit_g is not None]
    return guard_g / min(limits) if guard_g is not None and limits else Decimal(0)


def _x(share: Decimal) -> float:
    within = min(max(share, FROM_SHARE), TO_SHARE)
    return round(float((within - FROM_SHARE) / (TO_SHARE - FROM_SHARE)) * SCALE_W + 20, 1)
