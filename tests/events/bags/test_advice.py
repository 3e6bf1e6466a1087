"""Advice to a player: what it is about, and that it never claims a source."""

from decimal import Decimal

import pytest

from events.bags.advice import Advice, Piece, advise, air_density, lighter_effect

D = Decimal


def piece(number: int, role: str = "fairway", wear: str = "half", **facts: object) -> Piece:
    facts.setdefault("model", f"Model {number}")
    return Piece(number, role=role, wear=wear, **facts)  # type: ignore[arg-type]


def about(found: list[Advice]) -> list[tuple[str, tuple[int, ...]]]:
    """The first words of each line and the pieces it is about."""
    return [(line.text.split(":")[0], line.pieces) for line in found]


FRESH, WORN = piece(1, "distance", "new"), piece(2, "distance", "worn")
PUTTING, THROWING = piece(3, "putting"), piece(4, "throwing")


@pytest.mark.parametrize(
    ("full", "light", "percent"), [(176, 171, 2.9), (175, 168, 4.2), (176, 176, 0.0), (171, 176, -2.8)]
)
def test_a_lighter_disc_is_turned_more(full: float, light: float, percent: float) -> None:
    """Own arithmetic, one over the mass: 176/171 = 1.0292, 175/168 = 1.0417."""
    assert round(lighter_effect(full, light), 1) == percent


@pytest.mark.parametrize(("celsius", "density"), [(0, 1.292), (30, 1.164)])
def test_density_of_dry_air(celsius: float, density: float) -> None:
    """Own arithmetic by the ideal gas law at 1013.25 hPa."""
    assert air_density(celsius) == pytest.approx(density, abs=1e-3)


@pytest.mark.parametrize(
    ("mass", "named"),
    [("172.1", ()), ("172.0", (7,)), ("169.0", (7,)), ("168.9", ()), ("177.0", ()), (None, ())],
)
def test_pieces_4_to_7_g_under_their_limit_are_named(mass: str | None, named: tuple[int, ...]) -> None:
    bag = [piece(7, mass_g=None if mass is None else D(mass), limit_g=D("176.0"))]
    expected = [("4 to 7 g under the maximum", named)] if named else []
    assert about(advise(bag, wind=None, celsius=None)) == expected


def test_the_most_that_the_lightest_is_turned_and_the_wind_are_said() -> None:
    bag = [piece(n, mass_g=D(mass), limit_g=D(176)) for n, mass in ((1, 171), (2, 172))]
    (calm,) = advise(bag, wind=5.4, celsius=None)
    (windy,) = advise(bag, wind=5.5, celsius=None)
    assert calm.text.endswith("by up to 2.9 %.")
    assert windy.text == f"{calm.text} In this wind that is more to steer."
    assert calm.pieces == (1, 2)


def test_without_a_limit_a_mass_says_nothing() -> None:
    assert advise([piece(1, mass_g=D(170), limit_g=None)], wind=20.0, celsius=None) == advise(
        [piece(1)], wind=20.0, celsius=None
    )


@pytest.mark.parametrize(
    ("bag", "wind", "expected"),
    [
        ([WORN], None, []),
        ([WORN], 10.7, []),
        ([WORN], 10.8, [("A strong wind, and no driver in this bag is new", (2,))]),
        ([FRESH], 10.8, []),
        ([FRESH, WORN], 10.8, [("A strong wind", (2,))]),
        ([piece(5, "midrange", "worn"), FRESH], 10.8, []),
    ],
)
def test_a_strong_wind_asks_for_something_new(
    bag: list[Piece], wind: float | None, expected: list[tuple[str, tuple[int, ...]]]
) -> None:
    assert about(advise(bag, wind=wind, celsius=None)) == expected


@pytest.mark.parametrize(
    ("celsius", "text"),
    [
        (None, None),
        (8.1, None),
        (
            8.0,
            "Cold: players change to a softer putter. The air is 4 % denser than at 20 °C. Discs fly shorter.",
        ),
        (
            27.0,
            "Hot: players change to a firmer putter. The air is 2 % thinner than at 20 °C."
            " Discs fly a little farther.",
        ),
        (26.9, None),
        (
            0.0,
            "Cold: players change to a softer putter. The air is 7 % denser than at 20 °C. Discs fly shorter.",
        ),
        (
            35.0,
            "Hot: players change to a firmer putter. The air is 5 % thinner than at 20 °C."
            " Discs fly a little farther.",
        ),
    ],
)
def test_cold_and_heat(celsius: float | None, text: str | None) -> None:
    """293.15/273.15 = 1.073; 293.15/308.15 = 0.951."""
    assert [line.text for line in advise([], wind=None, celsius=celsius)] == ([text] if text else [])


@pytest.mark.parametrize(
    ("bag", "named"), [([PUTTING], [(3,)]), ([PUTTING, THROWING], []), ([THROWING], []), ([], [])]
)
def test_a_putter_that_is_thrown_too(bag: list[Piece], named: list[tuple[int, ...]]) -> None:
    assert [line.pieces for line in advise(bag, wind=None, celsius=None)] == named


@pytest.mark.parametrize(("count", "twice", "lines"), [(10, False, 1), (9, False, 0), (10, True, 0)])
def test_many_models_of_one_piece_each(count: int, twice: bool, lines: int) -> None:
    bag = [piece(n) for n in range(count)]
    if twice:
        bag.append(piece(count, model="Model 0"))
    assert len(advise(bag, wind=None, celsius=None)) == lines


def test_every_line_is_common_practice_and_shows_what_is_published() -> None:
    bag = [piece(n, "distance", "worn", mass_g=D(171), limit_g=D(176)) for n in range(10)]
    bag.append(piece(10, "putting"))
    found = advise(bag, wind=12.0, celsius=2.0)
    assert [line.mark for line in found] == ["common practice, no source"] * 5
    assert [line.evidence for line in found if not line.evidence] == []
