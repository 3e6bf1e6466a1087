"""The pages of the roster: worked by the desk, read by who is at work, and closed where they tell of people."""

from collections.abc import Callable
from datetime import datetime

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

import build
import build_crew
import pdf_pages
from desk.archive.opening import open_archive
from desk.archive.packing import PERSONAL, pack_event
from events.logistics.crew.models import Certificate, FreeHours, Helper, HelperContact, Need, Post
from events.logistics.crew.people import leave
from events.setup.models import Event, Role

SignIn = Callable[[Role], Client]
SECRETS = ("555 0199", "ines@example.org", "Runa Guardian", "a minor alone", "age not asked")
PRIVATE = {"phone": "555 0199", "email": "ines@example.org", "minor": True, "guardian": "Runa Guardian"}


def page(name: str, event: Event, *args: object) -> str:
    return reverse(f"crew:{name}", args=[event.slug, *args])


@pytest.fixture
def manned(event: Event) -> Event:
    """A minor with everything that could leak, alone at a road post, and booked twice."""
    ines = build_crew.helper(event, "Ines Halvorsen", channel="4", contact=PRIVATE)
    build_crew.stands(build_crew.shift(event, "steward", "road at hole 7", road=True), ines)
    build_crew.stands(build_crew.shift(event, "spotter", "hole 9"), ines)
    build_crew.shift(event, "weather", "tower")
    return event


def text_of(answer) -> str:
    if answer["Content-Type"] == "application/pdf":
        return " ".join(sheet.text for sheet in pdf_pages.read(answer.content))
    return answer.content.decode()


def test_the_desk_reads_who_is_under_age_and_how_to_reach_them(manned: Event, client_as: SignIn) -> None:
    client = client_as(Role.DESK)
    listed = text_of(client.get(page("people", manned)))
    assert "555 0199" in listed
    assert "under age" in listed
    roster = text_of(client.get(page("overview", manned)))
    assert "a minor alone where vehicles pass" in roster
    assert "is booked twice" in roster


@pytest.mark.parametrize("role", [Role.MARSHAL, Role.CARD_ROOM, Role.EQUIPMENT])
def test_others_at_work_read_the_roster_without_contact_and_age(
    manned: Event, client_as: SignIn, role
) -> None:
    client = client_as(role)
    helper = Helper.objects.get()
    for name, *args in (("overview",), ("roster_paper",), ("briefings",), ("briefing", helper.pk)):
        shown = text_of(client.get(page(name, manned, *args)))
        assert "Ines Halvorsen" in shown
        assert [secret for secret in SECRETS if secret in shown] == []
    for name, *args in (("people",), ("person", helper.pk), ("suggestion",)):
        assert client.get(page(name, manned, *args)).status_code == 403


def test_viewers_and_passers_by_read_nothing_of_it(manned: Event, client_as: SignIn) -> None:
    viewer = client_as(Role.VIEWER)
    helper = Helper.objects.get()
    for name, *args in (
        ("overview",), ("people",), ("person", helper.pk), ("roster_paper",), ("briefings",), ("briefing", helper.pk),
    ):  # fmt: skip
        assert viewer.get(page(name, manned, *args)).status_code == 403
    open_to_viewers = (
        reverse("safety:duties", args=[manned.slug]),
        reverse("safety:paper", args=[manned.slug, "duties"]),
        reverse("log", args=[manned.slug]),
        reverse("day", args=[manned.slug]),
    )
    for address in open_to_viewers:
        shown = text_of(viewer.get(address))
        assert [secret for secret in SECRETS if secret in shown] == []
    board = Client().get(f"/board/{manned.slug}/")
    assert board.status_code == 200
    assert [secret for secret in (*SECRETS, "Halvorsen") if secret in text_of(board)] == []


def test_the_archive_carries_the_roster_and_says_that_it_holds_personal_data(manned: Event) -> None:
    helper = build_crew.certified(Helper.objects.get())
    FreeHours.objects.create(helper=helper, starts_at=build.NOW, ends_at=build.NOW.replace(hour=20))
    content = pack_event(event=manned, actor=build.ACTOR, now=build.NOW)
    opened = open_archive(content=content, as_slug="elsewhere", actor=build.ACTOR, now=build.NOW)
    there = getattr(opened, "event", opened)
    assert "personal data" in PERSONAL
    found = Helper.objects.get(event=there)
    assert (found.contact.phone, found.contact.minor, found.free_hours.count()) == ("555 0199", True, 1)
    assert [str(row) for row in found.certificates.all()] == ["certified official"]
    posts = Post.objects.filter(need__event=there).values_list("need__duty", "helper__name")
    assert sorted(posts) == [("spotter", "Ines Halvorsen"), ("steward", "Ines Halvorsen")]
    assert {need.round.event_id for need in Need.objects.filter(event=there) if need.round} == {there.pk}


def test_a_typed_name_puts_somebody_on_a_shift_and_a_wrong_one_says_so(
    manned: Event, client_as: SignIn
) -> None:
    client, need = client_as(Role.DESK), Need.objects.get(duty="weather")
    build_crew.helper(manned, "Ravi Quist")
    wrong = client.post(page("put", manned, need.pk), {"who": "Raavi", "show": "all"}, follow=True)
    assert "“Raavi” is nobody on the list" in wrong.content.decode()
    right = client.post(page("put", manned, need.pk), {"who": "ravi", "show": "all"})
    assert right["Location"] == f"{page('overview', manned)}?show=all#shift-{need.pk}"
    assert [post.helper.name for post in need.posts.all()] == ["Ravi Quist"]
    twice = client.post(page("put", manned, need.pk), {"who": "Ines Halvorsen"}, follow=True)
    assert "but: stands another shift" in twice.content.decode()


