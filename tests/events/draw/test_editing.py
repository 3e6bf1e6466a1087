"""Changes of a draft by hand: nobody is lost, everything can be undone, a stale page changes nothing."""

import random

import pytest

import build
from build import ACTOR, NOW
from events.draw import editing
from events.draw.hand import EditRefused, undo
from events.draw.marks import key_of, marks_of
from events.draw.models import Pool, Seat, Sheet
from events.draw.orders import Order, carry_out
from events.draw.queries import view_of
from events.draw.services import DrawRefused, SheetStale, discard, make_draw, publish, reopen
from events.log.models import Act
from events.setup.queries import rulebook_for

pytestmark = pytest.mark.django_db


@pytest.fixture
def sheet(event) -> Sheet:
    """14 of MA1 in groups 1 to 4 (4, 4, 3, 3) and 3 of FA1 in group 5, on holes 1, 5, 8, 12, 16 or so."""
    for code, count in (("MA1", 14), ("FA1", 3)):
        for n in range(count):
            build.make_entry(event, code, rating=900 + n)
    return drawn(event)


def drawn(event, **facts) -> Sheet:
    facts = {"method": Sheet.Method.RATING, "seed": "7", "actor": ACTOR, "now": NOW, **facts}
    return make_draw(round=event.rounds.get(number=1), **facts)


def by(sheet) -> dict:
    return {
        "sheet": sheet,
        "revision": Sheet.objects.get(pk=sheet.pk).revision,
        "actor": ACTOR,
        "now": NOW,
    }


def seating(sheet: Sheet) -> dict[int, list[int]]:
    return {g.number: [m.entry_id for m in g.members] for g in view_of(sheet).groups}


def starts(sheet: Sheet) -> dict[int, str]:
    event = sheet.round.event
    return {g.number: f"{event.local(g.starts_at):%H:%M} {g.label}" for g in view_of(sheet).groups}


def test_a_player_moves_to_the_end_of_another_group(sheet):
    before = seating(sheet)
    mover = before[1][0]
    said = editing.move_player(entry_id=mover, group=3, **by(sheet))
    after = seating(sheet)
    assert after[1] == before[1][1:]
    assert after[3] == [*before[3], mover]
    assert said.endswith("group 1 → group 3")
    act = Act.objects.get(action="draw.edited")
    assert act.detail["what"] == said
    assert act.detail["before"]["1"][-1] == before[1]
    how = {g.number: g.how for g in view_of(sheet).groups}
    assert how[1].startswith("Changed by hand. MA1 by rating")
    assert how[2].startswith("MA1 by rating")


def test_a_move_is_undone_as_if_it_had_not_been(sheet):
    before = [(g.number, g.how, g.members, g.label) for g in view_of(sheet).groups]
    mover = seating(sheet)[1][0]
    what = editing.move_player(entry_id=mover, group=3, **by(sheet))
    assert undo(**by(sheet)) == what
    assert [(g.number, g.how, g.members, g.label) for g in view_of(sheet).groups] == before
    assert Act.objects.get(action="draw.undone").detail["what"] == what
    with pytest.raises(EditRefused, match="nothing to undo"):
        undo(**by(sheet))


def test_two_players_swap_and_keep_the_throwing_order(sheet):
    before = seating(sheet)
    one, other = before[1][1], before[5][2]
    editing.swap_players(one=one, other=other, **by(sheet))
    after = seating(sheet)
    assert after[1] == [before[1][0], other, *before[1][2:]]
    assert after[5] == [*before[5][:2], one]


def test_two_players_of_one_group_swap_their_places(sheet):
    before = seating(sheet)[2]
    editing.swap_players(one=before[0], other=before[3], **by(sheet))
    assert seating(sheet)[2] == [before[3], before[1], before[2], before[0]]


def test_the_throwing_order_is_changed_within_its_ends(sheet):
    first, second, *rest = seating(sheet)[1]
    assert editing.shift_player(entry_id=second, step=-1, **by(sheet)).endswith("throws first in group 1")
    assert seating(sheet)[1] == [second, first, *rest]
    editing.shift_player(entry_id=second, step=-1, **by(sheet))
    assert seating(sheet)[1] == [second, first, *rest]
    assert Sheet.objects.get(pk=sheet.pk).revision == 2  # the second time nothing changed


