"""The mass that a disc may have: as listed, and as the formula of the technical standards gives it."""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal


@dataclass(frozen=True, slots=True)
class MassRule:
    """Figures of the formula; grams and centimetres. `differs_g`: from where a listed limit is pointed out."""

    grams_per_cm: Decimal
    cap_g: Decimal
    step_g: Decimal
    differs_g: Decimal
    source: str = ""


@dataclass(frozen=True, slots=True)
class Limit:
    """What a piece is judged by, and the formula's figure beside it; None: not known.

    `differs` is true where both are known and lie further apart than the rule's tolerance.
    """

    listed_g: Decimal | None
    formula_g: Decimal | None
    differs: bool


def formula_limit(diameter_cm: Decimal, rule: MassRule) -> Decimal:
    """min(cap, grams per cm × diameter) in grams, the product rounded half up to the rule's step.

    Decimals throughout: 8.3 × 21.5 = 178.45 becomes 178.5, as the published list has it. Raises ValueError for a
    diameter that is none.
    """
    if diameter_cm <= 0:
        raise ValueError(f"A disc has a diameter above 0, not {diameter_cm} cm.")
    steps = (rule.grams_per_cm * diameter_cm / rule.step_g).quantize(Decimal(1), ROUND_HALF_UP)
    return min(rule.cap_g, steps * rule.step_g)


def limit_of(max_mass_g: Decimal | None, diameter_cm: Decimal | None, rule: MassRule) -> Limit:
    """The limit of a listed model. A blank maximum stays unknown: the formula never stands in for it."""
    formula = None if diameter_cm is None else formula_limit(diameter_cm, rule)
    both = max_mass_g is not None and formula is not None
    differs = both and abs(max_mass_g - formula) > rule.differs_g  # type: ignore[operator]
    return Limit(max_mass_g, formula, differs)
