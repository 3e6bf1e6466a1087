"""What is read again after an act, what is not, and what is shown while somebody reads."""

import threading
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.utils import timezone

import build
import build_cards
from events.draw.models import Seat
from events.entries.models import Entry
from events.entries.services import check_in
from events.log.actions import Action
from events.log.models import Act
from events.safety.services import post_notice
from events.setup.models import Event
from scoring.standings import board_kept
from scoring.standings.board import end_of_log, live
from scoring.standings.board_changes import REACH, Reach, divisions_changed, reach_of
from scoring.standings.board_kept import seen_now
from scoring.standings.queries import standings

NOW = datetime.fromisoformat("2026-06-12T10:00:00+00:00")


@pytest.fixture
def field(event: Event) -> dict[str, list[Entry]]:
    """Two of each division, each division a group of its own with a card."""
    found = {code: [build.make_entry(event, code) for _ in range(2)] for code in ("MA1", "FA1")}
    round_ = event.rounds.get(number=1)
    build_cards.publish(round_, list(found.values()))
    for number, entries in enumerate(found.values(), start=1):
        build_cards.save(round_, number, [build_cards.line(entry, 3) for entry in entries])
    return found


def save(event: Event, number: int, entries: list[Entry], throws: int, base: int = 1) -> None:
    lines = [build_cards.line(entry, throws) for entry in entries]
    build_cards.save(event.rounds.get(number=1), number, lines, base=base)


def changed_by(event: Event, act: Any) -> frozenset[str] | None:
    before = end_of_log(event.slug)
    act()
    after = end_of_log(event.slug)
    assert after.length > before.length
    return divisions_changed(event.slug, since=before.length, head=before.head, until=after.length)


def test_a_card_changes_the_divisions_of_its_group(event: Event, field: dict[str, list[Entry]]) -> None:
    assert changed_by(event, lambda: save(event, 2, field["FA1"], 4)) == {"FA1"}


def test_a_card_changes_the_division_of_who_was_moved_to_another_group_meanwhile(
    event: Event, field: dict[str, list[Entry]]
) -> None:
    build_cards.publish(event.rounds.get(number=1), [[*field["MA1"], field["FA1"][0]], field["FA1"][1:]])
    assert changed_by(event, lambda: save(event, 1, field["MA1"], 4)) == {"MA1", "FA1"}


def test_what_stands_beside_the_scores_changes_no_division(
    event: Event, field: dict[str, list[Entry]]
) -> None:
    waiting = build.make_entry(event, "MA1")

    def acts() -> None:
        post_notice(event=event, kind="news", title="Soup", text="", until=None, actor=build.ACTOR, now=NOW)
        check_in(entry=waiting, actor=build.ACTOR, now=NOW)

    assert changed_by(event, acts) == frozenset()


def test_the_reach_of_every_act_is_decided_once() -> None:
    """By the part of its name before the dot, or by its whole name where acts of one part differ."""
    undecided, twice = [], []
    for action in Action.values:
        found = [name for name in (action, action.split(".")[0]) if name in REACH]
        undecided += [] if found else [action]
        twice += [action] if len(found) > 1 else []
    assert (undecided, twice) == ([], [])
    known = {name for action in Action.values for name in (action, action.split(".")[0])}
    assert REACH.keys() <= known
    assert reach_of("nobody.knows") is Reach.ANYTHING


@pytest.mark.parametrize(
    ("action", "reach"),
    [
        ("things.got", Reach.NOTHING),
        ("prize.handed_out", Reach.NOTHING),
        ("game.mark", Reach.NOTHING),
        ("rating.method", Reach.NOTHING),
        ("draw.edited", Reach.NOTHING),
        ("draw.published", Reach.ANYTHING),
        ("play.horn", Reach.NOTHING),
        ("play.completion", Reach.ANYTHING),
        ("playoff.hole", Reach.ANYTHING),
        ("cut.posted", Reach.ANYTHING),
        ("ruling.made", Reach.ANYTHING),
        ("entry.withdrawn", Reach.ANYTHING),
        ("card.verified", Reach.GROUP),
        ("event.archived", Reach.NOTHING),
        ("event.closed", Reach.ANYTHING),
    ],
)
def test_what_an_act_can_change(action: str, reach: Reach) -> None:
    assert reach_of(action) is reach


