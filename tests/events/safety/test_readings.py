"""Taking weather down: all of a line or nothing, with its source and time, in the log, taken back and never wiped."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError

import build
from events.log.models import Act
from events.safety.models import Evidence, Reading, ThresholdSet
from events.safety.readings import (
    ReadingRefused,
    choose_thresholds,
    note_lightning,
    take_back,
    take_readings,
)
from events.setup.models import Event

NOW = datetime(2026, 6, 12, 14, 10, tzinfo=UTC)
WHO = {"actor": build.ACTOR, "now": NOW}


def read(event: Event, text: str = "32 C, 60 %", **facts: Any) -> list[Reading]:
    return take_readings(
        **{"event": event, "text": text, "source": "hand meter", "read_at": "", **WHO, **facts}
    )


def strike(event: Event, typed: str = "12 mi", kind: str = "strike", **facts: Any) -> Evidence:
    given = {"event": event, "kind": kind, "typed": typed, "source": "strike service", "seen_at": "", **WHO}
    return note_lightning(**{**given, **facts})


def test_readings_are_kept_in_the_units_of_the_slice_and_as_they_were_typed(event: Event) -> None:
    read(event, "90F 18 km/h", read_at="14:00")
    rows = Reading.objects.order_by("pk").values_list("quantity", "value", "typed", "source", "read_at", "at")
    at = datetime(2026, 6, 12, 14, 0, tzinfo=UTC)
    assert list(rows) == [
        ("temperature", Decimal("32.22"), "90 F", "hand meter", at, NOW),
        ("wind", Decimal("5.00"), "18 km/h", "hand meter", at, NOW),
    ]
    act = Act.objects.get()
    assert (act.action, act.subject, act.detail) == (
        "reading.taken",
        "temperature 90 F, wind 18 km/h",
        {"source": "hand meter", "read_at": ["2026-06-12T14:00:00+00:00"]},
    )


@pytest.mark.parametrize(
    ("facts", "sentence"),
    [
        ({"text": "humidity 140"}, "Humidity lies between 0 and 100 %, not 140 %."),
        ({"text": "32"}, "32 of what? Write the unit too: 32 C, 60 %, wind 5 m/s, or UV 7."),
        ({"source": "  "}, "Say where it comes from: the instrument, the service, or who heard it."),
        ({"read_at": "14:11"}, "14:11 is still to come: it is 14:10 at the venue."),
        ({"text": "14:30 32 C"}, "14:30 is still to come: it is 14:10 at the venue."),
        ({"read_at": "2026-05-12 10:00"}, "That is more than a week ago: write the time as 14:05."),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_kept(
    event: Event, facts: dict[str, str], sentence: str
) -> None:
    with pytest.raises(ReadingRefused) as refused:
        read(event, **facts)
    assert str(refused.value) == sentence
    assert (Reading.objects.count(), Act.objects.count()) == (0, 0)


def test_a_finished_event_takes_nothing_down(event: Event) -> None:
    event.over_at = NOW
    event.save()
    for act in (read, strike):
        with pytest.raises(ReadingRefused, match="The event is over"):
            act(event)


@pytest.mark.parametrize(
    ("kind", "typed", "distance_m", "seconds"),
    [
        ("strike", "15 mi", 24140, None),
        ("strike", "19 km", 19000, None),
        ("thunder", "25", None, 25),
        ("thunder", "25.9 s", None, 25),  # nearer, never further
        ("thunder", "", None, None),
    ],
)
def test_the_two_kinds_of_evidence_stay_two(
    event: Event, kind: str, typed: str, distance_m: int | None, seconds: int | None
) -> None:
    row = strike(event, typed, kind, seen_at="14:05")
    row.refresh_from_db()
    assert (row.kind, row.distance_m, row.seconds) == (kind, distance_m, seconds)
    assert row.seen_at == datetime(2026, 6, 12, 14, 5, tzinfo=UTC)
    assert Act.objects.get().action == "lightning.seen"


@pytest.mark.parametrize(
    ("facts", "sentence"),
    [
        ({"typed": ""}, "How far off was the strike? Write 12 mi or 19 km."),
        ({"typed": "12"}, "distance: 12 of what? Write the unit too: 12 mi or 19 km."),
        ({"seen_at": "14:11"}, "14:11 is still to come: it is 14:10 at the venue."),
        ({"kind": "hail"}, "Lightning is a strike that a service places, or thunder that was heard."),
        ({"kind": "thunder", "typed": "301 s"}, "301 s: thunder is counted from 0 to 300 seconds."),
    ],
)
def test_evidence_that_cannot_be_is_refused(event: Event, facts: dict[str, str], sentence: str) -> None:
    with pytest.raises(ReadingRefused) as refused:
        strike(event, **facts)
    assert str(refused.value) == sentence
    assert (Evidence.objects.count(), Act.objects.count()) == (0, 0)


def test_a_mistake_is_taken_back_once_with_a_reason_and_stays(event: Event) -> None:
    (row, _) = read(event)
    with pytest.raises(ReadingRefused, match="why it is taken back"):
        take_back(row=row, reason=" ", **WHO)
    take_back(row=row, reason="in the sun", **WHO)
    row.refresh_from_db()
    assert (row.taken_back_at, row.taken_back_by, row.taken_back_reason) == (NOW, "Tester", "in the sun")
    with pytest.raises(ReadingRefused, match="taken back by Tester already"):
        take_back(row=row, reason="again", **WHO)
    act = Act.objects.order_by("number").last()
    assert act is not None
    assert (act.action, act.subject, act.reason) == ("reading.taken_back", "temperature 32 C", "in the sun")


def test_evidence_is_taken_back_under_its_own_act(event: Event) -> None:
    take_back(row=strike(event), reason="another county", **WHO)
    assert list(Act.objects.order_by("number").values_list("action", "subject")) == [
        ("lightning.seen", "strike at 19.3 km"),
        ("lightning.taken_back", "strike at 19.3 km"),
    ]


def test_the_set_that_was_chosen_last_counts_and_the_first_stays_on_record(event: Event) -> None:
    for key in ("later", "chart"):
        choose_thresholds(event=event, kind="heat", key=key, **WHO)
    assert list(ThresholdSet.objects.order_by("pk").values_list("kind", "chosen")) == [
        ("heat", "later"),
        ("heat", "chart"),
    ]
    assert [act.subject for act in Act.objects.order_by("number")] == [
        "Heat index, later text",
        "Heat index, older chart",
    ]


@pytest.mark.parametrize(
    ("kind", "key", "sentence"),
    [
        ("hail", "chart", "There are no limits for 'hail'."),
        ("heat", "mine", "heat: no set is called 'mine'; there are chart, later."),
        (
            "lightning",
            "mine",
            "lightning: no set is called 'mine'; there are sport, sport_and_thunder, thirty_thirty.",
        ),
    ],
)
def test_a_set_that_is_not_published_is_refused(event: Event, kind: str, key: str, sentence: str) -> None:
    with pytest.raises(ReadingRefused) as refused:
        choose_thresholds(event=event, kind=kind, key=key, **WHO)
    assert str(refused.value) == sentence


def test_the_database_refuses_a_humidity_that_cannot_be(event: Event) -> None:
    facts = {"source": "x", "typed": "140 %", "read_at": NOW, "at": NOW, "by": "x"}
    with pytest.raises(IntegrityError, match="reading_humidity_in_percent"):
        Reading.objects.create(event=event, quantity="humidity", value=140, **facts)


def test_the_database_refuses_a_strike_without_distance(event: Event) -> None:
    with pytest.raises(IntegrityError, match="evidence_of_one_kind"):
        Evidence.objects.create(
            event=event, kind="strike", seconds=20, source="x", seen_at=NOW, at=NOW + timedelta(0), by="x"
        )
