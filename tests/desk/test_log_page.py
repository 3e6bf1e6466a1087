"""The log page: newest first, filtered, in words, with the state of its chain; and the command that checks it."""

import json
from datetime import UTC, timedelta
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.test import Client

import build
from build import ACTOR, NOW
from desk.logbook import Change, changes
from events.log import guard
from events.log.actions import Action
from events.log.models import Act
from events.log.services import Actor, record
from events.logistics.services import hand_in
from events.setup.models import Role

pytestmark = pytest.mark.django_db
PAGE = "/desk/quiet-pines/log/"


def write(count: int = 1, *, chain: str = "quiet-pines", **facts) -> None:
    for number in range(count):
        whole = {"action": Action.CHECKED_IN, "subject": f"entry {number}", "actor": ACTOR}
        record(chain=chain, now=NOW + timedelta(minutes=number), **(whole | facts))


def tamper() -> None:
    guard.lift(connection)
    with connection.cursor() as cursor:
        cursor.execute("UPDATE log_act SET subject = 'forged' WHERE number = 2 AND chain_id = 'quiet-pines'")
    guard.install(connection)


@pytest.fixture(name="viewer")
def viewer_fixture(client_as) -> Client:
    return client_as(Role.VIEWER)


class TestPage:
    def test_shows_the_newest_first_at_the_time_of_the_venue(self, viewer, event):
        event.time_zone = "America/Chicago"
        event.save()
        write(3)
        write(1, chain="other-event")

        lines = viewer.get(PAGE).context["lines"]

        assert [(line.number, line.subject) for line in lines] == [
            (3, "entry 2"),
            (2, "entry 1"),
            (1, "entry 0"),
        ]
        assert f"{lines[0].at:%H:%M}" == "02:02"
        assert lines[0].hash == Act.objects.get(number=3).hash[:10]

    def test_is_paged_and_keeps_its_filter(self, viewer):
        write(51)
        write(2, action=Action.PACK_GIVEN)

        assert len(viewer.get(PAGE).context["lines"]) == 50
        second = viewer.get(PAGE, {"action": "checkin.in", "page": 2})
        assert [line.subject for line in second.context["lines"]] == ["entry 0"]
        assert second.context["query"] == "action=checkin.in&q="

    @pytest.mark.parametrize("text", ["moravec", "HALE", "rain"])
    def test_finds_in_subject_actor_and_reason(self, viewer, text):
        write(2)
        write(1, subject="Siobhan Moravec", actor=Actor("Hale Oyelaran"), reason="heavy rain")

        lines = viewer.get(PAGE, {"q": text}).context["lines"]

        assert [line.subject for line in lines] == ["Siobhan Moravec"]

    def test_finds_an_act_by_what_it_is_called(self, viewer, event):
        write(2)
        facts = {"what": "umbrella", "written": "", "hole_label": "7", "round": None, "found_by": ""}
        hand_in(event=event, **facts, actor=ACTOR, now=NOW)

        lines = viewer.get(PAGE, {"q": "Found"}).context["lines"]

        assert [(line.action, line.subject) for line in lines] == [
            ("found thing handed in", "no. 1, umbrella, hole 7")
        ]

    def test_shows_old_new_and_reason(self, viewer):
        detail = {"fee_cents": {"old": 4500, "new": 5050}}
        write(1, action=Action.DIVISION_CHANGED, subject="MA1", detail=detail, reason="lights & music")

        text = viewer.get(PAGE).content.decode()

        assert "$45 → $50.50" in text
        assert "lights &amp; music" in text

    def test_checks_the_chain_when_asked(self, viewer):
        write(3)
        assert viewer.get(PAGE).context["checked"] is None
        assert "All 3 rows follow one another" in viewer.get(PAGE, {"check": 1}).content.decode()

        tamper()
        text = viewer.get(PAGE, {"check": 1}).content.decode()
        assert "The chain is broken." in text
        assert "row 2 was altered" in text

    def test_takes_the_same_queries_at_any_size(self, viewer, django_assert_num_queries):
        for rows in (1, 2):  # 1, then 3
            write(rows)
            with django_assert_num_queries(7):  # session, account, event, role, count, acts, head
                viewer.get(PAGE)

    def test_is_empty_before_anything_is_done(self, viewer):
        assert "Nothing has been done yet." in viewer.get(PAGE).content.decode()
        assert "No act fits." in viewer.get(PAGE, {"q": "x"}).content.decode()

    def test_of_the_installation_is_for_its_director(self, viewer):
        write(1, chain="", action=Action.STAFF_PASSWORD, subject="wren")
        chief = Client()
        chief.force_login(build.make_user(None, None))

        assert viewer.get("/log/").status_code == 403
        assert [line.subject for line in chief.get("/log/").context["lines"]] == ["wren"]


@pytest.mark.parametrize(
    ("detail", "found"),
    [
        ({}, []),
        ({"cap": {"old": None, "new": 24}}, [Change("cap", "–", "24")]),
        ({"included": {"old": False, "new": True}}, [Change("included", "no", "yes")]),
        ({"amount_cents": -500}, [Change("amount", None, "−$5")]),
        ({"left_at": "2026-06-12T05:00:00+00:00"}, [Change("left", None, "12 June 2026 05:00")]),
        ({"holes": [3, 4]}, [Change("holes", None, "3, 4")]),
        ({"by": {"cash_cents": 100, "n": 1}}, [Change("by", None, "cash_cents $1, n 1")]),
        (
            {"old": {"par": 3, "label": "7"}, "new": {"par": 4, "label": "7"}},
            [Change("par", "3", "4")],
        ),
        ({"old": "desk", "new": "viewer"}, [Change("", "desk", "viewer")]),
        ({"text": "x" * 161}, [Change("text", None, "x" * 159 + "…")]),
    ],
)
def test_changes_in_words(detail, found):
    assert changes(detail, UTC, "USD") == found


class TestCommand:
    def run(self, *words: str) -> tuple[str, int]:
        out, code = StringIO(), 0
        try:
            call_command("verify_log", *words, stdout=out)
        except SystemExit as end:
            code = int(end.code)
        return out.getvalue(), code

    def test_of_whole_chains(self, event):
        write(3)
        write(1, chain="")

        assert self.run() == ("installation: 1 acts, whole\nquiet-pines: 3 acts, whole\n", 0)

    def test_of_a_broken_chain_names_the_fault_and_fails(self, event):
        write(3)
        write(1, chain="other-event")
        tamper()

        lines = "other-event: 1 acts, whole\nquiet-pines: 3 acts, broken\n  row 2 was altered\n"
        assert self.run() == (lines, 1)
        out, code = self.run("--event", "quiet-pines", "--json")
        assert code == 1
        assert json.loads(out) == [
            {
                "chain": "quiet-pines",
                "acts": 3,
                "whole": False,
                "faults": [{"number": 2, "text": "row 2 was altered"}],
            }
        ]

    def test_of_an_unknown_event_is_refused(self, event):
        with pytest.raises(CommandError, match="There is no event nowhere"):
            self.run("--event", "nowhere")
