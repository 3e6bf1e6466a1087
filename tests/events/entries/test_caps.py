"""Order of entry, caps, waitlists, promotion (Competition Manual 2025, 1.02.C to G)."""

import random
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from events.entries.caps import (
    EVENT,
    Applicant,
    Caps,
    Placement,
    Scope,
    Wait,
    next_from_waitlist,
    order_of_entry,
    over_cap,
    place,
    waitlist_lists,
)

OPENING = datetime(2025, 2, 1, 18, tzinfo=UTC)
MA1, MPO = Scope("division", "MA1"), Scope("division", "MPO")
PRO, AM = Scope("class", "pro"), Scope("class", "am")


def entry(key: int, division: str = "MA1", minute: int | None = None, **more: object) -> Applicant:
    paid = OPENING + timedelta(minutes=key if minute is None else minute)
    facts: dict[str, object] = {
        "professional_class": division.startswith(("MP", "FP")),
        "paid_at": paid,
    } | more
    return Applicant(key=key, division=division, **facts)  # type: ignore[arg-type]


def settle(applicants: list[Applicant], caps: Caps) -> list[Applicant]:
    """The applicants as they stand after `place`: those who are in hold their place."""
    placed = place(applicants, caps)
    return [replace(each, holds_place=placed[each.key].state == "in") for each in applicants]


class TestOrderOfEntry:
    def test_is_the_moment_the_fee_arrived(self) -> None:
        assert [each.key for each in order_of_entry([entry(1, minute=5), entry(2, minute=3)])] == [2, 1]

    def test_of_one_moment_is_the_lower_member_number_then_no_number_then_the_key(self) -> None:
        four = [
            entry(1, minute=0),
            entry(2, minute=0, member_number=900),
            entry(3, minute=0, member_number=20),
            entry(4, minute=0),
        ]

        assert [each.key for each in order_of_entry(reversed(four))] == [3, 2, 1, 4]

    def test_leaves_out_who_has_not_paid(self) -> None:
        unpaid = [entry(1, confirmed=False), entry(2, paid_at=None), entry(3)]

        assert [each.key for each in order_of_entry(unpaid)] == [3]

    def test_puts_a_held_place_of_unknown_moment_last(self) -> None:
        assert [e.key for e in order_of_entry([entry(1, paid_at=None, holds_place=True), entry(2)])] == [2, 1]


class TestPlace:
    def test_without_caps_everybody_is_in(self) -> None:
        assert [p.state for p in place([entry(1), entry(2)], Caps()).values()] == ["in", "in"]

    def test_the_application_without_a_verified_fee_has_no_place_and_takes_none(self) -> None:
        placed = place([entry(1, confirmed=False), entry(2)], Caps(event=1))

        assert placed == {1: Placement(1, "applied"), 2: Placement(2, "in")}

    def test_a_full_division_does_not_hold_up_another(self) -> None:
        placed = place([entry(1), entry(2), entry(3, "MA2")], Caps(event=2, divisions={"MA1": 1}))

        assert [placed[key].state for key in (1, 2, 3)] == ["in", "waits", "in"]

    def test_who_waits_is_on_the_list_of_every_full_scope_the_narrowest_first(self) -> None:
        placed = place(
            [entry(1), entry(2, "MPO"), entry(3), entry(4, "MPO")], Caps(event=2, divisions={"MA1": 1})
        )

        assert placed[3].waits_at == (Wait(MA1, 1), Wait(EVENT, 1))
        assert placed[4].waits_at == (Wait(EVENT, 2),)
        assert (placed[3].scope, placed[3].position) == (MA1, 1)
        assert (placed[1].scope, placed[1].position) == (None, None)

    def test_a_cap_by_class_counts_all_its_divisions(self) -> None:
        placed = place([entry(1, "MPO"), entry(2, "FPO"), entry(3, "MA1")], Caps(pro=1, am=1))

        assert placed[2].waits_at == (Wait(PRO, 1),)
        assert placed[3].state == "in"

    def test_a_place_once_held_is_not_lost_to_an_earlier_fee_or_a_lowered_cap(self) -> None:
        held = entry(9, minute=50, holds_place=True)
        placed = place([entry(1), held, entry(2)], Caps(event=1))

        assert [placed[key].state for key in (9, 1, 2)] == ["in", "waits", "waits"]
        assert over_cap([held, entry(10, holds_place=True)], Caps(event=1, pro=1)) == {EVENT: 1}

    def test_a_cap_of_none_is_no_cap_and_a_cap_of_zero_is_one(self) -> None:
        assert place([entry(1)], Caps(divisions={"MA1": None}))[1].state == "in"
        assert place([entry(1)], Caps(divisions={"MA1": 0}))[1].state == "waits"


