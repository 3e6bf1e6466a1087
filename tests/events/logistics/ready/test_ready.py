"""The course made ready: acts sent once, undone, refused; photos; own work; the walk's address; the day page."""

import io
import json
from collections.abc import Callable
from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image

import build
import pdf_pages
from desk.ready_lines import ready_lines
from events.course.models import Hole
from events.log.models import Act
from events.log.services import Actor
from events.logistics.ready import services
from events.logistics.ready.links import BadToken, event_of, walk_path, walk_token
from events.logistics.ready.models import HolePhoto, OwnWork, WorkAct
from events.logistics.ready.queries import readiness_of
from events.logistics.ready.services import (
    MOST_ACTS,
    ReadyRefused,
    Said,
    add_own_work,
    drop_own_work,
    keep_photo,
    put_photo_away,
    say_work,
    withdraw_link,
)
from events.setup.models import Event, Role

DID: dict[str, Any] = {"actor": build.ACTOR, "now": build.NOW}
GPS = 0x8825


def first_hole(event: Event) -> Hole:
    return Hole.objects.select_related("event").get(pk=readiness_of(event).holes[0].hole.id)


def tell(event: Event, *said: Said, name: str = "Tester") -> list[str]:
    return [a.refused for a in say_work(event=event, said=said, actor=Actor(name=name), now=build.NOW)]


def tap(event: Event, task: str = "tee", *, done: bool = True, key: UUID | None = None) -> Said:
    return Said(key or uuid4(), first_hole(event).pk, task, done)


def jpeg(color: str = "green") -> bytes:
    image, out = Image.new("RGB", (40, 30), color), io.BytesIO()
    facts = Image.Exif()
    facts.get_ifd(GPS)[1] = "N"
    image.save(out, "JPEG", exif=facts)
    return out.getvalue()


def snap(event: Event, content: bytes | None = None, key: UUID | None = None) -> HolePhoto:
    held = jpeg() if content is None else content
    return keep_photo(
        hole=first_hole(event), key=key or uuid4(), file=io.BytesIO(held), size=len(held), **DID
    )


def test_who_did_it_and_when_stands_beside_the_work(event: Event) -> None:
    assert tell(event, tap(event), name="Oda") == [""]
    ready = readiness_of(event)
    work = next(work for work in ready.holes[0].work if work.task.key == "tee")
    assert work.done
    assert work.act is not None
    assert (work.act.by, work.act.at) == ("Oda", build.NOW)
    assert (ready.done, ready.asked) == (1, 18 * 3)


def test_the_newest_act_says_how_it_stands_and_nothing_is_wiped(event: Event) -> None:
    tell(event, tap(event), tap(event, done=False))
    assert readiness_of(event).done == 0
    assert [act.done for act in WorkAct.objects.all()] == [True, False]
    assert list(Act.objects.order_by("number").values_list("action", flat=True)) == [
        "ready.done",
        "ready.open",
    ]


def test_an_act_sent_twice_is_done_once(event: Event) -> None:
    act = tap(event)
    tell(event, act, act)
    tell(event, tap(event, done=False))
    tell(event, act)
    assert WorkAct.objects.count() == 2
    assert readiness_of(event).done == 0


def test_work_that_the_hole_does_not_ask_for_is_refused_and_the_rest_is_kept(event: Event) -> None:
    elsewhere = build.make_event("elsewhere")
    stray = Said(uuid4(), first_hole(elsewhere).pk, "tee", True)
    answers = tell(event, tap(event, "spotter"), stray, tap(event))
    assert [bool(refused) for refused in answers] == [True, True, False]
    assert WorkAct.objects.count() == 1


def test_too_much_at_once_and_after_the_event(event: Event) -> None:
    with pytest.raises(ReadyRefused, match=f"At most {MOST_ACTS}"):
        tell(event, *(tap(event) for _ in range(MOST_ACTS + 1)))
    event.over_at = build.NOW
    event.save()
    with pytest.raises(ReadyRefused, match="over"):
        tell(event, tap(event))
    with pytest.raises(ReadyRefused, match="over"):
        snap(event)


def test_a_photo_is_kept_once_small_and_without_its_place(event: Event) -> None:
    key = uuid4()
    assert snap(event, key=key).pk == snap(event, key=key).pk
    held = Image.open(io.BytesIO(bytes(HolePhoto.objects.get().image)))
    assert (held.format, held.size) == ("JPEG", (40, 30))
    assert not held.getexif()
    with pytest.raises(ReadyRefused, match="no picture"):
        snap(event, b"not a picture")


