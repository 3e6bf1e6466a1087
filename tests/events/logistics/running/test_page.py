"""The page of a day: what anybody may do there, what items are kept, what it costs, and its paper."""

import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.db import IntegrityError, transaction
from django.test import Client
from django.utils import timezone

import build
import build_cards
import pdf_pages
from events.course.models import Layout
from events.draw.models import Delay, Pool
from events.log.actions import Action
from events.log.models import Act
from events.log.services import record
from events.logistics.countdown.models import Task
from events.logistics.countdown.queries import countdown_of
from events.logistics.crew.duties import FIRST_START, ROUND_END
from events.logistics.crew.models import Helper, HelperContact, Need, Post
from events.logistics.crew.services import work_out_shifts
from events.logistics.running.delaying import delay_day
from events.logistics.running.models import RunItem
from events.logistics.running.news import newest_since
from events.logistics.running.queries import run_of
from events.setup.models import Event, Role, Round, RuleOverride, StartType
from events.setup.sunlight import daylight
from players.models import Contact

SignIn = Callable[[Role], Client]
NOON = datetime(2026, 6, 12, 12, tzinfo=UTC)
WRITERS = (Role.DIRECTOR, Role.DESK)


@pytest.fixture
def home(event: Event) -> str:
    return f"/desk/{event.slug}/logistics/day/"


def typed(**facts: object) -> dict[str, object]:
    return {
        "day": "2026-06-12",
        "label": "Hot food",
        "tied": "clock:0",
        "clock": "12:30",
        "minutes": "",
        "lasts": "30",
        "owner": "the club",
        "place": "barn",
        "lane": "desk",
        **facts,
    }


def paper_text(client: Client, home: str) -> str:
    """The words of the paper, of which none lies over another or leaves the page."""
    sheets = pdf_pages.read(client.get(f"{home}run.pdf?day=2026-06-12").content)
    for sheet in sheets:
        assert pdf_pages.collisions(sheet) == []
        assert pdf_pages.strays(sheet) == []
    return " ".join(sheet.text for sheet in sheets)


def labels(event: Event) -> list[str]:
    return [line.label for line in run_of(event, event.starts_on, NOON).lines]


def test_a_bare_event_has_a_whole_day(event: Event) -> None:
    run = run_of(event, event.starts_on, NOON)
    lines = [line for line in run.lines if not line.key.startswith("due-")]
    assert [f"{line.starts:%H:%M} {line.label}" for line in lines] == [
        "08:00 Gate, keys, toilets",
        "08:15 Set up desk, board, signal",
        "08:35 Players’ meeting",
        "08:58 Two-minute signal",
        "09:00 Round 1, shotgun",
        "12:58 Two-minute signal",
        "13:00 Break between rounds",
        "13:00 Round 2, shotgun",
        "13:30 Round 1, last cards due",
        "17:30 Round 2, last cards due",
        "17:30 Tear down, walk the course",
    ]


def test_the_sun_goes_down_at_the_same_minute_as_in_every_sentence(event: Event) -> None:
    Event.objects.update(latitude="59.9139", longitude="10.7522", time_zone="Europe/Oslo")
    event.refresh_from_db()
    for day in (event.starts_on + timedelta(days=at) for at in range(10)):
        (sun,) = daylight(event, [day]).days
        found = {line.key: event.local(line.starts) for line in run_of(event, day, NOON).lines}
        said = f"Sunrise {found['sunrise']:%H:%M}, sunset {found['sunset']:%H:%M}."
        assert sun.sentence.startswith(said)


def test_the_duties_of_the_day_stand_in_it_with_their_source(event: Event) -> None:
    Task.objects.create(event=event, number=1, what="Ring the warden", due_on=event.starts_on)
    run = run_of(event, event.starts_on, NOON)
    due = {line.label: line for line in run.lines if line.key.startswith("due-")}
    open_ = due["Restroom open and stocked (Friday)"]
    assert (f"{open_.starts:%H:%M}", open_.owner, open_.needs) == ("08:00", "director", True)
    assert open_.assumed == "Competition Manual 2025, 5.03.G"
    assert run.all_day == ("Ring the warden",)


