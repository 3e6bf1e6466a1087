from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from build import ACTOR, NOW
from desk.event_file import EventFileRefused, read_event_file
from desk.event_making import make_event
from events.course.queries import layouts_of, shared_tees
from events.draw.models import Pool
from events.setup.models import Event

FIXTURE = Path(__file__).parents[2] / "fixtures" / "event.toml"
SMALL = """
[event]
name = "Tarn Edge Open"
first_day = 2026-07-04
last_day = 2026-07-04
time_zone = "Europe/Oslo"
checkin_opens = 2026-07-04T07:30:00
[[divisions]]
code = "MA1"
fee = 45.50
[[layouts]]
name = "Nine"
holes = [ { label = "4S", par = 3, length = 90 }, { label = "12B", par = 4 } ]
[[rounds]]
number = 1
date = 2026-07-04
"""


@pytest.mark.django_db
def test_the_demo_file_makes_its_event():
    event = make_event(file=read_event_file(FIXTURE.read_text()), actor=ACTOR, now=NOW)
    layouts = layouts_of(event)
    assert {layout.name: len(layout.holes) for layout in layouts.values()} == {"Upper": 18, "Lower": 18}
    assert [tee.name for tee in shared_tees(layouts.values())] == [f"pad {n}" for n in range(13, 19)]
    assert list(event.divisions.order_by("order").values_list("code", "fee_cents"))[:2] == [
        ("MPO", 9000),
        ("FPO", 9000),
    ]
    assert Pool.objects.filter(round__event=event).count() == 6
    last = Pool.objects.get(round__event=event, round__number=3, label="A")
    assert (event.local(last.first_start_at).isoformat(), last.gap_after) == ("2026-06-14T11:30:00+00:00", 4)


@pytest.mark.django_db
def test_times_are_wall_clock_times_at_the_venue_and_labels_are_text():
    event = make_event(file=read_event_file(SMALL), actor=ACTOR, now=NOW)
    assert event.local(event.checkin_opens_at).isoformat() == "2026-07-04T07:30:00+02:00"
    (layout,) = layouts_of(event).values()
    assert [hole.label for hole in layout.holes] == ["4S", "12B"]
    assert event.divisions.get().fee_cents == 4550
    assert event.rounds.get().layout_uses.get().layout_id == layout.id


@pytest.mark.parametrize(
    ("old", "new", "problem"),
    [
        ('name = "Tarn Edge Open"', "", "event: name is missing."),
        ("fee = 45.50", 'fee = "a lot"', "divisions 1: fee = 'a lot': "),
        ("fee = 45.50", "fee = 45\nlayout = 'Moon'", "division MA1: there is no layout Moon."),
        ("fee = 45.50", "fee = 45\nprice = 3", "divisions 1: there is no price here; there are code, fee,"),
        ("par = 3", "par = '3'", "layout Nine, hole 1: par = '3': write a whole number."),
        (
            "number = 1",
            "number = 1\npools = [ { label = 'A', divisions = ['FA1'] } ]",
            "round 1, pool A: FA1 is not offered.",
        ),
        ("[[rounds]]", "[[round]]", "round: no such part;"),
        (
            "Europe/Oslo",
            "Nowhere/Town",
            "event: time_zone = 'Nowhere/Town': Nowhere/Town is not a time zone;",
        ),
        ("[event]", "[event", "The file is not valid TOML:"),
    ],
)
def test_each_fault_is_named_with_its_place(old, new, problem):
    with pytest.raises(EventFileRefused) as refused:
        read_event_file(SMALL.replace(old, new))
    assert any(found.startswith(problem) for found in refused.value.problems), refused.value.problems


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("old", "new", "problem"),
    [
        ('code = "MA1"', 'code = "XX9"', "XX9 is not a published division code."),
        ("last_day = 2026-07-04", "last_day = 2026-07-03", "The last day is before the first."),
        ('label = "12B"', 'label = "4S"', "the label 4S stands in row 1 already"),
        (
            "number = 1",
            "number = 1\npools = [ { label = 'A', divisions = ['MA1'], interval = 90 } ]",
            "Pool A: An interval is 1 to 60 minutes.",
        ),
        (
            "number = 1",
            "number = 1\npools = [ { label = 'A', divisions = [] }, { label = 'a', divisions = [] } ]",
            "Two pools have the same label.",
        ),
    ],
)
def test_what_the_services_refuse_leaves_nothing_behind(old, new, problem):
    with pytest.raises(EventFileRefused, match=problem):
        make_event(file=read_event_file(SMALL.replace(old, new)), actor=ACTOR, now=NOW)
    assert not Event.objects.exists()


@pytest.mark.django_db
def test_the_command_says_what_was_made_and_refuses_a_second_of_the_same_slug(capsys):
    call_command("new_event", str(FIXTURE), "--json")
    assert (
        '"event": "harbour-hollow", "name": "Harbour Hollow Classic", "divisions": 8'
        in capsys.readouterr().out
    )
    with pytest.raises(CommandError, match="Nothing was made"):
        call_command("new_event", str(FIXTURE))


def test_a_file_that_is_not_there(tmp_path):
    with pytest.raises(CommandError, match="No such file"):
        call_command("new_event", str(tmp_path / "gone.toml"))