def test_a_hole_keeps_so_many_photos_and_one_put_away_makes_room(
    event: Event, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(services, "MOST_PHOTOS", 1)
    photo = snap(event)
    with pytest.raises(ReadyRefused, match="put one away"):
        snap(event)
    put_photo_away(photo=photo, away=True, **DID)
    assert readiness_of(event).holes[0].photos == ()
    snap(event)
    assert HolePhoto.objects.count() == 2


def test_own_work_on_one_hole_and_on_every_hole(event: Event) -> None:
    before = readiness_of(event).asked
    bin_ = add_own_work(event=event, hole=first_hole(event), words="Bin  emptied", **DID)
    litter = add_own_work(event=event, hole=None, words="Litter", **DID)
    assert readiness_of(event).asked == before + 1 + 18
    assert tell(event, tap(event, f"own-{bin_.pk}")) == [""]
    with pytest.raises(ReadyRefused, match="asked for already"):
        add_own_work(event=event, hole=None, words="litter", **DID)
    drop_own_work(work=litter, dropped=True, **DID)
    assert readiness_of(event).asked == before + 1
    drop_own_work(work=litter, dropped=False, **DID)
    assert readiness_of(event).asked == before + 19
    assert OwnWork.objects.get(pk=bin_.pk).words == "Bin emptied"


@pytest.mark.parametrize("count", [1, 3])
def test_the_holes_cost_the_same_for_one_and_three(
    event: Event, count: int, django_assert_num_queries: Any
) -> None:
    for number in range(count):
        tell(event, tap(event))
        snap(event)
        add_own_work(event=event, hole=None, words=f"Work {number}", **DID)
    with django_assert_num_queries(4):
        readiness_of(event)


def test_a_withdrawn_address_opens_nothing(event: Event, client: Client) -> None:
    old = walk_path(event)
    assert client.get(old).status_code == 200
    assert event_of(walk_token(event)) == event
    withdraw_link(event=event, **DID)
    assert client.get(old).status_code == 404
    assert client.get(walk_path(event)).status_code == 200
    with pytest.raises(BadToken):
        event_of(f"{event.pk}.1~forged")


def send(client: Client, event: Event, body: object) -> Any:
    address = reverse("walk:acts", args=[walk_token(event)])
    return client.post(address, json.dumps(body), content_type="application/json")


def test_a_phone_sends_its_acts_and_gets_the_holes_back(event: Event, client: Client) -> None:
    rows = [
        {
            "key": str(uuid4()),
            "hole": first_hole(event).pk,
            "task": task,
            "done": True,
            "said_at": "2026-06-12T06:59:00Z",
        }
        for task in ("tee", "spotter")
    ]
    answer = send(client, event, {"by": "Oda Brink", "acts": rows}).json()
    assert [bool(each["refused"]) for each in answer["answers"]] == [False, True]
    assert "Oda Brink (walk)" in answer["html"]
    assert WorkAct.objects.get().said_at == build.NOW - timedelta(minutes=1)


@pytest.mark.parametrize(
    "body",
    [
        {},
        [],
        {"acts": [{}]},
        {"acts": "x"},
        {"acts": [{"key": "x", "hole": 1, "task": "tee", "done": True}]},
        {"acts": [{"key": str(UUID(int=1)), "hole": "1", "task": "tee", "done": True}]},
        {"acts": [{"key": str(UUID(int=1)), "hole": 1, "task": "tee", "done": "yes"}]},
        {"acts": [{"key": str(UUID(int=1)), "hole": 10**30, "task": "tee", "done": True}]},
    ],
)
def test_what_is_no_list_of_acts_is_refused_by_a_sentence(event: Event, client: Client, body: object) -> None:
    answer = send(client, event, body)
    assert answer.status_code == 422
    assert "Load it again" in answer.json()["error"]
    assert not WorkAct.objects.exists()


def test_the_walk_works_without_scripts(event: Event, client: Client) -> None:
    path, hole = walk_path(event), first_hole(event).pk
    facts = {"key": str(uuid4()), "hole": hole, "task": "tee", "done": "1", "by": "Oda & Tarek"}
    answer = client.post(path, facts)
    assert answer.status_code == 302
    assert answer["Location"] == f"{path}?by=Oda+%26+Tarek&hole={hole}#hole-{hole}"
    page = client.get(answer["Location"]).content.decode()
    assert 'aria-pressed="true"' in page
    assert 'value="Oda &amp; Tarek"' in page
    photo = {"hole": hole, "photo": SimpleUploadedFile("hole.jpg", jpeg())}
    assert client.post(f"{path}photo/", photo).status_code == 302
    assert HolePhoto.objects.get().by == "somebody on the walk (walk)"
    refused = client.post(f"{path}photo/", {"hole": hole})
    assert refused.status_code == 422
    assert "Choose a picture first." in refused.content.decode()
    assert client.post(path, {"task": "tee", "done": "1"}).status_code == 422


def test_photos_are_for_staff_and_the_walk_shows_how_many(
    event: Event, client: Client, client_as: Callable[[Role], Client]
) -> None:
    """A picture may show people: whoever holds the address sends it and does not see others'."""
    photo = snap(event)
    image = reverse("ready:photo_image", args=[event.slug, photo.pk])
    assert client_as(Role.MARSHAL).get(image)["Content-Type"] == "image/jpeg"
    assert client_as(Role.VIEWER).get(image).status_code == 403
    assert client.get(image).status_code == 302
    page = client.get(walk_path(event)).content.decode()
    assert "1 kept" in page
    assert image not in page


def test_the_address_of_the_walk_is_for_those_who_may_write(
    event: Event, client_as: Callable[[Role], Client]
) -> None:
    overview = reverse("ready:overview", args=[event.slug])
    assert walk_token(event) in client_as(Role.MARSHAL).get(overview).content.decode()
    assert walk_token(event) not in client_as(Role.CARD_ROOM).get(overview).content.decode()
    assert client_as(Role.VIEWER).get(overview).status_code == 403


def test_the_desk_ticks_undoes_and_plans(event: Event, client_as: Callable[[Role], Client]) -> None:
    client, hole = client_as(Role.DIRECTOR), first_hole(event)
    say = reverse("ready:say", args=[event.slug])
    for done in ("1", "0"):
        assert client.post(say, {"hole": hole.pk, "task": "tee", "done": done}).status_code == 302
    assert [act.done for act in WorkAct.objects.all()] == [True, False]
    own = reverse("ready:own", args=[event.slug])
    assert client.post(own, {"words": "", "hole": ""}).status_code == 422
    assert client.post(own, {"words": "Bin emptied", "hole": str(hole.pk)}).status_code == 302
    again = client.post(own, {"words": "Bin emptied", "hole": str(hole.pk)})
    assert again.status_code == 422
    assert "asked for already" in again.content.decode()


def test_the_walk_on_paper_has_a_square_for_each_piece_of_work(
    event: Event, client_as: Callable[[Role], Client]
) -> None:
    tell(event, tap(event))
    content = client_as(Role.MARSHAL).get(reverse("ready:sheet", args=[event.slug])).content
    text = " ".join(sheet.text for sheet in pdf_pages.read(content))
    assert text.count("Chains and basket sound") == 18
    assert "53 open when printed" in text
    for sheet in pdf_pages.read(content):
        assert pdf_pages.collisions(sheet) == []
        assert pdf_pages.strays(sheet) == []


def test_the_day_page_says_what_is_open_and_stops_when_the_course_is_ready(event: Event) -> None:
    rounds = list(event.rounds.select_related("event"))
    start = rounds[0].first_start_at
    assert list(ready_lines(event, rounds, start - timedelta(days=4))) == []
    (line,) = ready_lines(event, rounds, start)
    assert (line.text, line.needs) == ("Course: nobody has walked it yet, 18 holes to make ready", False)
    tell(event, tap(event))
    (line,) = ready_lines(event, rounds, start)
    assert (line.text, line.needs) == ("Course: 53 pieces of work are open on 18 holes", True)
    for state in readiness_of(event).holes:
        tell(event, *(Said(uuid4(), state.hole.id, work.task.key, True) for work in state.open))
    assert list(ready_lines(event, rounds, start)) == []


def test_a_photo_of_a_hole_that_is_gone_is_answered_by_a_sentence_so_that_a_phone_sends_it_no_more(
    client: Client, event: Event
) -> None:
    for hole in ("999999", "", "x"):
        sent = {"hole": hole, "photo": SimpleUploadedFile("hole.jpg", jpeg())}
        answer = client.post(f"{walk_path(event)}photo/", sent, headers={"accept": "application/json"})
        assert answer.json()["refused"].startswith(
            "This photo was not taken: the hole is not there any more."
        )
    assert not HolePhoto.objects.exists()