def test_the_last_day_ends_with_playoff_prizes_and_the_last_bag(event: Event) -> None:
    event.rounds.filter(number=2).update(date=event.ends_on)
    run = run_of(event, event.ends_on, NOON)
    found = [f"{line.starts:%H:%M} {line.label}" for line in run.lines if not line.key.startswith("due-")]
    assert found[-5:] == [
        "17:30 Round 2, last cards due",
        "17:30 Tear down, walk the course",
        "17:40 Playoff, if first place is tied",
        "18:15 Prizes",
        "19:00 Last bag in the car, gate closed",
    ]
    assert "Prizes" not in labels(event)


def test_tee_times_ask_for_a_sheet_and_for_no_signal(event: Event) -> None:
    event.rounds.update(start_type=StartType.TEE_TIMES)
    found = {line.label: line for line in run_of(event, event.starts_on, NOON).lines}
    assert "Two-minute signal" not in found
    due = found["Publish the tee times (round 2: FA1, MA1)"]
    assert f"{due.starts:%H:%M}" == "14:00"  # an hour after the round before
    assert "1.06.K" in due.assumed


def test_the_sheet_is_due_for_each_division_by_its_own_hours(event: Event) -> None:
    """Competition Manual 2025, 1.06.K: of each division, an hour after its own round before. MA1 is in at 12:00 and
    goes out again at 13:30, FA1 is in at 14:00 and goes out at 16:00; the countdown says the same."""
    for number, code, start in ((1, "MA1", 8), (1, "FA1", 10), (2, "MA1", 13.5), (2, "FA1", 16)):
        pool = Pool.objects.create(
            round=event.rounds.get(number=number),
            label=code[0],
            start_type=StartType.TEE_TIMES,
            first_start_at=NOON + timedelta(hours=start - 12),
        )
        pool.divisions.add(event.divisions.get(code=code))
    lines = {line.label: f"{line.starts:%H:%M}" for line in run_of(event, event.starts_on, NOON).lines}
    due = {
        line.of: f"{line.due:%H:%M}" for line in countdown_of(event, NOON).lines if "tee_sheet/2" in line.key
    }
    assert due == {"round 2: MA1": "13:00", "round 2: FA1": "15:00"}
    assert {of: lines[f"Publish the tee times ({of})"] for of in due} == due


def test_a_shotgun_pool_beside_tee_times_asks_for_its_signal_and_no_sheet(event: Event) -> None:
    """FA1 starts together at 13:00, MA1 by tee times from 16:00: its sheet is due 12 hours before, or at 14:00."""
    for code, kind, hour in (("FA1", StartType.SHOTGUN, 13), ("MA1", StartType.TEE_TIMES, 16)):
        pool = Pool.objects.create(
            round=event.rounds.get(number=2),
            label=code[0],
            start_type=kind,
            first_start_at=NOON + timedelta(hours=hour - 12),
        )
        pool.divisions.add(event.divisions.get(code=code))
    found = {line.label: f"{line.starts:%H:%M}" for line in run_of(event, event.starts_on, NOON).lines}
    assert found["Round 2, tee times and shotgun"] == "13:00"
    assert found["Publish the tee times (round 2: MA1)"] == "14:00"
    assert found["Sound the two-minute signal, so that everybody hears it (round 2)"] == "12:58"
    assert [label for label in found if "FA1" in label] == []


def test_a_delay_says_when_a_sheet_was_due(event: Event) -> None:
    event.rounds.update(start_type=StartType.TEE_TIMES)
    morning = NOON - timedelta(hours=2)
    delay_day(event=event, since=morning, minutes=50, reason="fog", actor=build.ACTOR, now=morning)
    (due,) = [line for line in run_of(event, event.starts_on, morning).lines if "round 2: " in line.label]
    assert (f"{due.starts:%H:%M}", due.was and f"{due.was:%H:%M}") == ("14:50", "14:00")


