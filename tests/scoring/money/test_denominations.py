"""Pieces of the cash box."""

from scoring.money.denominations import faces_of, sum_of


def test_pieces_come_largest_first_and_an_unknown_currency_gets_the_common_series():
    assert faces_of("USD")[:3] == (10_000, 5_000, 2_000)
    assert faces_of("CHF") == faces_of("EUR")
    for currency in ("USD", "CAD", "AUD", "NZD", "EUR", "GBP", "SEK", "NOK", "DKK"):
        faces = faces_of(currency)
        assert list(faces) == sorted(set(faces), reverse=True)


def test_pieces_are_summed_in_cents():
    assert sum_of([[2_000, 3], [25, 2]]) == 6_050
    assert sum_of([]) == 0
