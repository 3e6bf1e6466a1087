"""What goes out: breaches kept with a reason, versions, tees over everything that is in play at a time."""

from datetime import timedelta

import pytest

import build
from build import ACTOR, NOW
from events.draw import editing
from events.draw.field import expected_on
from events.draw.marks import marks_of
from events.draw.models import Group, Pool, Sheet
from events.draw.queries import published_of, view_of
from events.draw.services import DrawRefused, discard, make_draw, publish, reopen
from events.log.models import Act
from events.setup.queries import rulebook_for

pytestmark = pytest.mark.django_db


def fill(event, **counts: int) -> None:
    for code, count in counts.items():
        for n in range(count):
            build.make_entry(event, code, rating=900 + n)


def drawn(event, number=1, **facts) -> Sheet:
    facts = {"method": Sheet.Method.RANDOM, "seed": "7", "actor": ACTOR, "now": NOW, **facts}
    return make_draw(round=event.rounds.get(number=number), **facts)


def texts(sheet: Sheet) -> list[str]:
    return [mark.breach.text for mark in marks_of(view_of(sheet), rulebook_for(sheet.round.event))]


def test_a_group_below_three_goes_out_only_with_a_reason_which_is_recorded(event):
    fill(event, MA1=2)
    sheet = drawn(event)
    with pytest.raises(DrawRefused, match="Group 1 has 2, fewer than 3"):
        publish(sheet=sheet, actor=ACTOR, now=NOW)
    assert published_of(sheet.round) is None
    published = publish(sheet=sheet, actor=ACTOR, now=NOW, keep="an official walks along")
    ((key, reason),) = published.accepted.items()
    assert key.startswith("group-small|Group 1 has 2")
    assert reason == "an official walks along"
    assert Act.objects.get(action="draw.published").detail["kept"] == published.accepted


def test_what_was_kept_one_by_one_needs_no_reason_for_the_rest(event):
    fill(event, MA1=2)
    sheet = drawn(event)
    (mark,) = marks_of(view_of(sheet), rulebook_for(event))
    editing.keep_breach(sheet=sheet, key=mark.key, reason="flood", revision=1, actor=ACTOR, now=NOW)
    assert publish(sheet=sheet, actor=ACTOR, now=NOW).accepted == {mark.key: "flood"}


def test_mixed_divisions_are_said_but_hold_nothing_up(event):
    fill(event, MA1=3, FA1=1)
    sheet = drawn(event)
    assert texts(sheet) == ["Group 1 has several divisions: MA1, FA1."]
    assert publish(sheet=sheet, actor=ACTOR, now=NOW).accepted == {}


def test_who_is_not_checked_in_is_left_out_and_told(event):
    fill(event, MA1=8)
    event.entries.filter(pk__in=event.entries.values_list("pk", flat=True)[:5]).update(checked_in_at=NOW)
    sheet = drawn(event, only_checked_in=True)
    expected = expected_on(view_of(sheet), rulebook_for(event))
    assert (len(expected.people), len(expected.absent)) == (5, 3)
    assert texts(sheet) == []
    late = expected.absent[0].key
    event.entries.filter(pk=late).update(checked_in_at=NOW)
    assert [text.split(" (")[1] for text in texts(sheet)] == ["MA1) is in no group."]


def test_nobody_without_a_score_is_drawn_by_score_as_if_it_were_zero(event):
    fill(event, MA1=8)
    keys = list(event.entries.order_by("pk").values_list("pk", flat=True))
    totals = {key: (60 + n,) for n, key in enumerate(keys)} | {keys[0]: (None,)}
    sheet = drawn(event, 2, method=Sheet.Method.SCORE, totals=totals)
    last = view_of(sheet).groups[-1]
    assert last.members[-1].entry_id == keys[0]
    assert sheet.notes[0].startswith("Without a complete total, so last of the division: ")
    with pytest.raises(DrawRefused, match="no scores yet"):
        drawn(event, 2, method=Sheet.Method.SCORE, totals=dict.fromkeys(keys, (None,)))