def test_a_round_lasts_by_its_holes_and_says_so(event: Event) -> None:
    long = build.make_layout(event, "Long", pars=(3,) * 27, tees="long")
    build.use_layout(event.rounds.get(number=1), long, "FA1")
    event.rounds.get(number=2).layout_uses.all().delete()
    found = {line.label: line for line in run_of(event, event.starts_on, NOON).lines}
    first, second = found["Round 1, shotgun"], found["Round 2, shotgun"]
    assert (f"{first.ends:%H:%M}", first.assumed) == (
        "15:00",
        "taken to last 4:00 or 6:00 for 27 holes after the last start",
    )
    assert (f"{second.ends:%H:%M}", second.assumed) == (
        "17:00",
        "taken to last 4:00 (no layout yet: 18 holes) after the last start",
    )


def test_the_gate_is_open_before_whoever_comes_first(event: Event) -> None:
    """Parking begins 90 minutes before the first start, so without check-in the keys come 15 minutes before that."""
    work_out_shifts(event=event, actor=build.ACTOR, now=build.NOW)
    found = {line.label: f"{line.starts:%H:%M}" for line in run_of(event, event.starts_on, NOON).lines}
    assert found["Parking and spectators"] == "11:30"
    assert found["Gate, keys, toilets"] == "07:15"


@pytest.mark.parametrize(("start", "due"), [("09:00", "21:00"), ("05:30", "18:00")])
def test_the_sheet_of_the_next_day_is_due_in_the_evening(event: Event, start: str, due: str) -> None:
    """12 hours before the first tee time, or an hour after the last round of this day, whichever is later."""
    Round.objects.create(
        event=event, number=3, date=event.ends_on, first_start=start, start_type=StartType.TEE_TIMES
    )
    found = {line.label: line for line in run_of(event, event.starts_on, NOON).lines}
    assert f"{found['Publish the tee times (round 3: FA1, MA1)'].starts:%H:%M}" == due


def test_a_round_that_begins_while_the_one_before_lasts_is_said(
    event: Event, client_as: SignIn, home: str
) -> None:
    event.rounds.filter(number=2).update(first_start="12:00")
    page = client_as(Role.DESK).get(f"{home}?day=2026-06-12").content.decode()
    assert "Round 2 starts 12:00, while round 1 is expected to last until 13:00." in page


@pytest.mark.parametrize("role", list(Role))
def test_who_reads_and_who_writes(event: Event, client_as: SignIn, home: str, role: Role) -> None:
    client = client_as(role)
    reads, writes = role is not Role.VIEWER, role in WRITERS
    assert client.get(home).status_code == (200 if reads else 403)
    assert client.get(f"{home}run.pdf").status_code == (200 if reads else 403)
    assert client.get(f"{home}news/").status_code == (204 if reads else 403)
    assert client.post(f"{home}item/", typed()).status_code == (302 if writes else 403)
    delayed = client.post(
        f"{home}delay/", {"day": "2026-06-12", "since": "9.00", "minutes": "10", "reason": "fog"}
    )
    assert delayed.status_code == (403 if role is not Role.DIRECTOR else 422)  # the day is long gone


def test_an_item_is_added_changed_taken_out_and_put_back(event: Event, client_as: SignIn, home: str) -> None:
    desk = client_as(Role.DESK)
    desk.post(f"{home}item/", typed())
    row = RunItem.objects.get()
    assert (row.label, row.lasts, f"{row.clock:%H:%M}") == ("Hot food", 30, "12:30")
    shown = desk.get(f"{home}?day=2026-06-12&change=own-{row.pk}").content.decode()
    assert "Change: Hot food" in shown
    desk.post(f"{home}item/", typed(pk=row.pk, tied="round_end:1", clock="", minutes="-15"))
    row.refresh_from_db()
    assert (row.anchor, row.round, row.clock, row.minutes) == (
        "round_end",
        event.rounds.get(number=1),
        None,
        -15,
    )
    found = {line.label: line for line in run_of(event, event.starts_on, NOON).lines}
    assert f"{found['Hot food'].starts:%H:%M}" == "12:45"
    desk.post(f"{home}item/remove/", {"day": "2026-06-12", "pk": row.pk})
    assert "Hot food" not in labels(event)
    desk.post(f"{home}item/{row.pk}/restore/")
    assert "Hot food" in labels(event)
    acts = list(Act.objects.order_by("number").values_list("action", flat=True))
    assert acts == ["run.item", "run.item", "run.item_removed", "run.item_restored"]


