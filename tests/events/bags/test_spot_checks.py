import hashlib
import re
from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction

from build import ACTOR, NOW, make_entry
from build_spots import DICE, SECRET, freeze, leave, make_players
from events.bags.models import SpotCheck
from events.bags.spot_checks import (
    LONGEST_SOURCE,
    MOST_NUMBERS,
    SpotCheckRefused,
    draw,
    drawn,
    drawn_entries,
    pool_of,
    read_numbers,
)
from events.bags.spot_draw import revealed
from events.entries.models import Status
from events.log.models import Act
from events.setup.models import Event

pytestmark = pytest.mark.django_db


def drawn_labels(check: SpotCheck) -> list[str]:
    return [each.label for each in drawn(check) if each.called]


def make_draw(check: SpotCheck, numbers: list[list[int]] = DICE) -> SpotCheck:
    return draw(check=check, numbers=numbers, actor=ACTOR, now=NOW)


def test_the_pool_is_who_is_checked_in_by_name(event: Event) -> None:
    late = make_entry(event)
    leave(make_players(event, 1, family="Gone")[0].pk)
    players = make_players(event, 3)
    check = freeze(event)
    assert [(each.label, each.entry_id) for each in pool_of(check)] == [
        ("P01", players[0].pk),
        ("P02", players[1].pk),
        ("P03", players[2].pk),
    ]
    assert late.pk not in {each.entry_id for each in pool_of(check)}
    assert (check.number, check.frozen_at, check.result, check.numbers) == (1, NOW, None, None)


def test_labels_of_a_hundred_have_three_digits(event: Event) -> None:
    make_players(event, 100)
    assert [pool_of(freeze(event))[at].label for at in (0, 99)] == ["P001", "P100"]


def test_the_commitment_is_the_secret_hashed_twice_and_each_secret_is_new(event: Event) -> None:
    make_players(event, 3)
    first, second = freeze(event), freeze(event)
    once = hashlib.sha256(first.secret.encode()).digest()
    assert first.commitment == hashlib.sha256(once).hexdigest()
    assert first.secret != second.secret
    assert [len(first.secret), len(second.secret)] == [32, 32]
    assert (first.number, second.number) == (1, 2)


def test_who_comes_after_the_freezing_is_not_in_the_pool(event: Event) -> None:
    make_players(event, 3)
    check = freeze(event)
    make_players(event, 1, family="Later")
    check.refresh_from_db()
    assert len(check.pool) == 3


@pytest.mark.parametrize(
    ("facts", "sentence"),
    [
        ({"wanted": 0}, "3 players are checked in: 0 cannot be drawn."),
        ({"wanted": 4}, "3 players are checked in: 4 cannot be drawn."),
        ({"method": "hat"}, "Choose how the draw is made."),
        ({"source": " \u200b "}, "Say where the numbers will come from and when: nobody may pick them afterwards."),
        ({"source": "x" * (LONGEST_SOURCE + 1)}, "The source is longer than 300 letters: shorten it."),
    ],
)  # fmt: skip
def test_what_cannot_be_frozen_is_refused(event: Event, facts: dict[str, object], sentence: str) -> None:
    make_players(event, 3)
    with pytest.raises(SpotCheckRefused, match=re.escape(sentence)):
        freeze(event, **facts)
    assert not SpotCheck.objects.exists()


def test_there_are_never_more_spares_than_players(event: Event) -> None:
    make_players(event, 3)
    assert freeze(event, wanted=2, spares=9).spares == 1


def test_an_event_that_is_over_draws_no_more(event: Event) -> None:
    make_players(event, 3)
    check = freeze(event)
    Event.objects.filter(pk=event.pk).update(over_at=NOW)
    with pytest.raises(SpotCheckRefused, match=re.escape("The event is over: no more is drawn.")):
        freeze(event)
    with pytest.raises(SpotCheckRefused, match=re.escape("The event is over: no more is drawn.")):
        make_draw(check)


def test_a_draw_of_72_by_keyed_hash_gives_the_known_vector(event: Event) -> None:
    """Our own vector, worked out apart from this code (no published source); test_discs.py holds the draft's."""
    players = make_players(event, 72)
    check = make_draw(freeze(event, secret=SECRET, wanted=8, spares=2))
    eight = ["P67", "P16", "P65", "P70", "P59", "P30", "P41", "P36"]
    assert drawn_labels(check) == eight
    assert check.result == [*eight, "P18", drawn(check)[9].label]
    leave(players[64].pk)
    assert drawn_labels(check) == ["P67", "P16", "P70", "P59", "P30", "P41", "P36", "P18"]
    gone = drawn(check)[2]
    assert (gone.label, gone.gone, gone.called) == ("P65", True, False)


def test_a_draw_of_72_by_rfc_3797_gives_the_known_vector(event: Event) -> None:
    """Our own vector for the procedure of RFC 3797 (June 2004); test_discs.py holds the RFC's own."""
    make_players(event, 72)
    check = make_draw(freeze(event, method=SpotCheck.Method.RFC3797, wanted=8, spares=0))
    assert drawn_labels(check) == ["P34", "P38", "P25", "P18", "P66", "P15", "P50", "P54"]


