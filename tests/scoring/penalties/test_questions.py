"""The questions: every way ends, every row of the catalogue is reached, words find what happened."""

from datetime import date

import pytest

from events.rulebook.loader import in_force
from scoring.penalties.catalogue import CHAPTERS, EACH_HOLE, catalogue
from scoring.penalties.questions import Ask, Elsewhere, Found, Free, NoSuchWay, ends, matching, walk
from scoring.penalties.situations import SITUATIONS

BOOK = in_force(date(2025, 6, 7), "north_america")
ROWS = catalogue(BOOK, "major")
WAYS = list(ends(SITUATIONS))
ON_OTHER_PAGES = {"discs.illegal_throws", "discs.unmarked_throws"}
NO_THROWS = {"penalty.relief_area"}


def test_every_row_of_the_catalogue_is_reached_by_answers() -> None:
    reached = {key for each in WAYS if isinstance(each.node, Found) for key in each.node.keys}
    scored = {key for key, row in ROWS.items() if row.booked == EACH_HOLE}

    assert reached == ROWS.keys() - ON_OTHER_PAGES - NO_THROWS - scored


def test_every_way_ends_in_rows_that_are_there_or_says_why_not() -> None:
    assert len(WAYS) >= 60
    for each in WAYS:
        assert isinstance(each.node, Found | Free | Elsewhere), each.way
        assert len(each.steps) <= 3, each.way
        if isinstance(each.node, Free):
            assert each.node.words.endswith("."), each.way
            assert each.node.source, each.way


def test_names_of_situations_are_unique_and_stand_under_the_chapters_in_order() -> None:
    names = [each.name for each in SITUATIONS]
    chapters = [CHAPTERS.index(each.chapter) for each in SITUATIONS]

    assert len(set(names)) == len(names)
    assert chapters == sorted(chapters)
    assert not any("-" in name for name in names)


def test_no_question_has_more_answers_than_digits() -> None:
    def questions(node: object) -> list[Ask]:
        if not isinstance(node, Ask):
            return []
        return [node, *(found for _, answer in node.answers for found in questions(answer))]

    counts = {len(ask.answers) for each in SITUATIONS for ask in questions(each.node)}
    assert min(counts) == 2
    assert max(counts) == 5


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("foot", ["stance"]),
        ("horn", ["signals", "stop"]),
        ("FALL PUTT", ["stance"]),
        ("wrong start", ["starthole", "startgroup"]),
        ("flamingo", []),
    ],
)
def test_words_find_what_happened(text: str, names: list[str]) -> None:
    assert [each.name for each in matching(text, SITUATIONS)] == names


def test_no_word_finds_everything() -> None:
    assert matching("  ", SITUATIONS) == list(SITUATIONS)


@pytest.mark.parametrize(
    "way", ["", "nothing", "stance-0", "stance-3", "stance-1-1", "stance-x", "stance-01", "stance-²"]
)
def test_a_way_that_is_none_is_refused(way: str) -> None:
    with pytest.raises(NoSuchWay):
        walk(way, SITUATIONS)


def test_a_way_keeps_what_was_asked_and_answered() -> None:
    walked = walk("practice-2-1", SITUATIONS)

    assert [(step.question[:12], step.answer) for step in walked.steps] == [
        ("Did the disc", "no"),
        ("Was it only ", "yes"),
    ]