def test_marshals_mark_who_is_there_and_plan_nothing(manned: Event, client_as: SignIn) -> None:
    client, post = client_as(Role.MARSHAL), Post.objects.order_by("pk")[0]
    assert client.post(page("there", manned, post.pk)).status_code == 302
    post.refresh_from_db()
    assert post.there_at is not None
    assert client.post(page("off", manned, post.pk)).status_code == 403


@time_machine.travel(build.NOW, tick=False)
def test_the_suggestion_is_shown_with_its_gaps_and_taken_with_an_undo(
    event: Event, client_as: SignIn
) -> None:
    client = client_as(Role.DIRECTOR)
    client.post(page("work_out", event))
    build_crew.helper(event, "Ravi Quist")
    shown = client.get(page("suggestion", event))
    content = shown.content.decode()
    assert "Ravi Quist" in content
    assert "no first aid certificate that is known to hold" in content
    pairs = [each["value"] for each in shown.context["placings"]]
    taken = client.post(
        page("suggestion", event), {"pair": pairs, "batch": str(shown.context["batch"])}, follow=True
    )
    assert Post.objects.count() == len(pairs) > 0
    assert "Take it back as a whole" in taken.content.decode()
    client.post(page("take_back", event), {"batch": str(shown.context["batch"])})
    assert Post.objects.count() == 0


def test_forms_keep_what_was_typed(event: Event, client_as: SignIn) -> None:
    client = client_as(Role.DESK)
    answer = client.post(page("people", event), {"name": "Ines", "email": "no address"})
    assert (answer.status_code, Helper.objects.count()) == (422, 0)
    assert 'value="no address"' in answer.content.decode()
    answer = client.post(page("new_shift", event), {"duty": "water", "people": "2", "place": "gate"})
    assert answer.status_code == 422
    assert "Without a round a shift needs a day and time." in answer.content.decode()


def test_a_helper_is_written_with_certificate_and_hours_and_leaves(event: Event, client_as: SignIn) -> None:
    client = client_as(Role.DESK)
    client.post(
        page("people", event), {"name": "Ines", "phone": "555 0199", "minor": "yes", "duties": ["water"]}
    )
    helper = Helper.objects.get()
    assert HelperContact.objects.get().minor is True
    client.post(page("certificate", event, helper.pk), {"kind": "first_aid", "expires_on": "2027-05-01"})
    assert Certificate.objects.get().get_kind_display() == "first aid"
    wrong = client.post(
        page("hours", event, helper.pk), {"from_2026-06-12": "10:00", "to_2026-06-12": "09:00"}
    )
    assert wrong.status_code == 422
    assert "write a later time" in wrong.content.decode()
    client.post(page("hours", event, helper.pk), {"from_2026-06-12": "09:00", "to_2026-06-12": "17:00"})
    assert FreeHours.objects.get().starts_at == datetime.fromisoformat("2026-06-12T09:00:00+00:00")
    client.post(page("certificate_off", event, helper.pk), {"kind": "first_aid"})
    assert not Certificate.objects.exists()
    client.post(page("gone", event, helper.pk))
    assert "is back" in client.get(page("people", event)).content.decode()
    client.post(page("gone", event, helper.pk), {"not": ""})
    helper.refresh_from_db()
    assert helper.left_at is None


def test_a_briefing_says_where_when_on_which_channel_and_what(manned: Event, client_as: SignIn) -> None:
    (sheet,) = pdf_pages.read(client_as(Role.DESK).get(page("briefings", manned)).content)
    for words in (
        "road at hole 7",
        "09:00–13:00",
        "Channel 4",
        "No earphones",
        "3 blasts",
        "You do not rule",
    ):
        assert words in sheet.text


def test_who_left_and_is_written_down_again_is_offered_to_come_back(event: Event, client_as: SignIn) -> None:
    entry = build.make_entry(event)
    helper = build_crew.helper(event, "Ines Halvorsen", entry=entry)
    leave(helper=helper, actor=build.ACTOR, now=build.NOW)
    director = client_as(Role.DIRECTOR)
    typed = {"name": "Ines H.", "entry": entry.pk}
    answer = director.post(page("people", event), typed)
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "Ines Halvorsen was on the list and has left" in text
    assert "Ines Halvorsen is back</button>" in text
    director.post(page("gone", event, helper.pk), {"not": ""})
    assert Helper.objects.get().left_at is None


def test_the_suggestion_says_hours_and_leaves_out_what_is_over(event: Event, client_as: SignIn) -> None:
    """The event's days are long gone, so nothing is left to fill."""
    build_crew.helper(event, "Ines Halvorsen")
    build_crew.shift(event, "weather", "tower")
    text = client_as(Role.DESK).get(page("suggestion", event)).content.decode()
    assert "30 minutes of rest after 5 hours, 10 hours a day" in text
    assert "tower" not in text
