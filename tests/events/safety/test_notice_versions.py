"""Versions, times and languages of notices; what pages say of a withdrawn one; the sheet and the plain text."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

import build
import pdf_pages
from build import ACTOR, NOW
from events.course.hazards import note_hazard
from events.log.models import Act
from events.paper.page import EventHead
from events.safety.computed import CAUTIONS
from events.safety.models import Notice, Suspension
from events.safety.notice_print import notice_sheet
from events.safety.notice_words import Words, plain_text, shown, versions_of
from events.safety.queries import (
    CAUTION,
    SAID_WITHDRAWN,
    notices_before,
    notices_now,
    notices_seen,
    notices_to_come,
)
from events.safety.services import NoticeRefused, post_notice, withdraw_notice
from events.safety.told import told_at
from events.setup.models import Role

MINUTE = timedelta(minutes=1)
SPANISH = {"es": {"title": "Hoyo 7", "text": "Espere."}}


def post(event, title="Hole 7", kind="hazard", **facts):
    facts = {"text": "Wait.", "until": None, "actor": ACTOR, "now": NOW, **facts}
    return post_notice(event=event, kind=kind, title=title, **facts)


def titles(notices):
    return [notice.title for notice in notices]


def test_the_gravest_kinds_come_first(event):
    for kind in Notice.Kind.values:
        post(event, kind, kind)
    order = ["suspended", "cancelled", "resumed", "hazard", "weather", "delay", "course", "news"]
    assert titles(notices_now(event, NOW)) == order
    assert titles(notices_seen(event, NOW).hanging) == order


def test_a_new_version_takes_the_place_of_the_old_which_stays_readable(event):
    first = post(event, text="Wait.")
    second = post(event, text="Wait for the flag.", replaces=first, now=NOW + MINUTE)
    third = post(event, "Hole 7 closed", replaces=second, now=NOW + 2 * MINUTE)
    assert titles(notices_now(event, NOW + 2 * MINUTE)) == ["Hole 7 closed"]
    assert [(each.pk, each.text) for each in versions_of(third)] == [
        (second.pk, "Wait for the flag."),
        (first.pk, "Wait."),
    ]
    assert notices_before(event, NOW + 2 * MINUTE).get(pk=first.pk).replaced_by == second
    assert list(Act.objects.order_by("number").values_list("action", flat=True)) == [
        "notice.posted",
        "notice.replaced",
        "notice.replaced",
    ]


def test_what_is_down_or_elsewhere_is_not_replaced(event):
    first = post(event)
    post(event, replaces=first, now=NOW + MINUTE)
    gone = withdraw_notice(notice=post(event, "gone"), actor=ACTOR, now=NOW)
    elsewhere = post(build.make_event("elsewhere"))
    for notice in (first, gone, elsewhere):
        with pytest.raises(NoticeRefused, match="is down or replaced already"):
            post(event, replaces=notice, now=NOW + 2 * MINUTE)
    assert titles(notices_now(event, NOW + 2 * MINUTE)) == ["Hole 7"]


def test_a_notice_to_come_shows_from_its_time(event):
    post(event, valid_from=NOW + 10 * MINUTE)
    assert titles(notices_now(event, NOW)) == []
    assert titles(notices_to_come(event, NOW)) == ["Hole 7"]
    assert notices_seen(event, NOW).changes_at == NOW + 10 * MINUTE
    assert titles(notices_now(event, NOW + 10 * MINUTE)) == ["Hole 7"]
    assert titles(notices_seen(event, NOW + 10 * MINUTE).hanging) == ["Hole 7"]
    assert titles(notices_to_come(event, NOW + 10 * MINUTE)) == []


def test_pages_say_for_a_while_that_a_notice_was_withdrawn(event):
    withdraw_notice(notice=post(event), actor=ACTOR, now=NOW + MINUTE)
    seen = notices_seen(event, NOW + 2 * MINUTE)
    assert (titles(seen.hanging), titles(seen.withdrawn)) == ([], ["Hole 7"])
    assert seen.changes_at == NOW + MINUTE + SAID_WITHDRAWN
    assert [(each.withdrawn, each.title) for each in shown(seen, event)] == [("withdrawn 07:01", "Hole 7")]
    assert notices_seen(event, NOW + MINUTE + SAID_WITHDRAWN).withdrawn == ()


def test_a_replaced_notice_one_of_a_stop_and_one_that_never_showed_are_not_said_to_be_withdrawn(event):
    post(event, "new", replaces=post(event, "old"), now=NOW + MINUTE)
    stop = Suspension.objects.create(event=event, cause="wind", signalled_at=NOW, by="T")
    suspended = post(event, "stopped", "suspended")
    Notice.objects.filter(pk=suspended.pk).update(suspension=stop)
    withdraw_notice(notice=suspended, actor=ACTOR, now=NOW + MINUTE)
    to_come = post(event, "to come", valid_from=NOW + 5 * MINUTE)
    withdraw_notice(notice=to_come, actor=ACTOR, now=NOW + MINUTE)
    seen = notices_seen(event, NOW + MINUTE)
    assert (titles(seen.hanging), seen.withdrawn, seen.changes_at) == (["new"], (), None)


@pytest.mark.parametrize("count", [1, 3])
def test_what_pages_show_is_one_query(event, django_assert_num_queries, count):
    for number in range(count):
        post(event, f"{number}")
        withdraw_notice(notice=post(event, f"gone {number}"), actor=ACTOR, now=NOW)
    with django_assert_num_queries(1):
        assert len(shown(notices_seen(event, NOW), event)) == 2 * count


def test_the_plain_text_has_every_language_the_times_and_the_caution(event):
    notice = post(event, until=NOW + 60 * MINUTE, in_other_words=SPANISH)
    assert plain_text(notice, event).splitlines() == [
        "Quiet Pines Open",
        "",
        "Hazard: Hole 7",
        "Wait.",
        "",
        "[es] Hoyo 7",
        "Espere.",
        "",
        "Posted Fri 12 June 07:00, until Fri 12 June 08:00.",
        CAUTION,
    ]
    withdrawn = withdraw_notice(notice=notice, actor=ACTOR, now=NOW + 5 * MINUTE)
    assert plain_text(withdrawn, event).splitlines()[1] == "WITHDRAWN Fri 12 June 07:05"


HEAD = EventHead("Ww" * 20, "Quarry Park", "12 June", "EUR")
LONGEST = ("The bridge at the creek is closed. Walk round by the gate. " * 6)[:299] + "Z"


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize(
    ("title", "text", "pages"),
    [("Hole 7", "Wait for the spotter.", 1), ("Ww" * 30, LONGEST, 2), ("Lunch", "", 1)],
)
def test_the_sheet_is_read_from_three_metres(paper, title, text, pages):
    head = EventHead(HEAD.name, HEAD.place, HEAD.dates_text, "EUR", "m", paper)
    words = (Words("", title, text),)
    pdf = notice_sheet(head, words, kind="Hazard", times="Posted 07:00", withdrawn="", printed="now")
    assert pdf == notice_sheet(head, words, kind="Hazard", times="Posted 07:00", withdrawn="", printed="now")
    sheets = pdf_pages.read(pdf)
    assert len(sheets) == pages
    for sheet in sheets:
        assert pdf_pages.collisions(sheet) == []
        assert pdf_pages.strays(sheet) == []
        assert " ".join(CAUTIONS) in sheet.text
        large = [word["size"] for word in sheet.words if word["size"] > 13.5]
        assert min(large) >= 40
    whole = "".join(sheet.inside(0, 0, sheet.width, sheet.height) for sheet in sheets)
    assert [word for word in text.split() if word not in whole] == []


def test_each_language_begins_a_page_and_a_withdrawn_notice_says_so():
    words = (Words("", "Hole 7", "Wait."), Words("es", "Hoyo 7", "Espere."))
    sheets = pdf_pages.read(
        notice_sheet(HEAD, words, kind="Hazard", times="t", withdrawn="withdrawn 14:20", printed="")
    )
    assert len(sheets) == 2
    assert sheets[0].text.startswith("Hazard: WITHDRAWN 14:20 Hole 7 Wait.")
    assert sheets[1].text.startswith("WITHDRAWN 14:20 Hoyo 7 Espere.")


def test_the_page_replaces_and_shows_the_version_before(event, client_as):
    client = client_as(Role.DESK)
    first = post(event, "Hole 7", in_other_words=SPANISH, now=timezone.now())
    address = reverse("safety:replace", args=[event.slug, first.pk])
    begun = client.get(address).content.decode()
    assert 'value="Hoyo 7"' in begun
    sent = {"kind": "hazard", "title": "Hole 7 closed", "text": "", "language_1": "es", "title_1": "Cerrado"}
    answer = client.post(address, sent)
    second = Notice.objects.get(replaces=first)
    assert (answer.status_code, answer["Location"]) == (
        302,
        reverse("safety:notice", args=[event.slug, second.pk]),
    )
    assert second.in_other_words == {"es": {"title": "Cerrado", "text": ""}}
    page = client.get(answer["Location"]).content.decode()
    assert reverse("safety:notice", args=[event.slug, first.pk]) in page
    assert "[es] Cerrado" in page
    assert "is down or replaced already" in client.post(address, sent).content.decode()
    pdf = client.get(reverse("safety:notice_paper", args=[event.slug, first.pk]))
    assert pdf["Content-Type"] == "application/pdf"
    assert "WITHDRAWN" in pdf_pages.read(pdf.content)[0].text


def test_a_time_that_the_clocks_skip_or_repeat_is_asked_back(event, client_as):
    event.time_zone = "Europe/Helsinki"
    event.save()
    client = client_as(Role.DESK)
    for wall in ("2027-03-28T03:30", "2027-10-31T03:30"):
        answer = client.post(
            reverse("safety:notices", args=[event.slug]),
            {"kind": "news", "title": "Lunch", "text": "", "until": wall},
        )
        assert answer.status_code == 422, wall
    assert not Notice.objects.exists()


def test_a_text_without_its_language_and_one_language_twice_are_marked(event, client_as):
    client, address = client_as(Role.DESK), reverse("safety:notices", args=[event.slug])
    base = {"kind": "news", "title": "Lunch", "text": ""}
    answer = client.post(address, base | {"title_1": "Comida"})
    assert "Name the language of this text." in answer.content.decode()
    twice = base | {"language_1": "es", "title_1": "a", "language_2": "es", "title_2": "b"}
    assert "This language stands twice." in client.post(address, twice).content.decode()
    assert not Notice.objects.exists()


def test_a_hazard_for_the_board_is_told_while_it_holds(event):
    places = list(event.layouts.get().layout_holes.filter(label__in=["3", "7"]))
    facts = {"risk_public": True, "severity": "minor", "on_board": True, "control": "wait until it is clear"}
    note_hazard(event=event, facts=facts | {"what": "Path"}, holes=places, actor=ACTOR, now=NOW)
    later = {
        "what": "Mowing",
        "severity": "life",
        "valid_from": NOW + 5 * MINUTE,
        "valid_to": NOW + 9 * MINUTE,
    }
    note_hazard(event=event, facts=facts | later, holes=[], actor=ACTOR, now=NOW)
    note_hazard(event=event, facts=facts | {"what": "x", "on_board": False}, holes=[], actor=ACTOR, now=NOW)
    post(event, "Lunch", "news")
    withdraw_notice(notice=post(event, "gone"), actor=ACTOR, now=NOW)
    told = told_at(event, NOW, stopped=False)
    assert [row.title for row in told.rows] == ["Lunch", "Path (Upper 3, Upper 7)", "gone"]
    assert (told.rows[1].text, told.rows[1].caution) == ("Wait until it is clear.", CAUTION)
    assert told.changes_at == NOW + 5 * MINUTE
    told = told_at(event, NOW + 5 * MINUTE, stopped=False)
    assert [row.title for row in told.rows] == ["Lunch", "Mowing", "Path (Upper 3, Upper 7)", "gone"]
    assert told.rows[1].until == "until 07:09"
    assert told.changes_at == NOW + 9 * MINUTE


def test_the_notice_of_a_stop_is_not_told_beside_the_stop(event):
    stop = Suspension.objects.create(event=event, cause="wind", signalled_at=NOW, by="T")
    Notice.objects.filter(pk=post(event, "stopped", "suspended").pk).update(suspension=stop)
    assert told_at(event, NOW, stopped=True).rows == ()
    assert [row.title for row in told_at(event, NOW, stopped=False).rows] == ["stopped"]


@pytest.mark.parametrize("count", [1, 3])
def test_what_is_told_takes_four_queries(event, django_assert_num_queries, count):
    facts = {"what": "Path", "risk_public": True, "severity": "minor", "on_board": True}
    for _ in range(count):
        note_hazard(
            event=event, facts=facts, holes=list(event.layouts.get().layout_holes.all()), actor=ACTOR, now=NOW
        )
        post(event)
    with django_assert_num_queries(4):
        assert len(told_at(event, NOW, stopped=False).rows) == 2 * count