def test_the_last_player_takes_the_group_away_and_undo_brings_it_back(sheet):
    players = seating(sheet)[5]
    before = starts(sheet)
    for player in players:
        editing.move_player(entry_id=player, group=4, **by(sheet))
    assert sorted(seating(sheet)) == [1, 2, 3, 4]
    for _ in players:
        undo(**by(sheet))
    assert seating(sheet)[5] == players
    assert starts(sheet) == before


def test_a_new_group_begins_on_a_hole_under_a_number_that_was_never_used(sheet):
    a, b = seating(sheet)[1][:2]
    assert editing.move_to_new_group(entry_id=a, label="18", **by(sheet)).endswith("new group 6 on hole 18")
    editing.move_player(entry_id=b, group=6, **by(sheet))
    assert seating(sheet)[6] == [a, b]
    assert starts(sheet)[6] == "09:00 18"
    assert "Group 6 has 2, fewer than 3" in " ".join(mark.breach.text for mark in open_marks(sheet))


def test_groups_swap_their_starts_and_keep_their_numbers(sheet):
    before, players = starts(sheet), seating(sheet)
    editing.swap_groups(one=1, other=4, **by(sheet))
    after = starts(sheet)
    assert (after[1], after[4]) == (before[4], before[1])
    assert seating(sheet) == players


def test_groups_of_two_layouts_do_not_swap(event):
    build.use_layout(event.rounds.get(number=1), build.make_layout(event, "Lower", tees="pad"), "FA1")
    for code in ("MA1", "FA1"):
        for _ in range(4):
            build.make_entry(event, code)
    sheet = drawn(event)
    with pytest.raises(EditRefused, match="Groups 1 and 2 play different layouts"):
        editing.swap_groups(one=1, other=2, **by(sheet))


def test_a_group_moved_onto_a_taken_tee_is_marked_and_kept_with_a_reason(sheet):
    taken = starts(sheet)[2].split()[1]
    editing.move_group(group=1, to=f"hole {taken}", **by(sheet))
    (mark,) = open_marks(sheet)
    assert mark.breach.text.startswith(f"8 people on tee tee {taken} at the same time")
    assert mark.breach.source == "Competition Manual 2025, 1.06.I"
    editing.keep_breach(key=mark.key, reason="hole 1 is flooded", **by(sheet))
    (kept,) = marks_of(view_of(Sheet.objects.get(pk=sheet.pk)), rulebook_for(sheet.round.event))
    assert (kept.reason, kept.open) == ("hole 1 is flooded", False)
    assert Act.objects.get(action="draw.accepted").reason == "hole 1 is flooded"


def test_in_an_emergency_the_moved_group_goes_second(sheet):
    Pool.objects.update(second_groups=True)
    taken = starts(sheet)[2].split()[1]
    editing.move_group(group=1, to=taken, **by(sheet))
    assert [g.number for g in view_of(sheet).groups if g.second] == [1]


def test_a_tee_time_is_typed_as_a_clock(event):
    event.rounds.filter(number=1).update(start_type="tee_times")
    for _ in range(8):
        build.make_entry(event)
    sheet = drawn(event)
    assert starts(sheet) == {1: "09:00 1", 2: "09:10 1"}
    assert editing.move_group(group=1, to="10 9:40", **by(sheet)) == "Group 1 starts at 09:40 on hole 10"
    assert starts(sheet) == {1: "09:40 10", 2: "09:10 1"}
    mover = seating(sheet)[1][0]
    editing.move_to_new_group(entry_id=mover, label="1", **by(sheet))
    assert starts(sheet)[3] == "09:50 1"