def test_an_act_that_nobody_knows_may_have_changed_anything(
    event: Event, field: dict[str, list[Entry]]
) -> None:
    before = end_of_log(event.slug)
    save(event, 2, field["FA1"], 4)
    end = end_of_log(event.slug)
    asked = {"since": before.length, "head": before.head, "until": end.length}
    assert divisions_changed(event.slug, **asked | {"head": "another copy"}) is None
    assert divisions_changed(event.slug, **asked | {"since": end.length + 1}) is None
    Seat.objects.filter(group__number=2).delete()
    assert divisions_changed(event.slug, **asked) is None
    assert (
        divisions_changed(
            event.slug, **asked | {"since": before.length - 1, "head": _hash(before.length - 1)}
        )
        is None
    )


def _hash(number: int) -> str:
    return Act.objects.get(number=number).hash


def test_one_division_read_alone_is_what_it_is_among_all(event: Event, field: dict[str, list[Entry]]) -> None:
    everything = standings(event, now=NOW)
    assert [standings(event, divisions=[each.code], now=NOW) for each in everything] == [
        [each] for each in everything
    ]


def test_only_the_division_that_changed_is_worked_out_again(
    event: Event, field: dict[str, list[Entry]]
) -> None:
    before = seen_now(event, NOW).live
    save(event, 2, field["FA1"], 4)
    after = seen_now(event, NOW).live
    kept, fresh = (after.known[0], after.known[1])
    assert kept is before.known[0]
    assert fresh.rows[0].standing.to_par == 12
    assert after == live(event, NOW)


def test_a_division_that_had_nobody_stands_where_the_plan_has_it(event: Event) -> None:
    first, second = build.make_entry(event, "FA1"), build.make_entry(event, "MA1")
    round_ = event.rounds.get(number=1)
    build_cards.publish(round_, [[first], [second]])
    Entry.objects.filter(pk=second.pk).update(status="did_not_play")
    build_cards.save(round_, 1, [build_cards.line(first, 3)])
    assert [each.code for each in seen_now(event, NOW).live.divisions] == ["FA1"]
    Entry.objects.filter(pk=second.pk).update(status="confirmed")
    build_cards.save(round_, 2, [build_cards.line(second, 3)])
    assert [each.code for each in seen_now(event, NOW).live.divisions] == ["MA1", "FA1"]


def test_the_next_day_everything_is_read_anew(event: Event, field: dict[str, list[Entry]]) -> None:
    before = seen_now(event, NOW).live
    assert seen_now(event, NOW + timedelta(hours=1)).live is before
    assert seen_now(event, NOW + timedelta(days=1)).live.known[0] is not before.known[0]


def test_an_event_without_a_log_is_read_each_time(event: Event) -> None:
    entry = build.make_entry(event)
    build_cards.publish(event.rounds.get(number=1), [[entry]])
    assert len(seen_now(event, NOW).live.known[0].rows) == 1
    Entry.objects.filter(pk=entry.pk).update(status="did_not_play")
    assert seen_now(event, NOW).live.known == ()


def test_a_kept_text_is_made_again_when_what_it_is_made_of_differs(event: Event) -> None:
    made = []

    def ask(of: object) -> str:
        return board_kept.made_once(event, ("x",), (of,), lambda: made.append(of) or f"made of {of}")  # type: ignore[func-returns-value]

    assert [ask(1), ask(1), ask(2)] == ["made of 1", "made of 1", "made of 2"]
    assert made == [1, 2]


@pytest.mark.django_db(transaction=True)
def test_who_asks_while_another_reads_gets_what_was_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    """And the time at which it was true, not the present."""
    event = build.make_event()
    entry = build.make_entry(event)
    round_ = event.rounds.get(number=1)
    build_cards.publish(round_, [[entry]])
    build_cards.save(round_, 1, [build_cards.line(entry, 3)])
    board_kept.forget()
    earlier = timezone.now()
    kept = seen_now(event, earlier)
    build_cards.save(round_, 1, [build_cards.line(entry, 4)], base=1)
    reading, asked = threading.Event(), threading.Event()
    read = board_kept._read

    def slowly(*args: Any) -> Any:
        reading.set()
        assert asked.wait(30)
        return read(*args)

    monkeypatch.setattr(board_kept, "_read", slowly)
    fresh: list[Any] = []

    def first() -> None:
        from django.db import connection

        try:
            fresh.append(seen_now(event, timezone.now()))
        finally:
            connection.close()

    thread = threading.Thread(target=first)
    thread.start()
    assert reading.wait(30)
    meanwhile = seen_now(event, timezone.now())
    asked.set()
    thread.join()
    assert (meanwhile.live, meanwhile.as_of) == (kept.live, earlier)
    assert fresh[0].live.known[0].rows[0].standing.to_par == 12