def test_a_usual_item_is_kept_otherwise_and_taken_out(event: Event, client_as: SignIn, home: str) -> None:
    desk = client_as(Role.DESK)
    desk.post(
        f"{home}item/",
        typed(key="keys", label="Keys from the warden", tied="day_begins:0", clock="", minutes="-90"),
    )
    assert labels(event)[0] == "Keys from the warden"
    assert "Gate, keys, toilets" not in labels(event)
    desk.post(f"{home}item/remove/", {"day": "2026-06-12", "key": "two_minutes-2"})
    assert labels(event).count("Two-minute signal") == 1
    answer = desk.post(f"{home}item/remove/", {"day": "2026-06-12", "key": "nonsense"}, follow=True)
    assert "not on the day any more" in answer.content.decode()


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({"clock": ""}, "Write the time, as 13:00."),
        ({"clock": "noon"}, "Write the time as 13:00."),
        ({"label": ""}, "This field is required"),
        ({"tied": "round_end:9"}, "not one of the available choices"),
    ],
)
def test_what_cannot_be_comes_back_with_what_was_typed(
    event: Event, client_as: SignIn, home: str, facts: dict[str, object], words: str
) -> None:
    answer = client_as(Role.DESK).post(f"{home}item/", typed(**facts))
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert 'value="the club"' in answer.content.decode()
    assert RunItem.objects.count() == 0


def test_a_delay_that_is_refused_brings_back_what_was_typed(
    event: Event, client_as: SignIn, home: str
) -> None:
    answer = client_as(Role.DIRECTOR).post(
        f"{home}delay/", {"day": "2026-06-12", "since": "0900", "minutes": "10", "reason": "fog on 7"}
    )
    assert answer.status_code == 422
    assert "things would come before now" in answer.content.decode()
    assert 'value="fog on 7"' in answer.content.decode()


def test_the_length_of_a_round_is_set_under_the_rules(event: Event, client_as: SignIn, home: str) -> None:
    director = client_as(Role.DIRECTOR)
    page = director.get(f"{home}?day=2026-06-12").content.decode()
    rule = "/desk/quiet-pines/rules/practice.round_minutes_18_holes.to/"
    assert f'href="{rule}"' in page
    assert director.get(rule).status_code == 200
    override = {"key": "practice.round_minutes_18_holes.to", "value": 300, "reason": "long holes"}
    RuleOverride.objects.create(event=event, **override, by="Tester", at=build.NOW)
    found = {line.label: line for line in run_of(event, event.starts_on, NOON).lines}
    assert (found["Round 1, shotgun"].ends, found["Round 1, shotgun"].assumed) == (
        datetime(2026, 6, 12, 14, tzinfo=UTC),
        "taken to last 5:00 after the last start",
    )


def test_a_delay_is_undone_on_the_page(event: Event, client_as: SignIn, home: str) -> None:
    soon = timezone.now() + timedelta(days=1)
    Event.objects.filter(pk=event.pk).update(starts_on=soon.date(), ends_on=soon.date())
    event.rounds.update(date=soon.date())
    director = client_as(Role.DIRECTOR)
    day = f"{soon:%Y-%m-%d}"
    page = director.post(
        f"{home}delay/", {"day": day, "since": "08:00", "minutes": "25", "reason": "fog"}, follow=True
    ).content.decode()
    row = Delay.objects.get()
    assert "From 08:00 25 minutes later: fog" in page
    assert "was 09:00" in page
    page = director.post(f"{home}delay/{row.pk}/undo/", follow=True).content.decode()
    assert "The delay is taken back." in page
    assert "was 09:00" not in page