class TestPromotion:
    CAPS = Caps(event=3, divisions={"MA1": 2})

    def field(self) -> list[Applicant]:
        """MA1 and the event are full; 4 waits for MA1, 5 for the event only."""
        return settle([entry(1), entry(2), entry(3, "MPO"), entry(4), entry(5, "MPO")], self.CAPS)

    def test_takes_the_first_for_whom_a_place_is_free_under_all_caps(self) -> None:
        field = self.field()

        from_ma1 = next_from_waitlist(field, self.CAPS, freed=field[0])
        from_mpo = next_from_waitlist(field, self.CAPS, freed=field[2])

        assert from_ma1 is not None
        assert from_ma1.key == 4
        assert from_mpo is not None
        assert from_mpo.key == 5, "4 came first, but MA1 is still full"

    def test_takes_nobody_while_every_place_is_held(self) -> None:
        assert next_from_waitlist(self.field(), self.CAPS) is None

    def test_takes_nobody_who_has_not_paid(self) -> None:
        field = [entry(1, holds_place=True), entry(2, confirmed=False)]

        assert next_from_waitlist(field, Caps(event=1), freed=field[0]) is None

    def test_after_a_raised_cap(self) -> None:
        promoted = next_from_waitlist(self.field(), Caps(event=4, divisions={"MA1": 3}))

        assert promoted is not None
        assert promoted.key == 4

    def test_does_nothing_while_the_field_is_over_a_lowered_cap(self) -> None:
        field = self.field()

        assert next_from_waitlist(field, Caps(event=2), freed=field[0]) is None


class TestLists:
    def test_of_nobody_waiting_are_none(self) -> None:
        assert waitlist_lists([entry(1, holds_place=True)], Caps(event=1)) == {}

    def test_stand_per_scope_in_the_order_of_entry(self) -> None:
        caps = Caps(event=2, divisions={"MA1": 1})
        field = settle([entry(1), entry(2, "MPO"), entry(5), entry(3), entry(4, "MPO")], caps)

        assert waitlist_lists(field, caps) == {MA1: (3, 5), EVENT: (3, 4, 5)}

    def test_keep_who_waits_while_the_freed_place_is_not_given(self) -> None:
        caps = Caps(event=9, divisions={"MA1": 1})

        assert waitlist_lists([entry(2), entry(3)], caps) == {MA1: (2, 3)}
        assert waitlist_lists([entry(2)], Caps()) == {EVENT: (2,)}


@pytest.mark.parametrize(
    ("scope", "words"), [(EVENT, "the event"), (PRO, "the professionals"), (AM, "the amateurs"), (MA1, "MA1")]
)
def test_a_scope_has_words(scope: Scope, words: str) -> None:
    assert scope.words == words


CAP = st.none() | st.integers(0, 6)
CAPS = st.builds(
    Caps, event=CAP, pro=CAP, am=CAP, divisions=st.fixed_dictionaries({"MPO": CAP, "MA1": CAP, "FA1": CAP})
)
FIELDS = st.lists(
    st.tuples(
        st.sampled_from(["MPO", "MA1", "FA1"]),
        st.integers(0, 4),
        st.none() | st.integers(1, 9),
        st.sampled_from([True, True, True, False]),
    ),
    max_size=14,
).map(
    lambda rows: [
        entry(key, division, minute=minute, member_number=number, confirmed=confirmed)
        for key, (division, minute, number, confirmed) in enumerate(rows)
    ]
)


def brute_force(applicants: list[Applicant], caps: Caps) -> set[int]:
    """Who is in, counted the slow way: each in the order of entry, if no cap is then broken."""
    inside: list[Applicant] = []
    for each in order_of_entry(applicants):
        trial = [replace(other, holds_place=True) for other in (*inside, each)]
        if not over_cap(trial, caps):
            inside.append(each)
    return {each.key for each in inside}


@settings(max_examples=150, deadline=None)
@given(FIELDS, CAPS, st.randoms(use_true_random=False))
def test_the_order_of_input_is_irrelevant(
    applicants: list[Applicant], caps: Caps, shuffler: random.Random
) -> None:
    shuffled = list(applicants)
    shuffler.shuffle(shuffled)

    assert place(shuffled, caps) == place(applicants, caps)
    assert waitlist_lists(shuffled, caps) == waitlist_lists(applicants, caps)


@settings(max_examples=150, deadline=None)
@given(FIELDS, CAPS)
def test_who_is_in_agrees_with_a_slow_count_and_breaks_no_cap(
    applicants: list[Applicant], caps: Caps
) -> None:
    placed = place(applicants, caps)

    assert placed.keys() == {each.key for each in applicants}
    assert {key for key, found in placed.items() if found.state == "in"} == brute_force(applicants, caps)
    assert over_cap(settle(applicants, caps), caps) == {}


@settings(max_examples=150, deadline=None)
@given(FIELDS, CAPS)
def test_positions_and_lists_tell_the_same(applicants: list[Applicant], caps: Caps) -> None:
    lists = waitlist_lists(settle(applicants, caps), caps)
    told = {
        (wait.scope, wait.position): found.key
        for found in place(applicants, caps).values()
        for wait in found.waits_at
    }

    assert told == {(scope, n): key for scope, keys in lists.items() for n, key in enumerate(keys, 1)}


@settings(max_examples=150, deadline=None)
@given(FIELDS, CAPS, st.data())
def test_promotion_never_breaks_a_cap_or_passes_somebody_over(
    applicants: list[Applicant], caps: Caps, data: st.DataObject
) -> None:
    field = settle(applicants, caps)
    inside = [each for each in field if each.holds_place]
    if not inside:
        assert next_from_waitlist(field, caps) is None
        return
    freed = data.draw(st.sampled_from(inside))
    staying = [each for each in field if each.key != freed.key]

    promoted = next_from_waitlist(field, caps, freed=freed)

    could = [
        each
        for each in order_of_entry(staying)
        if not each.holds_place
        and not over_cap([*(s for s in staying if s.holds_place), replace(each, holds_place=True)], caps)
    ]
    assert promoted == (could[0] if could else None)
