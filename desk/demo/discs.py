"""An invented list of approved discs, and invented bags. No maker, model or person is meant. Pure and seeded."""

import random
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from events.bags.limits import MassRule, formula_limit
from events.sheets.safe import Value, write_csv

HEADINGS = (
    "Manufacturer", "Disc Model", "Max Weight (g)", "Diameter (cm)", "Height (cm)", "Rim Depth (cm)",
    "Inside Rim Diameter (cm)", "Rim Thickness (cm)", "Rim Depth / Diameter Ratio (%)", "Rim Configuration",
    "Flexibility (kg)", "Class", "Max Weight Vint (g)", "Last Year Production", "Certification Number",
    "Approved Date",
)  # fmt: skip
MAKERS = (
    "Ostwall",
    "Brindlecroft",
    "Tarnwick Works",
    "Fjøsdal",
    "Quillhaven",
    "Morrowgate",
    "Żelwodysk",
    "Pellam & Voss",
)
_FIRST = (
    "Bel",
    "Cor",
    "Dru",
    "Fen",
    "Gal",
    "Hob",
    "Jor",
    "Kel",
    "Lum",
    "Mar",
    "Nor",
    "Oss",
    "Pim",
    "Quo",
    "Ras",
)
_LAST = ("dabrin", "vekko", "mottle", "wissen", "tharn", "gusset", "lindow", "zapple")
# Role → (diameter, rim width, rim depth) about which its models lie, in cm.
SHAPES = {
    "putter": ("21.2", "1.0", "1.6"),
    "midrange": ("21.7", "1.3", "1.3"),
    "fairway": ("21.2", "1.8", "1.2"),
    "distance": ("21.1", "2.2", "1.2"),
}
KINDS = tuple(SHAPES)
AS_OF_DAYS_BEFORE = 40


@dataclass(frozen=True, slots=True)
class Model:
    maker: str
    name: str
    kind: str
    diameter: Decimal
    max_mass: Decimal | None
    cells: tuple[Value, ...]


def models(rule: MassRule, *, seed: int = 1, as_of: date) -> list[Model]:
    """120 models, the same for a seed: nearly all with the limit that the formula gives, and what real lists have
    besides: two slips, a blank maximum, a certification number that became a date, one model with a vintage limit."""
    rng = random.Random(f"discs {seed}")  # noqa: S311  an invented list
    made = []
    for index in range(120):
        maker = MAKERS[index % len(MAKERS)]
        name = f"{_FIRST[index % len(_FIRST)]}{_LAST[index // len(_FIRST) % len(_LAST)]}"
        made.append(_model(rng, rule, index, maker, name, as_of))
    return made


def _model(rng: random.Random, rule: MassRule, index: int, maker: str, name: str, as_of: date) -> Model:
    kind = KINDS[index % len(KINDS)]
    diameter, width, depth = (Decimal(each) for each in SHAPES[kind])
    diameter += Decimal(rng.choice((-1, -1, 0, 0, 0, 1, 2, 3))) / 10
    width += Decimal(rng.choice((-1, 0, 0, 1))) / 10
    limit: Decimal | None = formula_limit(diameter, rule)
    assert limit is not None
    limit = {17: limit + Decimal("0.4"), 58: limit - Decimal("0.8"), 73: None}.get(index, limit)
    inside = diameter - 2 * width
    ratio = (100 * depth / diameter).quantize(Decimal("0.1"))
    approved = as_of - timedelta(days=rng.randrange(200, 9000))
    certification: Value = "7-Mar" if index == 90 else f"{approved:%y}-{index % 60 + 1}"
    vintage = (Decimal("6.7") * diameter).quantize(Decimal("0.1")) if index == 41 else None
    cells: tuple[Value, ...] = (
        maker, name, limit, diameter, Decimal(rng.choice(("1.5", "1.8", "2.1"))), depth, inside, width, ratio,
        Decimal(rng.randrange(104, 300)) / 4, Decimal(rng.randrange(440, 1225)) / 100,
        "Vintage" if vintage else None, vintage, None, certification, approved,
    )  # fmt: skip
    return Model(maker, name, kind, diameter, limit, cells)


def list_csv(made: list[Model]) -> bytes:
    """The list as the governing body's export would have it."""
    return write_csv([list(HEADINGS), *(list(model.cells) for model in made)])