def test_a_late_confirmed_player_is_marked_and_seated(sheet):
    late = build.make_entry(sheet.round.event, "FA1")
    (mark,) = open_marks(sheet)
    assert (mark.breach.rule, mark.breach.players) == ("player-missing", (late.pk,))
    editing.move_player(entry_id=late.pk, group=5, **by(sheet))
    assert open_marks(sheet) == []
    assert seating(sheet)[5][-1] == late.pk


def test_who_left_is_marked_and_gives_the_seat_to_another(sheet):
    leaver = seating(sheet)[1][2]
    sheet.round.event.entries.filter(pk=leaver).update(status="withdrawn")
    late = build.make_entry(sheet.round.event, "MA1")
    assert {mark.breach.rule for mark in open_marks(sheet)} == {"player-unknown", "player-missing"}
    with pytest.raises(EditRefused, match="does not play: withdrawn"):
        editing.move_player(entry_id=leaver, group=2, **by(sheet))
    editing.swap_players(one=leaver, other=late.pk, **by(sheet))
    assert open_marks(sheet) == []
    assert seating(sheet)[1][2] == late.pk


def open_marks(sheet: Sheet) -> list:
    sheet = Sheet.objects.select_related("round__event").get(pk=sheet.pk)
    return [mark for mark in marks_of(view_of(sheet), rulebook_for(sheet.round.event)) if mark.open]


def test_what_cannot_be_is_never_kept(event):
    build.use_layout(event.rounds.get(number=1), build.make_layout(event, "Lower", tees="pad"), "FA1")
    for code in ("MA1", "FA1"):
        for _ in range(4):
            build.make_entry(event, code)
    sheet = drawn(event)
    editing.move_player(entry_id=seating(sheet)[2][0], group=1, **by(sheet))
    impossible = next(mark for mark in open_marks(sheet) if mark.breach.rule == "layouts-mixed")
    with pytest.raises(EditRefused, match="This cannot be kept"):
        editing.keep_breach(key=impossible.key, reason="because", **by(sheet))
    with pytest.raises(DrawRefused, match="This cannot be"):
        publish(keep="because", **by(sheet))


def test_a_reason_lapses_when_the_finding_changes(sheet):
    for player in seating(sheet)[5][:1]:
        editing.take_out(entry_id=player, **by(sheet))
    small = next(mark for mark in open_marks(sheet) if mark.breach.rule == "group-small")
    editing.keep_breach(key=small.key, reason="an official walks with them", **by(sheet))
    editing.take_out(entry_id=seating(sheet)[5][0], **by(sheet))
    smaller = next(mark for mark in open_marks(sheet) if mark.breach.rule == "group-small")
    assert smaller.key == key_of(smaller.breach) != small.key


@pytest.mark.parametrize("act", ["edit", "undo", "keep", "publish", "discard"])
def test_a_stale_page_changes_nothing(sheet, act):
    stale = by(sheet)
    mover = seating(sheet)[1][0]
    editing.move_player(entry_id=mover, group=3, **by(sheet))
    before = seating(sheet)
    acts = {
        "edit": lambda: editing.move_player(entry_id=mover, group=2, **stale),
        "undo": lambda: undo(**stale),
        "keep": lambda: editing.keep_breach(key="x", reason="y", **stale),
        "publish": lambda: publish(**stale),
        "discard": lambda: discard(**stale),
    }
    with pytest.raises(SheetStale, match="Somebody else changed the draft"):
        acts[act]()
    assert seating(sheet) == before
    assert Sheet.objects.get(pk=sheet.pk).revision == 2


def test_a_draft_that_was_drawn_anew_is_not_the_one_on_the_page(sheet):
    page = by(sheet)
    drawn(sheet.round.event, seed="8")
    with pytest.raises(SheetStale, match="drawn anew"):
        editing.take_out(entry_id=1, **page)


def test_a_published_sheet_does_not_change(sheet):
    page = by(sheet)
    publish(**by(sheet))
    with pytest.raises(SheetStale, match="published already"):
        editing.swap_groups(one=1, other=2, **page)


