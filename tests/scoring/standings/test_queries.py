"""Standings from the tables: who stands where, what is missing, and how many queries it takes."""

from typing import Any

import pytest

import build
import build_cards
from events.draw.models import Group
from events.entries.models import Entry, Status
from events.safety.models import Completion
from events.setup.models import Event, Round
from scoring.cards.models import StandingLine
from scoring.standings.queries import Row, standings, totals_before
from scoring.standings.tallying import Group as Block

PAR = sum(build.PARS)  # 60


def round_of(event: Event, number: int) -> Round:
    return event.rounds.get(number=number)


def played(event: Event, number: int, scores: dict[Entry, Any]) -> None:
    """One group of everybody named, who each threw the figure on every hole; a list is taken as it is."""
    round_ = round_of(event, number)
    build_cards.publish(round_, [list(scores)])
    lines = [build_cards.line(entry, score) for entry, score in scores.items() if score is not None]
    build_cards.save(round_, 1, lines)


def shown(rows: tuple[Row, ...]) -> list[tuple[Any, ...]]:
    return [
        (row.standing.place, row.standing.name, row.standing.to_par, row.standing.total, row.standing.words)
        for row in rows
    ]


def test_one_round_ranks_by_score_and_shares_a_place(event: Event) -> None:
    one, two, three, four = build_cards.make_field(event, 4)
    played(event, 1, {one: 4, two: 3, three: 3, four: [*[3] * 17, 4]})
    (division,) = standings(event)
    assert (division.code, division.name) == ("MA1", "Mixed Amateur 1")
    assert [each.layout.name for each in division.rounds if each.layout] == ["Upper", "Upper"]
    assert shown(division.rows) == [
        (1, "Hale Oyelaran", 54 - PAR, 54, "done"),
        (1, "Dov Pennock", 54 - PAR, 54, "done"),
        (3, "Niko Eskola", 55 - PAR, 55, "done"),
        (4, "Ludvik Moravec", 72 - PAR, 72, "done"),
    ]
    assert division.settled
    assert not division.finished


def test_a_division_without_players_is_left_out_and_codes_are_filtered(event: Event) -> None:
    build_cards.make_field(event, 1, "FA1")
    assert [each.code for each in standings(event)] == ["FA1"]
    assert standings(event, divisions=["MA1"]) == []


def test_a_partial_card_counts_its_holes_only(event: Event) -> None:
    one, two = build_cards.make_field(event, 2)
    played(event, 1, {one: [4, 3, 4, *[None] * 15], two: 3})
    rows = {row.standing.name: row.standing for row in standings(event)[0].rows}
    part = rows["Ludvik Moravec"]
    assert (part.total, part.to_par, part.holes_played, part.words) == (11, 1, 3, "through 3")


def test_additional_penalties_count_once(event: Event) -> None:
    (one,) = build_cards.make_field(event, 1)
    round_ = round_of(event, 1)
    build_cards.publish(round_, [[one]])
    build_cards.save(round_, 1, [build_cards.line(one, 3, additional=2, additional_reason="late card")])
    (row,) = standings(event)[0].rows
    assert (row.standing.total, row.rounds[0].additional_reason) == (56, "late card")


def test_status_words_put_each_where_the_manual_says(event: Event) -> None:
    """Did not play is removed, did not finish stands after the ranked, disqualified after that."""
    field = build_cards.make_field(event, 6)
    played(event, 1, dict.fromkeys(field[:5], 3))
    for entry, status, reason in zip(
        field[1:],
        [Status.DISQUALIFIED, Status.DID_NOT_FINISH, Status.WITHDRAWN, Status.DID_NOT_PLAY, Status.WITHDRAWN],
        ["made up a score", "", "", "", ""],
        strict=True,
    ):
        entry.status, entry.left_reason = status, reason
        entry.save()
    rows = [row.standing for row in standings(event)[0].rows]
    assert [(standing.name, standing.place, standing.words) for standing in rows] == [
        ("Ludvik Moravec", 1, "done"),
        ("Niko Eskola", None, "withdrew"),
        ("Dov Pennock", None, "did not finish"),
        ("Hale Oyelaran", None, "disqualified"),
    ]


def test_a_missing_card_is_no_zero_and_no_place(event: Event) -> None:
    one, two = build_cards.make_field(event, 2)
    played(event, 1, {one: 3, two: None})
    round_of(event, 1).cards.update(returned_at=build.NOW)
    rows = standings(event)[0].rows
    assert [(row.standing.place, row.standing.total, row.standing.words) for row in rows] == [
        (1, 54, "done"),
        (None, None, "round 1: no card"),
    ]
    assert rows[1].standing.group is Block.NO_CARD


def test_a_card_that_lies_untyped_is_not_missing(event: Event) -> None:
    one, two = build_cards.make_field(event, 2)
    round_ = round_of(event, 1)
    build_cards.publish(round_, [[one], [two]])
    build_cards.save(round_, 1, [build_cards.line(one, 3)])
    round_.cards.create(group_number=2, returned_at=build.NOW)
    assert [row.standing.words for row in standings(event)[0].rows] == ["done", "card in, not typed yet"]


def test_a_round_without_a_card_is_missing_once_the_next_has_begun(event: Event) -> None:
    one, two = build_cards.make_field(event, 2)
    build_cards.publish(round_of(event, 1), [[one], [two]])
    build_cards.save(round_of(event, 1), 1, [build_cards.line(one, 3)])
    assert [row.standing.words for row in standings(event)[0].rows] == ["done", "starts Fri 09:00"]
    played(event, 2, {one: 3, two: 3})
    assert [(row.standing.place, row.standing.words) for row in standings(event)[0].rows] == [
        (1, "done"),
        (None, "round 1: no card"),
    ]


