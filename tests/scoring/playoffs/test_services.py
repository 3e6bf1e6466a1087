"""Playing off: what is written, what it decides, what is refused."""

from typing import Any

import pytest

import build
import build_cards
from events.entries.models import Entry
from events.log.models import Act
from events.setup.models import Event
from scoring.playoffs.co_winners import name_co_winners, undo_co_winners
from scoring.playoffs.models import Playoff
from scoring.playoffs.queries import final_places, open_ties
from scoring.playoffs.services import (
    Agreed,
    PlayoffRefused,
    begin,
    drop,
    leave,
    take_back,
    write_hole,
)
from scoring.standings.cut_setting import set_cut
from scoring.standings.models import Placing
from scoring.standings.queries import standings

FACTS: dict[str, Any] = {"actor": build.ACTOR, "now": build.NOW}


def start(event: Event, after_round: int = 0, **agreed: Any) -> Playoff:
    agreed.setdefault("seed", "7")
    division = event.divisions.get(code="MA1")
    return begin(division=division, after_round=after_round, agreed=Agreed(**agreed), **FACTS)


def hole(playoff: Playoff, throws: dict[Entry, int], index: int | None = None) -> None:
    version = playoff.versions.order_by("number").last()
    assert version is not None
    write_hole(
        playoff=playoff,
        seen=version.number,
        index=len(version.figures) if index is None else index,
        throws={entry.pk: figure for entry, figure in throws.items()},
        **FACTS,
    )


def seen(playoff: Playoff) -> int:
    return playoff.versions.count()


def places(event: Event) -> list[tuple[int, str, int, int, str]]:
    return [
        (each.entry_id, each.name, each.place, each.tied_with, each.decided)
        for each in final_places(event)["MA1"]
    ]


def test_sudden_death_decides_the_first_place_alone(event: Event, tied: list[Entry]) -> None:
    one, two, three, four = tied
    assert open_ties(event) == [
        "MA1: Ludvik Moravec, Hale Oyelaran and Dov Pennock are tied for first place; a playoff decides (1.09.B)."
    ]
    totals = {row.entry_id: row.standing.total for row in standings(event)[0].rows}
    playoff = start(event)
    hole(playoff, {one: 3, two: 3, three: 4})
    assert len(open_ties(event)) == 1
    hole(playoff, {one: 3, two: 2})
    assert open_ties(event) == []
    assert [(key, place, others, how) for key, _, place, others, how in places(event)] == [
        (two.pk, 1, 0, "playoff"),
        (one.pk, 2, 1, "playoff"),
        (three.pk, 2, 1, "playoff"),
        (four.pk, 4, 0, ""),
    ]
    assert {row.entry_id: row.standing.total for row in standings(event)[0].rows} == totals


def test_the_holes_are_those_of_the_last_layout_unless_others_are_named(
    event: Event, tied: list[Entry]
) -> None:
    playoff = start(event)
    assert playoff.holes[:3] == ["1", "2", "3"]
    assert sorted(playoff.players) == sorted(entry.pk for entry in tied[:3])
    drop(playoff=playoff, reason="other holes were announced", **FACTS)
    assert start(event, holes=("17", "18")).holes == ["17", "18"]


@pytest.mark.usefixtures("tied")
@pytest.mark.parametrize(
    ("agreed", "sentence"),
    [
        ({"holes": ("99",)}, "This layout has no hole 99."),
        ({"aggregate": 7}, "At most 6 holes are added up"),
        ({"aggregate": 3, "holes": ("1", "2")}, "3 holes are added up, and 2 are named: name as many."),
        ({"seed": " "}, "The order on the first tee is drawn from a seed: write any number."),
    ],
)
def test_what_cannot_be_agreed_is_refused(event: Event, agreed: dict[str, Any], sentence: str) -> None:
    with pytest.raises(PlayoffRefused, match=sentence):
        start(event, **agreed)