def test_a_draw_is_made_once_and_stays(event: Event) -> None:
    make_players(event, 5)
    check = freeze(event)
    made = draw(check=check, numbers=[[1], [2]], actor=ACTOR, now=NOW)
    with pytest.raises(
        SpotCheckRefused, match=re.escape("This draw is made. Freeze another pool for another draw.")
    ):
        draw(check=check, numbers=[[6], [6]], actor=ACTOR, now=NOW + timedelta(hours=1))
    check.refresh_from_db()
    assert (check.result, check.numbers, check.drawn_at) == (made.result, [[1], [2]], NOW)
    assert Act.objects.filter(action="spot.drawn").count() == 1


@pytest.mark.parametrize("numbers", [[], [[]], [[1], []], [[-1]]])
def test_a_draw_without_numbers_is_refused_and_nothing_is_kept(
    event: Event, numbers: list[list[int]]
) -> None:
    make_players(event, 3)
    check = freeze(event)
    with pytest.raises(SpotCheckRefused):
        make_draw(check, numbers)
    check.refresh_from_db()
    assert (check.numbers, check.result, check.drawn_at) == (None, None, None)


def test_spares_step_in_in_their_order_until_there_are_none(event: Event) -> None:
    make_players(event, 6)
    check = make_draw(freeze(event, wanted=2, spares=2))
    first, second, third, fourth = drawn(check)
    assert drawn_labels(check) == [first.label, second.label]
    leave(first.entry_id)
    assert drawn_labels(check) == [second.label, third.label]
    leave(third.entry_id, Status.DID_NOT_FINISH)
    assert drawn_labels(check) == [second.label, fourth.label]
    leave(fourth.entry_id)
    assert drawn_labels(check) == [second.label]


def test_the_log_keeps_the_secret_until_the_draw_is_made(event: Event) -> None:
    make_players(event, 5)
    check = freeze(event)
    before = "".join(str(act.detail) for act in Act.objects.all())
    assert (check.secret in before, revealed(check.secret) in before) == (False, False)
    assert Act.objects.get(action="spot.frozen").detail == {
        "round": 1,
        "number": 1,
        "method": "ranked by keyed hash",
        "pool": 5,
        "wanted": 2,
        "spares": 1,
        "source": "dice, 08:40",
        "commitment": check.commitment,
    }
    check = make_draw(check)
    assert Act.objects.get(action="spot.drawn").detail == {
        "round": 1,
        "number": 1,
        "numbers": DICE,
        "revealed": revealed(check.secret),
        "drawn": check.result,
    }
    after = "".join(str(act.detail) for act in Act.objects.all())
    assert (check.secret in after, revealed(check.secret) in after) == (False, True)


@pytest.mark.parametrize("count", [1, 3])
def test_whom_the_draws_of_a_round_call_takes_two_queries(
    event: Event, count: int, django_assert_num_queries
) -> None:
    make_players(event, 9)
    checks = [make_draw(freeze(event), [[number]]) for number in range(count)]
    freeze(event)  # not drawn: it calls nobody
    called = {each.entry_id for check in checks for each in drawn(check) if each.called}
    round_ = event.rounds.get(number=1)
    with django_assert_num_queries(2):
        assert drawn_entries(round_) == called
    assert drawn_entries(event.rounds.get(number=2)) == set()


@pytest.mark.parametrize(
    ("text", "single", "numbers"),
    [
        ("3 17 22\n1,2 2", False, [[3, 17, 22], [1, 2, 2]]),
        ("3 17\n1", True, [[3], [17], [1]]),
        ("\n 6 \r\n\r\n5\n", False, [[6], [5]]),
        ("0", True, [[0]]),
        ("007", True, [[7]]),
        ("\u200b4", True, [[4]]),
    ],
)
def test_typed_numbers_are_read_source_by_source(text: str, single: bool, numbers: list[list[int]]) -> None:
    assert read_numbers(text, single=single) == numbers


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (" \n ", "Write the announced numbers."),
        (",", "Write the announced numbers."),
        ("3 x 4", "“x” is no whole number. Write digits, apart by blanks or commas."),
        ("-3", "“-3” is no whole number. Write digits, apart by blanks or commas."),
        ("1.5", "“1.5” is no whole number. Write digits, apart by blanks or commas."),
        ("٣", "“٣” is no whole number. Write digits, apart by blanks or commas."),
        ("²", "“²” is no whole number. Write digits, apart by blanks or commas."),
        ("1" * 16, "A number has at most 15 digits."),
        ("1 " * (MOST_NUMBERS + 1), "At most 200 numbers are taken."),
    ],
)
def test_what_is_no_number_is_named(text: str, sentence: str) -> None:
    with pytest.raises(SpotCheckRefused, match=re.escape(sentence)):
        read_numbers(text)


@pytest.mark.parametrize(
    "wrong", [{"method": "hat"}, {"wanted": 0}, {"drawn_at": NOW}, {"number": 1, "result": ["P01"]}]
)
def test_the_database_refuses_half_a_draw(event: Event, wrong: dict[str, object]) -> None:
    make_players(event, 3)
    check = freeze(event)
    with pytest.raises(IntegrityError), transaction.atomic():
        SpotCheck.objects.filter(pk=check.pk).update(**wrong)


def test_a_number_of_a_round_is_given_once(event: Event) -> None:
    make_players(event, 3)
    freeze(event)
    second = freeze(event)
    with pytest.raises(IntegrityError), transaction.atomic():
        SpotCheck.objects.filter(pk=second.pk).update(number=1)
