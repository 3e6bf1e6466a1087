"""Draws that anybody can check; the published vectors are held in tests/published."""

import hashlib
import hmac

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from events.bags.spot_draw import (
    BadDraw,
    Ranked,
    bits_needed,
    bits_of_throws,
    commitment,
    commitment_holds,
    hashed,
    ranking,
    revealed,
    rfc3797,
    seed_string,
)

SECRET = "a secret of three words"
SEED = "1.2.3./"
labels_of = st.lists(st.text(min_size=1, max_size=6), min_size=1, max_size=20, unique=True)


def test_a_seed_has_each_source_in_ascending_order() -> None:
    assert seed_string([[6, 1, 6], [0]]) == "1.6.6./0./"


@pytest.mark.parametrize("sources", [[], [[]], [[1], []]])
def test_a_seed_needs_numbers_of_every_source(sources: list[list[int]]) -> None:
    with pytest.raises(BadDraw, match="at least one number"):
        seed_string(sources)


def test_a_seed_has_no_negative_numbers() -> None:
    with pytest.raises(BadDraw, match="0 or more"):
        seed_string([[3], [2, -1]])


@given(pool=st.integers(1, 80), data=st.data(), seed=st.text(max_size=20))
@settings(max_examples=50)
def test_a_draw_takes_different_numbers_of_the_pool_and_spares_do_not_change_it(
    pool: int, data: st.DataObject, seed: str
) -> None:
    count = data.draw(st.integers(1, pool))
    rows = rfc3797(seed, pool, pool)
    assert sorted(row.number for row in rows) == list(range(1, pool + 1))
    assert rfc3797(seed, pool, count) == rows[:count]


def test_the_working_can_be_followed_by_hand() -> None:
    left = list(range(1, 11))
    for row in rfc3797(SEED, 10, 10):
        i = bytes([row.i // 256, row.i % 256])
        digest = hashlib.md5(i + b"1.2.3./" + i, usedforsecurity=False).hexdigest()
        assert (row.digest.lower(), row.left) == (digest, len(left))
        assert row.index == int(digest, 16) % len(left)
        assert row.number == left.pop(row.index)


@pytest.mark.parametrize(("pool", "count"), [(10, 11), (10, 0), (10, -1), (0, 0)])
def test_more_than_the_pool_cannot_be_drawn(pool: int, count: int) -> None:
    with pytest.raises(BadDraw, match=f"{count} cannot be drawn from a pool of {pool}"):
        rfc3797(SEED, pool, count)


@pytest.mark.parametrize(
    ("pool", "count", "bits"),
    [(2, 1, 1), (3, 1, 2), (4, 1, 2), (5, 1, 3), (5, 5, 0), (8, 4, 7)],
)
def test_bits_needed_are_rounded_up(pool: int, count: int, bits: int) -> None:
    assert bits_needed(pool, count) == bits


@pytest.mark.parametrize(
    ("sides", "throws", "bits"), [(6, 1, 2), (6, 2, 5), (6, 3, 7), (2, 8, 8), (20, 1, 4), (6, 0, 0)]
)
def test_bits_held_are_rounded_down(sides: int, throws: int, bits: int) -> None:
    assert bits_of_throws(sides, throws) == bits


@pytest.mark.parametrize("steps", [2, 3, 10])
def test_what_is_revealed_hashed_once_more_is_the_commitment(steps: int) -> None:
    once_more = hashlib.sha256(bytes.fromhex(revealed(SECRET, steps))).hexdigest()
    assert once_more == commitment(SECRET, steps) == hashed(SECRET, steps).hex()
    assert commitment_holds(commitment(SECRET, steps).upper(), revealed(SECRET, steps))


def test_another_secret_does_not_hold() -> None:
    assert not commitment_holds(commitment(SECRET), revealed(SECRET + "."))
    assert not commitment_holds(commitment(SECRET), commitment(SECRET))


def test_ranks_come_from_the_label_and_the_key_alone() -> None:
    key = hmac.digest(bytes.fromhex(revealed(SECRET)), b"1.2.3./", "sha256")
    by_hand = sorted(
        (hmac.digest(key, label + b"\x01", "sha256").hex(), label) for label in (b"A", b"B", b"C")
    )
    assert ranking(["C", "A", "B"], revealed(SECRET), SEED) == tuple(
        Ranked(rank, label.decode(), digest) for rank, (digest, label) in enumerate(by_hand, start=1)
    )


@given(labels=labels_of, data=st.data())
@settings(max_examples=50)
def test_a_withdrawal_or_another_order_changes_nobody_elses_rank(
    labels: list[str], data: st.DataObject
) -> None:
    gone = data.draw(st.sampled_from(labels))
    shuffled = data.draw(st.permutations([label for label in labels if label != gone]))
    whole = [each.label for each in ranking(labels, revealed(SECRET), SEED) if each.label != gone]
    assert [each.label for each in ranking(shuffled, revealed(SECRET), SEED)] == whole


def test_a_label_twice_is_refused() -> None:
    with pytest.raises(BadDraw, match="twice"):
        ranking(["A", "B", "A"], revealed(SECRET), SEED)
