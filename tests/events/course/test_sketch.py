import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.course.sketch import (
    ORDER,
    TOOLS,
    Item,
    arrow_head,
    as_json,
    described,
    drawing,
    faults,
    from_json,
    points_text,
    read_points,
)

POINTS = st.tuples(st.integers(0, 1000), st.integers(0, 700))


@st.composite
def items(draw):
    name = draw(st.sampled_from(sorted(TOOLS)))
    tool = TOOLS[name]
    points = draw(st.lists(POINTS, min_size=tool.fewest, max_size=min(tool.most, 8)))
    return Item(name, tuple(points), draw(st.text("abcäé ", max_size=24)))


@given(st.lists(items(), max_size=6))
def test_a_sketch_survives_its_json_and_its_table(found):
    assert from_json(as_json(found)) == tuple(found)
    assert [read_points(points_text(item.points)) for item in found] == [item.points for item in found]


@given(st.lists(items(), min_size=1, max_size=6))
def test_every_item_is_drawn_from_the_ground_up_and_words_start_on_the_sheet(found):
    made = drawing(found)
    ranks = [ORDER.index(shape.tool) for shape in made.shapes]
    assert ranks == sorted(ranks)
    assert {shape.tool for shape in made.shapes} == {item.tool for item in found}
    assert all(0 <= words.x <= 1000 and 0 <= words.y <= 710 for words in made.words)


def test_every_tool_has_its_place_in_the_order():
    assert sorted(ORDER) == sorted(TOOLS)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("120;340", "“120;340” is no point. Write x,y as 120,340 and a space between points."),
        ("1,2 -3,4", "“-3,4” is no point. Write x,y as 120,340 and a space between points."),
        ("1001,0", "1001,0 lies outside the sheet of 1000 by 700."),
        ("0,701", "0,701 lies outside the sheet of 1000 by 700."),
    ],
)
def test_a_point_that_cannot_be_is_refused_in_words(text, sentence):
    with pytest.raises(ValueError, match=r"\w") as refused:
        read_points(text)
    assert str(refused.value) == sentence


@pytest.mark.parametrize(
    ("found", "sentence"),
    [
        (Item("road", ((1, 1),)), "Hole 4S, line 1: road needs 2 points, here is 1."),
        (Item("hazard", ((1, 1), (2, 2))), "Hole 4S, line 1: hazard needs 3 points, here are 2."),
        (Item("tee", ((1, 1), (2, 2))), "Hole 4S, line 1: tee takes 1 point, here are 2."),
        (Item("mandatory", ((1, 1),) * 3), "Hole 4S, line 1: mandatory takes 2 points, here are 3."),
        (Item("cloud", ((1, 1),)), "Hole 4S, line 1: cloud is no tool."),
        (Item("tee", ((1, 701),)), "Hole 4S, line 1: a point lies outside the sheet of 1000 by 700."),
        (Item("tee", ((1, 1),), "x" * 25), "Hole 4S, line 1: a label has at most 24 letters."),
    ],
)
def test_a_fault_names_hole_and_line(found, sentence):
    assert faults("4S", [found]) == [sentence]


def test_a_hole_has_one_tee_and_so_many_lines():
    tee = Item("tee", ((1, 1),))
    assert faults("1", [tee, tee]) == ["Hole 1: one tee only, here are 2."]
    zone = Item("drop_zone", ((1, 1),))
    assert faults("1", [zone] * 81) == ["Hole 1: at most 80 lines, here are 81."]


def test_the_arrow_of_a_mandatory_points_where_to_pass():
    assert arrow_head((0, 0), (100, 0)) == ((100, 0), (78, 11), (78, -11))
    assert arrow_head((5, 5), (5, 5))[0] == (5, 5)


def test_a_sketch_is_told_in_a_sentence():
    found = [
        Item("tee", ((1, 1),)),
        Item("mandatory", ((1, 1), (2, 2)), "oak"),
        Item("mandatory", ((1, 1), (3, 3))),
    ]
    assert described(found) == "Sketch: tee, 2 mandatories. Named: mandatory oak."
    assert described([]) == "No sketch yet."