def test_who_has_not_started_the_second_round_keeps_the_first(event: Event) -> None:
    one, two = build_cards.make_field(event, 2)
    played(event, 1, {one: 3, two: 4})
    round_ = round_of(event, 2)
    build_cards.publish(round_, [[one], [two]])
    build_cards.save(round_, 1, [build_cards.line(one, [5, *[None] * 17])])
    assert shown(standings(event)[0].rows) == [
        (1, "Ludvik Moravec", 54 - PAR + 2, 59, "through 1"),
        (2, "Hale Oyelaran", 72 - PAR, 72, "starts Fri 13:00"),
    ]


def test_through_a_round_leaves_later_rounds_out(event: Event) -> None:
    one, two = build_cards.make_field(event, 2)
    played(event, 1, {one: 3, two: 4})
    played(event, 2, {one: 5, two: 3})
    (after_one,) = standings(event, through_round=1)
    assert [(row.standing.name, row.standing.total) for row in after_one.rows] == [
        ("Ludvik Moravec", 54),
        ("Hale Oyelaran", 72),
    ]
    assert [(row.standing.name, row.standing.total) for row in standings(event)[0].rows] == [
        ("Hale Oyelaran", 126),
        ("Ludvik Moravec", 144),
    ]


def test_a_line_of_another_layout_says_nothing(event: Event) -> None:
    (one,) = build_cards.make_field(event, 1)
    played(event, 1, {one: 3})
    short = build.make_layout(event, "Short", pars=(3,) * 9)
    Group.objects.update(layout=short, start=short.layout_holes.get(position=1))
    assert [row.standing.total for row in standings(event)[0].rows] == [None]


@pytest.mark.parametrize("players", [1, 3])
def test_standings_take_twelve_queries(event: Event, django_assert_num_queries: Any, players: int) -> None:
    field = build_cards.make_field(event, players)
    played(event, 1, dict.fromkeys(field, 3))
    with django_assert_num_queries(12):
        (division,) = standings(event)
    assert len(division.rows) == players


@pytest.mark.parametrize("players", [1, 3])
def test_totals_take_four_queries(event: Event, django_assert_num_queries: Any, players: int) -> None:
    field = build_cards.make_field(event, players)
    played(event, 1, dict.fromkeys(field, 3))
    second = round_of(event, 2)
    with django_assert_num_queries(4):
        totals = totals_before(second)
    assert totals == {entry.pk: (54,) for entry in field}


def test_totals_know_no_half_round(event: Event) -> None:
    one, two, three = build_cards.make_field(event, 3)
    played(event, 1, {one: 3, two: [3, *[None] * 17], three: None})
    three.status = Status.WITHDRAWN
    three.save()
    assert totals_before(round_of(event, 2)) == {one.pk: (54,), two.pk: (None,)}
    assert totals_before(round_of(event, 1)) == {one.pk: (), two.pk: ()}


def test_nothing_is_final_while_somebody_has_no_score(event: Event) -> None:
    """One group's card is in, the other has not started; who never comes is marked as who did not play."""
    one, two, three = build_cards.make_field(event, 3)
    event.rounds.exclude(number=1).delete()
    build_cards.publish(round_of(event, 1), [[one], [two, three]])
    build_cards.save(round_of(event, 1), 1, [build_cards.line(one, 3)])
    (division,) = standings(event)
    assert (division.by_total, division.settled, division.finished) == (True, False, False)
    build_cards.save(round_of(event, 1), 2, [build_cards.line(two, 3)])
    assert [row.standing.name for row in standings(event)[0].waiting] == [three.person.name]
    assert not standings(event)[0].finished
    three.status = Status.DID_NOT_PLAY
    three.save()
    assert standings(event)[0].finished


def test_nothing_is_final_while_a_hole_is_missing(event: Event) -> None:
    one, two = build_cards.make_field(event, 2)
    event.rounds.exclude(number=1).delete()
    played(event, 1, {one: 4, two: [*[2] * 17, None]})
    round_of(event, 1).cards.update(returned_at=build.NOW)
    (division,) = standings(event)
    assert [row.standing.place for row in division.rows] == [1, None]
    assert not division.finished


def test_a_radio_call_says_nothing_of_common_holes(event: Event) -> None:
    """A call through 12, then the card, then the first nine holes alone count."""
    one, two = build_cards.make_field(event, 2)
    round_ = round_of(event, 1)
    played(event, 1, {one: 3, two: 4})
    StandingLine.objects.filter(round=round_).update(called_through=12, called_to_par=-3)
    Completion.objects.create(
        round=round_, division=one.division, option=Completion.Option.COMMON_HOLES,
        event=event, common=[str(number) for number in range(1, 10)], approval="tour manager, by phone",
        at=build.NOW, by="director",
    )  # fmt: skip
    rows = standings(event)[0].rows
    assert [(row.standing.place, row.rounds[0].result.played) for row in rows] == [(1, 9), (2, 9)]


def test_a_call_is_no_written_hole(event: Event) -> None:
    """All eighteen were called, and the next round is under way: the card is missing as a whole."""
    one, two = build_cards.make_field(event, 2)
    played(event, 1, {one: 3, two: None})
    StandingLine.objects.filter(round=round_of(event, 1), entry=two).update(
        called_through=18, called_to_par=-3
    )
    played(event, 2, {one: 3, two: 3})
    rows = {row.standing.name: row.standing.words for row in standings(event)[0].rows}
    assert rows[two.person.name] == "round 1: no card"