def test_a_new_group_of_a_later_version_takes_no_number_that_a_card_has(sheet):
    publish(**by(sheet))
    draft = reopen(round=sheet.round, actor=ACTOR, now=NOW)
    for player in seating(draft)[5]:
        editing.move_player(entry_id=player, group=4, **by(draft))
    editing.move_to_new_group(entry_id=seating(draft)[1][0], label="18", **by(draft))
    assert sorted(seating(draft)) == [1, 2, 3, 4, 6]


ORDERS = [
    ("p{a}", "move", "3"), ("p{a}", "move", "group 3"), ("p{a}", "move", "hole 18"), ("p{a}", "swap", "3.2"),
    ("p{a}", "swap", "p{b}"), ("p{a}", "earlier", ""), ("p{a}", "later", ""), ("p{a}", "out", ""),
    ("g1", "move", "18"), ("g1", "swap", "3"),
]  # fmt: skip


@pytest.mark.parametrize(("who", "do", "to"), ORDERS)
def test_what_is_typed_is_done_and_undone(sheet, who, do, to):
    seats, where = seating(sheet), starts(sheet)
    ids = {"a": seats[1][1], "b": seats[3][1]}
    order = Order(who.format(**ids), do, to.format(**ids))
    carry_out(order=order, **by(sheet))
    assert (seating(sheet), starts(sheet)) != (seats, where)
    undo(**by(sheet))
    assert (seating(sheet), starts(sheet)) == (seats, where)


BAD = [
    ("", "move", "3", "Choose a player or a group"), ("p{a}", "move", "99", "There is no group 99"),
    ("p{a}", "move", "1", "is in group 1 already"), ("p{a}", "move", "nowhere", "Write a group number"),
    ("p{a}", "move", "hole 77", "has no hole 77"), ("p{a}", "swap", "3.9", "Write with whom"),
    ("p{a}", "swap", "p{a}", "two different players"), ("p{a}", "dance", "", "moved, swapped or taken out"),
    ("p999999", "move", "1", "no such player"), ("g1", "move", "", "Write where the group goes"),
    ("g1", "move", "1 2", "Write one hole"), ("g1", "swap", "1", "two different groups"),
    ("g1", "swap", "x", "Write the number of the group"), ("g1", "out", "", "A group is moved or swapped"),
    ("g99", "move", "3", "There is no group 99"),
]  # fmt: skip


@pytest.mark.parametrize(("who", "do", "to", "words"), BAD)
def test_what_has_no_meaning_is_refused_in_words(sheet, who, do, to, words):
    a = seating(sheet)[1][1]
    with pytest.raises(EditRefused, match=words):
        carry_out(order=Order(who.format(a=a), do, to.format(a=a)), **by(sheet))
    assert Sheet.objects.get(pk=sheet.pk).undo == []


@pytest.mark.parametrize("seed", range(4))
def test_any_run_of_changes_keeps_everybody_once_and_is_undone_to_the_start(sheet, seed):
    chance = random.Random(seed)
    first = (seating(sheet), starts(sheet))
    everybody = sorted(key for line in first[0].values() for key in line)
    done = 0
    for _ in range(15):
        groups = seating(sheet)
        a, b = chance.sample(everybody, 2)
        one, other = chance.sample(sorted(groups), 2)
        orders = [
            Order(f"p{a}", "move", str(one)), Order(f"p{a}", "swap", f"p{b}"), Order(f"p{a}", "move", "hole 9"),
            Order(f"p{a}", "later"), Order(f"g{one}", "swap", str(other)), Order(f"g{one}", "move", "14"),
        ]  # fmt: skip
        revision = Sheet.objects.get(pk=sheet.pk).revision
        try:
            carry_out(order=chance.choice(orders), **by(sheet))
        except EditRefused:
            continue
        done += Sheet.objects.get(pk=sheet.pk).revision > revision
        assert sorted(Seat.objects.filter(sheet=sheet).values_list("entry_id", flat=True)) == everybody
        assert all(seating(sheet).values())
    assert len(Sheet.objects.get(pk=sheet.pk).undo) == done > 5
    for _ in range(done):
        undo(**by(sheet))
    assert (seating(sheet), starts(sheet)) == first
