from decimal import Decimal

from events.bags.mass_picture import MassPicture, mass_picture

D = Decimal


def test_the_limit_stands_in_the_middle_and_the_band_around_it() -> None:
    assert mass_picture(D("175.2"), D("176.0"), D("0.2015"), D("0.9999")) == MassPicture(
        limit_x=60.0,
        guard_x=58.0,
        guard_w=4.0,
        reading_x=52.0,
        arrow="",
        words="175.2 g against 176.0 g, guard band 0.2015 g either side, probability within 0.9999",
    )


def test_a_reading_beyond_the_axis_is_an_arrow_and_no_place_on_it() -> None:
    light = mass_picture(D("139.0"), D("176.0"), D("0.2"), D("0.9999"))
    heavy = mass_picture(D("182.1"), D("176.0"), D("0.2"), D("0.0001"))
    assert light
    assert heavy
    assert (light.reading_x, light.arrow) == (0.0, "0,7 7,2 7,12")
    assert (heavy.reading_x, heavy.arrow) == (120.0, "120,7 113,2 113,12")
    at_the_edge = mass_picture(D("182.0"), D("176.0"), D("0.2"), None)
    assert at_the_edge
    assert at_the_edge.arrow == ""
    assert at_the_edge.words == "182.0 g against 176.0 g, guard band 0.2 g either side"


def test_without_a_limit_there_is_no_picture() -> None:
    assert mass_picture(D("150"), None, D("0.2"), None) is None
