"""A bag as a picture: which roles in which wear, and how near each piece comes to its limit.

Numbers of pieces stand in the picture themselves, so that nothing rests on colour; the template draws it as SVG.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

ROLES = ("putting", "throwing", "approach", "midrange", "fairway", "distance", "utility", "unknown")
WEARS = ("new", "first", "half", "worn", "unknown")

CELL_W, CELL_H = 96, 30
PER_LINE = 3  # numbers side by side in a cell before the row grows
LEFT, TOP = 132, 26

SCALE_W = 460
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
class Cell:
    """Numbers of the pieces of one role in one wear, line by line; x and y of the first baseline."""

    x: int
    y: int
    lines: tuple[tuple[int, str], ...]


@dataclass(frozen=True, slots=True)
class Row:
    role: str
    y: int
    height: int
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class RolesPicture:
    """Rows of the roles that the bag has, columns of wear; all in SVG units."""

    width: int
    height: int
    columns: tuple[tuple[str, int], ...]
    rows: tuple[Row, ...]


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


def roles_picture(pieces: Sequence[Piece]) -> RolesPicture:
    """Pieces by role and wear. Roles without a piece are left out; a bag without pieces has no rows."""
    rows: list[Row] = []
    y = TOP
    for role in ROLES:
        of_role = [piece for piece in pieces if piece.role == role]
        if not of_role:
            continue
        by_wear = [[piece.number for piece in of_role if piece.wear == wear] for wear in WEARS]
        lines = max(-(-len(numbers) // PER_LINE) for numbers in by_wear)
        height = max(CELL_H, 12 + 18 * lines)
        cells = tuple(
            _cell(sorted(numbers), LEFT + index * CELL_W, y)
            for index, numbers in enumerate(by_wear)
            if numbers
        )
        rows.append(Row(role, y, height, cells))
        y += height
    columns = tuple((wear, LEFT + index * CELL_W) for index, wear in enumerate(WEARS))
    return RolesPicture(LEFT + len(WEARS) * CELL_W, y + 2, columns, tuple(rows))


def _cell(numbers: Sequence[int], x: int, y: int) -> Cell:
    chunks = [numbers[i : i + PER_LINE] for i in range(0, len(numbers), PER_LINE)]
    lines = tuple((y + 20 + 18 * i, "  ".join(map(str, chunk))) for i, chunk in enumerate(chunks))
    return Cell(x + 8, y + 20, lines)


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
        lane = next((i for i, end in enumerate(lanes) if x - end >= 22), len(lanes))
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