def test_not_everybody_can_decline(event: Event, tied: list[Entry]) -> None:
    with pytest.raises(PlayoffRefused, match="Somebody must be left"):
        start(event, declined=[entry.pk for entry in tied[:3]])


def test_one_who_is_left_wins_without_a_hole(event: Event, tied: list[Entry]) -> None:
    start(event, declined=[tied[0].pk, tied[2].pk])
    assert places(event)[0][0] == tied[1].pk


def test_nobody_plays_off_where_nobody_is_tied(event: Event) -> None:
    build_cards.make_field(event, 2)
    with pytest.raises(PlayoffRefused, match="Nobody is tied here any more"):
        start(event)


@pytest.mark.usefixtures("tied")
def test_a_tie_has_one_playoff_at_a_time(event: Event) -> None:
    start(event)
    with pytest.raises(PlayoffRefused, match="This tie has a playoff already"):
        start(event)


def test_a_correction_is_a_new_version_and_keeps_the_one_before(event: Event, tied: list[Entry]) -> None:
    one, two, three, _ = tied
    playoff = start(event)
    hole(playoff, {one: 3, two: 3, three: 4})
    hole(playoff, {one: 3, two: 2})
    hole(playoff, {one: 3, two: 4, three: 4}, index=0)
    assert places(event)[0][0] == one.pk
    versions = list(playoff.versions.order_by("number"))
    assert [len(each.figures) for each in versions] == [0, 1, 2, 1]
    assert versions[2].figures[0] == {str(one.pk): 3, str(two.pk): 3, str(three.pk): 4}
    assert versions[3].what == "hole 1 corrected, 1 after it dropped"


def test_a_correction_that_changes_nobody_keeps_what_came_after(event: Event, tied: list[Entry]) -> None:
    one, two, three, _ = tied
    playoff = start(event)
    hole(playoff, {one: 3, two: 3, three: 4})
    hole(playoff, {one: 3, two: 2})
    hole(playoff, {one: 4, two: 4, three: 5}, index=0)
    assert places(event)[0][0] == two.pk
    assert len(playoff.versions.get(number=4).figures) == 2


def test_taking_back_opens_the_tie_again(event: Event, tied: list[Entry]) -> None:
    one, two, three, _ = tied
    playoff = start(event)
    hole(playoff, {one: 2, two: 3, three: 3})
    take_back(playoff=playoff, seen=seen(playoff), **FACTS)
    assert len(open_ties(event)) == 1
    assert not Placing.objects.exists()
    with pytest.raises(PlayoffRefused, match="Nothing is written yet"):
        take_back(playoff=playoff, seen=seen(playoff), **FACTS)


def test_a_page_that_is_behind_overwrites_nothing(event: Event, tied: list[Entry]) -> None:
    one, two, three, _ = tied
    playoff = start(event)
    throws = {entry.pk: 3 for entry in (one, two, three)}
    write_hole(playoff=playoff, seen=1, index=0, throws=throws, **FACTS)
    with pytest.raises(PlayoffRefused, match="Somebody else wrote a hole meanwhile"):
        write_hole(playoff=playoff, seen=1, index=0, throws=throws, **FACTS)


def test_who_leaves_takes_the_lower_place(event: Event, tied: list[Entry]) -> None:
    one, two, three, _ = tied
    playoff = start(event)
    hole(playoff, {one: 3, two: 3, three: 4})
    leave(playoff=playoff, seen=seen(playoff), entry=one.pk, **FACTS)
    assert places(event)[0][0] == two.pk
    with pytest.raises(PlayoffRefused, match="not in the playoff any more"):
        leave(playoff=playoff, seen=seen(playoff), entry=one.pk, **FACTS)


