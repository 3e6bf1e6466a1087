"""Advice to a player, apart from compliance: what players commonly do, with what is published for or against it.

Every line is common practice without a source, and says so. Small physics is ours: with the shape unchanged, air forces
turn a lighter disc the more, as one over the mass.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

STRONG_WIND = 10.8  # m/s: from Beaufort 6
SOME_WIND = 5.5  # m/s: from Beaufort 4
COLD, HOT = 8.0, 27.0  # degrees Celsius, our own choice
MARK = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Piece:
    """`mass_g`: weighed, else stamped; `limit_g`: as listed. None: not known."""

    number: int
    model: str
    role: str
    wear: str
    mass_g: Decimal | None = None
    limit_g: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Advice:
    """`text` says it, `evidence` what is published for or against; `pieces` are the numbers it is about."""

    text: str
    evidence: str
    pieces: tuple[int, ...] = ()
    mark: str = MARK


def lighter_effect(full_g: float, light_g: float) -> float:
    """By how many percent air forces turn the lighter disc more, the shape being the same: 176 → 171 g is 2.9."""
    return (full_g / light_g - 1) * 100


def air_density(celsius: float) -> float:
    """Dry air at sea level in kg/m³: 1.292 at 0 °C, 1.164 at 30 °C (ideal gas at 1013.25 hPa)."""
    return 101_325 / (287.05 * (celsius + 273.15))


def advise(bag: Sequence[Piece], *, wind: float | None, celsius: float | None) -> list[Advice]:
    """What to think of for this bag in this weather; wind in m/s, None: not known."""
    return [*_masses(bag, wind), *_wind(bag, wind), *_temperature(celsius), *_roles(bag)]


def _masses(bag: Sequence[Piece], wind: float | None) -> list[Advice]:
    light = [
        piece
        for piece in bag
        if piece.mass_g is not None and piece.limit_g is not None and 4 <= piece.limit_g - piece.mass_g <= 7
    ]
    if not light:
        return []
    most = max(
        lighter_effect(float(piece.limit_g), float(piece.mass_g))  # type: ignore[arg-type]
        for piece in light
    )
    how = " In this wind that is more to steer." if wind is not None and wind >= SOME_WIND else ""
    text = (
        "4 to 7 g under the maximum: these turn and glide sooner than the same disc at its maximum,"
        f" by up to {most:.1f} %.{how}"
    )
    evidence = "Our own arithmetic: force per mass goes as 1/m. Nothing published measures it on the course."
    return [Advice(text, evidence, tuple(piece.number for piece in light))]


def _wind(bag: Sequence[Piece], wind: float | None) -> list[Advice]:
    if wind is None or wind < STRONG_WIND:
        return []
    worn = tuple(
        piece.number
        for piece in bag
        if piece.wear in ("half", "worn") and piece.role in ("fairway", "distance")
    )
    fresh = [piece for piece in bag if piece.wear == "new" and piece.role in ("fairway", "distance")]
    if not fresh:
        return [
            Advice(
                "A strong wind, and no driver in this bag is new: nothing in it resists turning over.",
                "Rim mass and spin hold a line longer (Sports Engineering 2022, introduction); wear was not measured.",
                worn,
            )
        ]
    if not worn:
        return []
    return [
        Advice(
            "A strong wind: worn drivers turn over sooner into it.",
            "Said of wear without a measurement; the direction agrees with published stability work.",
            worn,
        )
    ]


def _temperature(celsius: float | None) -> list[Advice]:
    if celsius is None or COLD < celsius < HOT:
        return []
    denser = (air_density(celsius) / air_density(20.0) - 1) * 100
    air = f"The air is {abs(denser):.0f} % {'denser' if denser > 0 else 'thinner'} than at 20 °C."
    if celsius <= COLD:
        return [
            Advice(
                f"Cold: players change to a softer putter. {air} Discs fly shorter.",
                "Plastics stiffen when chilled (Encyclopedic Dictionary of Polymers, low-temperature flexibility). One"
                " materials note finds little change in hardness above about −4 °C.",
            )
        ]
    return [
        Advice(
            f"Hot: players change to a firmer putter. {air} Discs fly a little farther.",
            "Elastomers soften with heat; nothing published measures it on putters.",
        )
    ]


def _roles(bag: Sequence[Piece]) -> list[Advice]:
    found = []
    putting = [piece for piece in bag if piece.role == "putting"]
    throwing = [piece for piece in bag if piece.role == "throwing"]
    if putting and not throwing:
        found.append(
            Advice(
                "No putter for throwing: one that putts and flies wears faster and changes in the hand.",
                "Nothing published for or against it.",
                tuple(piece.number for piece in putting),
            )
        )
    models = {piece.model for piece in bag}
    if len(bag) >= 10 and len(models) == len(bag):
        found.append(
            Advice(
                "Each disc is another model. Many players carry few models in several states of wear instead.",
                "Nothing published for or against it.",
            )
        )
    return found
