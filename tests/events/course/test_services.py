import pytest

import build
from build import ACTOR, NOW
from events.course.grid import HoleRow, faults
from events.course.models import Hole, LayoutHole, Tee
from events.course.queries import layout_of_divisions, layouts_of, shared_tees
from events.course.services import (
    LayoutRefused,
    LayoutStale,
    assign_layouts,
    lock_layouts,
    remove_layout,
    save_layout,
)
from events.log.models import Act

pytestmark = pytest.mark.django_db


def rows(*labels: str, **facts: object) -> list[HoleRow]:
    return [HoleRow(label=label, par=3, length_m=90, **facts) for label in labels]  # type: ignore[arg-type]


def save(event, name="Lower", holes=None, **facts):
    return save_layout(
        event=event, name=name, rows=holes or rows("1", "2", "3"), actor=ACTOR, now=NOW, **facts
    )


def test_labels_are_text_and_holes_keep_their_order(event):
    layout = save(event, holes=rows("7", "4S", "12B"))
    assert [hole.label for hole in layouts_of(event)[layout.pk].holes] == ["7", "4S", "12B"]


def test_two_layouts_share_a_tee_under_different_labels(event):
    save(event, "Twelve", [HoleRow("1", 3, 90, tee="pond", target="north")])
    save(event, "Twenty-four", [HoleRow("7S", 3, 120, tee="pond", target="south")])
    found = [shared for shared in shared_tees(layouts_of(event).values()) if shared.name == "pond"]
    assert [shared.labels for shared in found] == [("Twelve 1", "Twenty-four 7S")]
    assert Tee.objects.filter(event=event, name="pond").count() == 1


def test_saving_again_keeps_the_rows_so_that_groups_may_point_at_them(event):
    layout = save(event)
    before = list(layout.layout_holes.order_by("position").values_list("pk", flat=True))
    save(event, layout=layout, holes=rows("3", "2", "1"), version=1)
    after = layout.layout_holes.order_by("position")
    assert [hole.pk for hole in after] == before
    assert [hole.label for hole in after] == ["3", "2", "1"]


def test_a_shorter_layout_drops_its_unused_holes_and_tees(event):
    layout = save(event, holes=rows("A", "B"))
    save(event, layout=layout, holes=rows("A"))
    assert not Tee.objects.filter(event=event, name="B").exists()
    assert Hole.objects.filter(event=event, tee__name="A").count() == 1


@pytest.mark.parametrize(
    ("holes", "words"),
    [
        ([], "at least one hole"),
        (rows("1", "1"), "the label 1 stands in row 1 already"),
        ([HoleRow("1", 3, 90, "t", "x"), HoleRow("2", 3, 91, "t", "x")], "is 91 m here and 90 m above"),
        (rows(*map(str, range(61))), "at most 60 holes"),
    ],
)
def test_a_grid_that_cannot_be_is_refused_in_words(holes, words):
    assert any(words in sentence for sentence in faults(holes))


def test_a_name_is_used_once(event):
    with pytest.raises(LayoutRefused, match="named Upper already"):
        save(event, "Upper")


def test_the_second_editor_is_told(event):
    layout = save(event)
    save(event, layout=layout, version=1)
    with pytest.raises(LayoutStale):
        save(event, layout=layout, version=1)


def test_a_layout_in_play_needs_a_reason_and_keeps_its_holes(event):
    layout = save(event)
    lock_layouts(layouts=[layout], now=NOW)
    layout.refresh_from_db()
    with pytest.raises(LayoutRefused, match="Say why"):
        save(event, layout=layout)
    with pytest.raises(LayoutRefused, match="number of holes"):
        save(event, layout=layout, holes=rows("1"), reason="flood")
    save(event, layout=layout, holes=rows("1", "2", "3B"), reason="flood at 3")
    assert Act.objects.filter(action="layout.changed").latest("number").reason == "flood at 3"


def test_a_layout_that_is_played_stays(event):
    layout = event.layouts.get(name="Upper")
    with pytest.raises(LayoutRefused, match="is played in a round"):
        remove_layout(layout=layout, actor=ACTOR, now=NOW)
    assert LayoutHole.objects.filter(layout=layout).count() == 18


def test_an_unplayed_layout_goes_with_its_holes(event):
    remove_layout(layout=save(event, holes=rows("Z")), actor=ACTOR, now=NOW)
    assert not Tee.objects.filter(event=event, name="Z").exists()


def test_assigning_layouts_logs_only_what_changed(event):
    lower, upper = save(event), event.layouts.get(name="Upper")
    round_ = event.rounds.get(number=1)
    women, men = event.divisions.get(code="FA1"), event.divisions.get(code="MA1")
    assign_layouts(round=round_, choices={women: lower, men: upper}, actor=ACTOR, now=NOW)
    assert layout_of_divisions(round_) == {women.pk: lower.pk, men.pk: upper.pk}
    assert Act.objects.get(action="round.changed").detail == {"FA1": ["Upper", "Lower"]}


@pytest.mark.parametrize("count", [1, 3])
def test_layouts_are_read_in_two_queries(event, count, django_assert_num_queries):
    for number in range(count):
        build.make_layout(event, f"L{number}")
    with django_assert_num_queries(2):
        layouts_of(event)


def test_a_missing_length_makes_the_length_of_the_layout_unknown(event):
    layout = save(event, holes=[HoleRow("1", 3, 90), HoleRow("2", 3, None)])
    assert layouts_of(event)[layout.pk].length_m is None


def test_the_first_layout_is_played_by_everybody(db):
    event = build.make_event("bare-event")
    event.layouts.get().uses.all().delete()
    event.layouts.all().delete()
    only = save(event, "Only")
    assert {
        layout_of_divisions(round_)[division.pk]
        for round_ in event.rounds.all()
        for division in event.divisions.all()
    } == {only.pk}
    second = save(event, "Second", holes=rows("A", "B"))
    assert not second.uses.exists()
