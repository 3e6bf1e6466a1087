import pytest

import build
from build import ACTOR, NOW
from events.course.models import LayoutUse
from events.draw.field import candidates
from events.draw.models import Group, Pool, Seat, Sheet
from events.draw.queries import breaches, view_of
from events.draw.services import DrawRefused, ensure_pools, make_draw, publish, reopen
from events.log.models import Act
from events.setup.queries import rulebook_for

pytestmark = pytest.mark.django_db
RANDOM, RATING, SCORE = Sheet.Method.RANDOM, Sheet.Method.RATING, Sheet.Method.SCORE


def draw(event, method=RANDOM, seed="7", number=1, **facts) -> Sheet:
    return make_draw(
        round=event.rounds.get(number=number), method=method, seed=seed, actor=ACTOR, now=NOW, **facts
    )


def fill(event, **counts: int) -> None:
    for code, count in counts.items():
        for n in range(count):
            build.make_entry(event, code, rating=900 + n)


def seating(sheet: Sheet) -> list[tuple[int, str, list[int]]]:
    return [(g.number, g.label, [m.entry_id for m in g.members]) for g in view_of(sheet).groups]


def test_everybody_is_seated_once_and_the_seed_decides(event):
    fill(event, MA1=14, FA1=7)
    first, again, other = seating(draw(event)), seating(draw(event)), seating(draw(event, seed="8"))
    assert sorted(key for _, _, members in first for key in members) == sorted(
        event.entries.values_list("pk", flat=True)
    )
    assert first == again != other
    assert Sheet.objects.count() == 1


def test_only_who_is_confirmed_is_drawn(event):
    fill(event, MA1=4)
    for status in ("applied", "waitlisted", "withdrawn", "did_not_finish"):
        build.make_entry(event, status=status)
    assert Seat.objects.filter(sheet=draw(event)).count() == 4


def test_without_a_layout_the_division_is_named(event):
    fill(event, MA1=4)
    LayoutUse.objects.filter(division__code="MA1").delete()
    with pytest.raises(DrawRefused, match="No layout is chosen in this round for MA1"):
        draw(event)


def test_a_field_too_large_for_a_shotgun_is_refused_with_its_mend(event):
    fill(event, MA1=91)
    with pytest.raises(DrawRefused, match=r"91 players do not fit.*Use tee times"):
        draw(event)


def test_tee_times_put_the_best_group_last(event):
    fill(event, MA1=8)
    event.rounds.filter(number=2).update(start_type="tee_times", interval_minutes=8)
    totals = {entry.pk: (60 + n,) for n, entry in enumerate(event.entries.order_by("pk"))}
    groups = view_of(draw(event, SCORE, number=2, totals=totals)).groups
    assert [f"{g.starts_at:%H:%M}" for g in groups] == ["13:00", "13:08"]
    leader = event.entries.order_by("pk").first()
    assert groups[-1].members[0].entry_id == leader.pk


def test_two_layouts_over_shared_tees_never_meet(event):
    """36 physical holes; a layout of 12 and one of 24 under labels of their own share the tees 1 to 12."""
    short = build.make_layout(event, "Twelve", pars=(3,) * 12, tees="pad")
    long = build.make_layout(event, "Twenty-four", pars=(3,) * 24, tees="pad")
    round_ = event.rounds.get(number=1)
    build.use_layout(round_, short, "FA1")
    build.use_layout(round_, long, "MA1")
    fill(event, MA1=44, FA1=30)
    view = view_of(draw(event))
    tees = [group.tee for group in view.groups]
    assert len(tees) == len(set(tees))
    rulebook = rulebook_for(event)
    assert breaches(view, candidates(round_, rulebook), rulebook) == ()


def test_pools_of_one_moment_share_the_course(event):
    fill(event, MA1=30, FA1=20)
    round_ = event.rounds.get(number=1)
    for label, code in (("A", "MA1"), ("B", "FA1")):
        pool = Pool.objects.create(round=round_, label=label, start_type="shotgun", first_start_at=NOW)
        pool.divisions.set(event.divisions.filter(code=code))
    view = view_of(draw(event))
    assert len({group.tee for group in view.groups}) == len(view.groups)
    assert {(group.pool, group.divisions) for group in view.groups} == {("A", ("MA1",)), ("B", ("FA1",))}


def test_publishing_freezes_and_a_change_needs_a_reason(event):
    fill(event, MA1=8)
    first = publish(sheet=draw(event), actor=ACTOR, now=NOW)
    assert event.layouts.get().locked_at == NOW
    with pytest.raises(DrawRefused, match="say why"):
        publish(sheet=draw(event, seed="9"), actor=ACTOR, now=NOW)
    second = publish(sheet=Sheet.objects.get(state="draft"), actor=ACTOR, now=NOW, reason="late withdrawal")
    first.refresh_from_db()
    assert (first.state, second.state, second.version) == ("superseded", "published", 2)
    act = Act.objects.filter(action="draw.published").latest("number")
    assert act.reason == "late withdrawal"
    assert all("→" in text for text in act.detail["changes"])


def test_a_new_draft_starts_from_the_published_sheet(event):
    fill(event, MA1=8)
    first = publish(sheet=draw(event), actor=ACTOR, now=NOW)
    draft = reopen(round=event.rounds.get(number=1), actor=ACTOR, now=NOW)
    assert seating(draft) == seating(first)
    assert Group.objects.filter(sheet=first).count() == Group.objects.filter(sheet=draft).count()
    assert Act.objects.latest("pk").detail == {"what": "draft 2 from published version 1"}


def test_one_pool_holds_everybody_where_none_was_planned(event):
    (pool,) = ensure_pools(event.rounds.get(number=1))
    assert sorted(division.code for division in pool.divisions.all()) == ["FA1", "MA1"]


@pytest.mark.parametrize("players", [4, 12])
def test_a_sheet_is_read_in_four_queries(event, players, django_assert_num_queries):
    fill(event, MA1=players)
    sheet = Sheet.objects.select_related("round__event").get(pk=draw(event).pk)
    with django_assert_num_queries(4):
        view_of(sheet)