def test_a_cut_is_played_off_for_the_places_that_are_left(event: Event, at_cut: list[Entry]) -> None:
    one, two, three, _ = at_cut
    division = event.divisions.get(code="MA1")
    set_cut(division=division, after_round=1, players=2, percent=None, ties="playoff", reason="late", **FACTS)
    assert "are tied for 1 place; a playoff decides who goes on (1.08.B)." in open_ties(event)[0]
    playoff = start(event, after_round=1)
    assert sorted(playoff.players) == sorted([two.pk, three.pk])
    hole(playoff, {two: 3, three: 2})
    assert open_ties(event) == []
    made = {row.entry_id: row.standing.made_cut for row in standings(event)[0].rows}
    assert [made[entry.pk] for entry in at_cut] == [True, False, True, False]
    assert made[one.pk]


def test_cards_that_change_after_a_playoff_open_the_tie_again(event: Event, tied: list[Entry]) -> None:
    one, two, three, four = tied
    playoff = start(event)
    hole(playoff, {one: 2, two: 3, three: 3})
    lines = [build_cards.line(entry, 3) for entry in tied]
    last = event.rounds.get(number=2)
    build_cards.save(last, 1, lines, base=1, source="desk", reason="misread")
    first = event.rounds.get(number=1)
    build_cards.save(first, 1, lines, base=1, source="desk", reason="misread")
    assert four.pk in {row.entry_id for row in standings(event)[0].rows if row.standing.place == 1}
    assert len(open_ties(event)) == 1


@pytest.mark.usefixtures("tied")
def test_co_winners_need_a_published_exception_and_a_reason(event: Event) -> None:
    division = event.divisions.get(code="MA1")
    with pytest.raises(PlayoffRefused, match=r"1\.09\.D"):
        name_co_winners(division=division, exception="rain", reason="it rained", **FACTS)
    with pytest.raises(PlayoffRefused, match="Write what happened"):
        name_co_winners(division=division, exception="danger", reason=" ", **FACTS)
    name_co_winners(division=division, exception="danger", reason="dark at 17:40", **FACTS)
    assert [(place, others, how) for _, _, place, others, how in places(event)] == [
        (1, 2, "co-winners"),
        (1, 2, "co-winners"),
        (1, 2, "co-winners"),
        (4, 0, ""),
    ]
    assert open_ties(event) == []
    undo_co_winners(division=division, **FACTS)
    assert len(open_ties(event)) == 1


def test_a_playoff_that_darkness_ends_leaves_those_who_were_still_in_it(
    event: Event, tied: list[Entry]
) -> None:
    one, two, three, _ = tied
    playoff = start(event)
    hole(playoff, {one: 3, two: 3, three: 4})
    name_co_winners(division=event.divisions.get(code="MA1"), exception="danger", reason="dark", **FACTS)
    assert [(key, place) for key, _, place, *_ in places(event)][2] == (three.pk, 3)
    with pytest.raises(PlayoffRefused, match="Co-winners are named"):
        hole(playoff, {one: 3, two: 2})


@pytest.mark.usefixtures("tied")
def test_nothing_changes_once_the_event_is_over(event: Event) -> None:
    playoff = start(event)
    event.over_at = build.NOW
    event.save()
    with pytest.raises(PlayoffRefused, match="The event is over"):
        drop(playoff=playoff, reason="why", **FACTS)


@pytest.mark.usefixtures("tied")
def test_the_log_keeps_the_seed_the_order_and_every_hole(event: Event) -> None:
    playoff = start(event, seed="20260613")
    act = Act.objects.filter(action="playoff.begun").get()
    assert (act.detail["seed"], act.detail["players"]) == ("20260613", playoff.players)


@pytest.mark.parametrize("players", [1, 3])
def test_final_places_and_open_ties_take_twelve_queries(
    event: Event, django_assert_num_queries: Any, players: int
) -> None:
    field = build_cards.make_field(event, players)
    round_ = event.rounds.get(number=1)
    build_cards.publish(round_, [field])
    build_cards.save(round_, 1, [build_cards.line(entry, 3) for entry in field])
    with django_assert_num_queries(12):
        final_places(event)
    with django_assert_num_queries(12):
        open_ties(event)