def test_twelve_and_twenty_four_of_thirty_six_holes_are_in_play_at_once(event):
    """36 physical holes: one layout plays 1 to 12, the other 7 to 30 under labels of its own; 13 to 36 stay."""
    round_ = event.rounds.get(number=1)
    whole = build.make_layout(event, "All", pars=(3,) * 36, tees="pad")
    twelve = build.make_layout(event, "Twelve", pars=(3,) * 12, tees="pad")
    twenty_four = build.make_layout(event, "Twenty-four", pars=(3,) * 24, tees="none")
    holes = {place.position: place.hole for place in whole.layout_holes.select_related("hole")}
    for place in twenty_four.layout_holes.all():
        place.hole = holes[place.position + 6]
        place.save()
    build.use_layout(round_, twelve, "FA1")
    build.use_layout(round_, twenty_four, "MA1")
    fill(event, FA1=40, MA1=76)
    for label, code in (("A", "FA1"), ("B", "MA1")):
        pool = Pool.objects.create(round=round_, label=label, start_type="shotgun", first_start_at=NOW)
        pool.divisions.set(event.divisions.filter(code=code))
    sheet = drawn(event)
    view = view_of(sheet)
    assert (len({group.layout for group in view.groups}), len(view.groups)) == (2, 29)
    assert len({group.tee for group in view.groups}) == 29
    assert texts(sheet) == []
    label_of = {hole.tee: hole.label for hole in view.layouts[twenty_four.pk].holes}
    first = next(group for group in view.groups if group.layout == twelve.pk and group.tee in label_of)
    second = next(group for group in view.groups if group.layout == twenty_four.pk)
    taken = label_of[first.tee]
    editing.move_group(sheet=sheet, group=second.number, to=taken, revision=1, actor=ACTOR, now=NOW)
    (text,) = texts(Sheet.objects.get())
    assert text.startswith(f"{len(first.members) + len(second.members)} people on tee {first.tee_name}")


def test_a_round_still_in_play_is_seen_by_the_next_one(event):
    fill(event, MA1=4)
    publish(sheet=drawn(event), actor=ACTOR, now=NOW)
    second = drawn(event, 2)
    Group.objects.filter(sheet=second).update(starts_at=event.rounds.get(number=1).first_start_at)
    (text,) = texts(second)
    assert "group 1 of round 1 (Upper, hole " in text
    Group.objects.filter(sheet=second).update(
        starts_at=event.rounds.get(number=1).first_start_at + timedelta(minutes=1)
    )
    assert texts(second) == []


def test_a_dropped_draft_leaves_the_published_sheet(event):
    fill(event, MA1=8)
    first = publish(sheet=drawn(event), actor=ACTOR, now=NOW)
    draft = reopen(round=first.round, actor=ACTOR, now=NOW)
    discard(sheet=draft, actor=ACTOR, now=NOW)
    assert list(Sheet.objects.values_list("pk", "state")) == [(first.pk, "published")]
    assert Act.objects.latest("pk").detail["what"] == "draft dropped"


def test_what_the_draw_was_made_of_is_kept_though_ratings_change(event):
    fill(event, MA1=4)
    sheet = drawn(event, method=Sheet.Method.RATING)
    event.entries.update(rating=1)
    assert [row[3] for row in sheet.inputs["players"]] == [903, 902, 901, 900]
    assert [row[2] for row in Sheet.objects.get().inputs["players"]] == ["MA1"] * 4


def test_pools_are_named_by_their_labels_in_the_notes(event):
    fill(event, MA1=16)
    for label, hours in (("X", 0), ("Y", 5)):
        Pool.objects.create(
            round=event.rounds.get(number=1),
            label=label,
            start_type="shotgun",
            first_start_at=NOW + timedelta(hours=hours),
        ).divisions.set(event.divisions.all())
    notes = drawn(event).notes
    assert notes[0] == "MA1 is split by rating, best first: 8 in pool X, 8 in pool Y (1.06.C.3)."