@pytest.mark.parametrize(
    "facts", [{"anchor": "clock"}, {"anchor": "first_start"}, {"anchor": "day_ends", "lasts": 1500}]
)
def test_the_table_refuses_an_item_that_hangs_on_nothing(event: Event, facts: dict[str, Any]) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        RunItem.objects.create(event=event, day=event.starts_on, label="x", **facts)


def crowd(event: Event, count: int) -> None:
    """`count` items, and as many shifts with somebody on them whose telephone nobody may read here."""
    entry = build.make_entry(event)
    Contact.objects.create(person=entry.person, phone="+47 555 11 22")
    round_ = event.rounds.get(number=1)
    for number in range(count):
        RunItem.objects.create(
            event=event, day=event.starts_on, label=f"Item {number}", anchor="first_start", round=round_
        )
        helper = Helper.objects.create(event=event, name=f"Helper {number}")
        HelperContact.objects.create(
            helper=helper, phone="+47 555 99 88", email="secret@example.org", guardian="Aunt Ida", minor=True
        )
        need = Need.objects.create(
            event=event,
            duty="starter",
            place=f"tee {number}",
            round=round_,
            from_anchor=FIRST_START,
            to_anchor=ROUND_END,
        )
        Post.objects.create(need=need, helper=helper, made_at=build.NOW, made_by="x")


@pytest.mark.parametrize("count", [1, 3])
def test_the_run_takes_the_same_queries(event: Event, count: int, django_assert_num_queries: Any) -> None:
    crowd(event, count)
    build_cards.publish(event.rounds.get(number=1), [build_cards.make_field(event, 3)])
    assert Layout.objects.exists()
    with django_assert_num_queries(21):
        run_of(event, event.starts_on, NOON)


def test_nothing_personal_is_on_page_or_paper(event: Event, client_as: SignIn, home: str) -> None:
    crowd(event, 2)
    client = client_as(Role.MARSHAL)
    page = client.get(f"{home}?day=2026-06-12").content.decode()
    paper = paper_text(client, home)
    for leak in ("555", "secret@", "Aunt Ida"):
        assert leak not in page
        assert leak not in paper
    assert "Helper 0" in page
    assert "Helper 0" in paper


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_the_paper_has_the_list_and_the_drawing(
    event: Event, client_as: SignIn, home: str, size: str
) -> None:
    Event.objects.filter(pk=event.pk).update(paper=size)
    text = paper_text(client_as(Role.DESK), home)
    assert text.count("Friday 12 June") >= 2
    assert "Two-minute signal" in text
    assert "taken to last 4:00" in text
    assert "usual, no source" in text


def test_an_open_page_hears_of_what_moves_the_day_and_of_nothing_else(
    event: Event, client_as: SignIn, home: str, django_assert_num_queries: Any
) -> None:
    marshal, desk = client_as(Role.MARSHAL), client_as(Role.DESK)
    page = marshal.get(f"{home}?day=2026-06-12").content.decode()
    assert "news/?seen=0&amp;day=2026-06-12" in page
    ids = re.findall(
        r' id="([^"]+)"', client_as(Role.DIRECTOR).get(f"{home}?day=2026-06-12").content.decode()
    )
    assert len(ids) == len(set(ids))
    asked = f"{home}news/?seen=0&day=2026-06-12"
    record(chain=event.slug, action=Action.THING_FOUND, subject="x", actor=build.ACTOR, now=build.NOW)
    assert marshal.get(asked).status_code == 204
    desk.post(f"{home}item/", typed())
    answer = marshal.get(asked)
    assert answer.status_code == 200
    assert "The day has changed:" in answer.content.decode()
    assert "item of the day’s run" in answer.content.decode().replace("&#x27;", "’").replace("'", "’")
    assert marshal.get(f"{home}news/?seen=2").status_code == 204
    assert marshal.get(f"{home}news/?seen=x").status_code == 204
    with django_assert_num_queries(1):
        assert newest_since(event, 0) is not None
