"""Incidents: written once, added to, held against the log, and read by nobody else."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

import build
import pdf_pages
from desk.archive.opening import open_archive
from desk.archive.packing import pack_event
from events.log.models import Act
from events.log.services import Actor
from events.logistics.incidents.models import Addition, AppendOnly, Incident
from events.logistics.incidents.queries import gone_numbers, incidents_of, told
from events.logistics.incidents.services import IncidentRefused, add_to, write_incident
from events.setup.models import Event, Role

SignIn = Callable[[Role], Client]
SECRETS = ("Ivo Quist", "turned an ankle", "Runa saw it", "wet steps", "his mother was called")
FACTS = {
    "kind": "injury",
    "happened_at": build.NOW - timedelta(minutes=5),
    "place": "wet steps at hole 9",
    "round_number": 1,
    "who": "Ivo Quist",
    "what": "He slipped and turned an ankle.",
    "witnesses": "Runa saw it",
    "done": "First aid came.",
    "done_by": "the marshal",
}


def write(event: Event, actor: Actor = build.ACTOR, **facts: Any) -> Incident:
    return write_incident(event=event, facts={**FACTS, **facts}, actor=actor, now=build.NOW)


def add(incident: Incident, text: str) -> Addition:
    return add_to(incident=incident, text=text, actor=build.ACTOR, now=build.NOW)


def page(name: str, event: Event, *args: object) -> str:
    return reverse(f"incidents:{name}", args=[event.slug, *args])


def as_written(event: Event) -> list[bool]:
    return [each.as_written for each in told(event, list(incidents_of(event)))]


def test_incidents_are_numbered_and_neither_changed_nor_deleted(event: Event) -> None:
    first, second = write(event), write(event, kind="ruling")
    assert (first.number, second.number) == (1, 2)
    addition = add(first, "his mother was called")
    first.what = "Nothing."
    for act in (first.save, first.delete, addition.save, addition.delete):
        with pytest.raises(AppendOnly, match="add what is known now"):
            act()


def test_the_log_holds_a_digest_and_no_word_of_it(event: Event) -> None:
    add(write(event), "his mother was called")
    acts = list(Act.objects.order_by("number"))
    assert [(act.action, act.subject) for act in acts] == [
        ("incident.written", "incident 1"),
        ("incident.added", "incident 1"),
    ]
    assert [list(act.detail) for act in acts] == [["sha256"], ["sha256"]]


def test_what_was_changed_behind_the_program_shows(event: Event) -> None:
    add(write(event), "his mother was called")
    assert as_written(event) == [True]
    Addition.objects.update(text="nobody was called")
    assert as_written(event) == [False]
    Addition.objects.update(text="his mother was called")
    Incident.objects.update(place="dry steps")
    assert as_written(event) == [False]


def test_an_addition_that_was_taken_away_shows(event: Event) -> None:
    incident = write(event)
    for text in ("his mother was called", "he went home", "he went home"):
        add(incident, text)
    assert as_written(event) == [True]
    Addition.objects.filter(pk=incident.additions.latest("pk").pk).delete()  # said twice, and once is left
    assert as_written(event) == [False]


def test_an_incident_that_was_taken_away_shows(event: Event, client_as: SignIn) -> None:
    for _ in range(4):
        write(event)
    assert gone_numbers(event, list(incidents_of(event))) == []
    Incident.objects.filter(number__in=[2, 4]).delete()
    assert gone_numbers(event, list(incidents_of(event))) == [2, 4]
    client = client_as(Role.DESK)
    shown = client.get(page("overview", event)).content.decode()
    assert [f"Incident {number} is gone" in shown for number in (1, 2, 3, 4)] == [False, True, False, True]
    printed = " ".join(sheet.text for sheet in pdf_pages.read(client.get(page("all_paper", event)).content))
    assert "taken away behind the program: 2, 4." in printed
    marshal = client_as(Role.MARSHAL).get(page("overview", event)).content.decode()
    assert "is gone" not in marshal


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({"what": " "}, "Say what happened and where."),
        ({"place": ""}, "Say what happened and where."),
        ({"kind": "gossip"}, "Choose what kind it is."),
        ({"happened_at": build.NOW + timedelta(minutes=1)}, "has not come yet"),
    ],
)
def test_what_cannot_be_is_refused_with_a_sentence(event: Event, facts: dict[str, Any], words: str) -> None:
    with pytest.raises(IncidentRefused, match=words):
        write(event, **facts)
    assert not Incident.objects.exists()


def test_an_empty_addition_is_refused(event: Event) -> None:
    with pytest.raises(IncidentRefused, match="Write what is added"):
        add(write(event), "  ")


def test_a_marshal_writes_one_and_reads_only_the_own(event: Event, client_as: SignIn) -> None:
    others = write(event)
    client = client_as(Role.MARSHAL)
    typed = {
        "kind": "ruling",
        "happened_at": "2026-06-12T06:50",
        "place": "Upper 4",
        "what": "Asked about the pond.",
    }
    assert client.post(page("overview", event), typed).status_code == 302
    own = Incident.objects.get(number=2)
    listed = client.get(page("overview", event)).content.decode()
    assert "Upper 4" in listed
    assert [secret for secret in SECRETS if secret in listed] == []
    assert client.get(page("incident", event, own.pk)).status_code == 200
    assert client.get(page("incident", event, others.pk)).status_code == 404
    assert client.post(page("incident", event, others.pk), {"text": "me too"}).status_code == 404
    for name, *args in (("all_paper",), ("paper", own.pk)):
        assert client.get(page(name, event, *args)).status_code == 403


@pytest.mark.parametrize("role", [Role.VIEWER, Role.CARD_ROOM, Role.EQUIPMENT])
def test_nobody_else_reads_a_word_of_it(event: Event, client_as: SignIn, role: Role) -> None:
    incident = write(event)
    add(incident, "his mother was called")
    client = client_as(role)
    for name, *args in (("overview",), ("incident", incident.pk), ("all_paper",), ("paper", incident.pk)):
        assert client.get(page(name, event, *args)).status_code == 403
    for address in (
        reverse("log", args=[event.slug]),
        reverse("day", args=[event.slug]),
        f"/board/{event.slug}/",
    ):
        answer = client.get(address)
        assert answer.status_code == 200
        assert [secret for secret in SECRETS if secret in answer.content.decode()] == []


def test_the_desk_reads_adds_and_prints(event: Event, client_as: SignIn) -> None:
    incident = write(event)
    client = client_as(Role.DESK)
    empty = client.post(page("incident", event, incident.pk), {"text": " "})
    assert (empty.status_code, Addition.objects.count()) == (422, 0)
    client.post(page("incident", event, incident.pk), {"text": "his mother was called"})
    shown = client.get(page("incident", event, incident.pk)).content.decode()
    assert [secret for secret in SECRETS if secret not in shown] == []
    (sheet,) = pdf_pages.read(client.get(page("paper", event, incident.pk)).content)
    assert [secret for secret in SECRETS if secret not in sheet.text] == []
    assert "Personal data: for the director and the desk" in sheet.text


def test_the_form_keeps_what_was_typed(event: Event, client_as: SignIn) -> None:
    client = client_as(Role.DIRECTOR)
    answer = client.post(
        page("overview", event), {"kind": "damage", "place": "gate", "what": "", "who": "a car"}
    )
    assert answer.status_code == 422
    assert 'value="a car"' in answer.content.decode()
    assert "there is nothing to print" in client.get(page("all_paper", event), follow=True).content.decode()


def test_the_archive_carries_them_as_they_were_written(event: Event) -> None:
    add(write(event), "his mother was called")
    content = pack_event(event=event, actor=build.ACTOR, now=build.NOW)
    opened = open_archive(content=content, as_slug="elsewhere", actor=build.ACTOR, now=build.NOW)
    there = getattr(opened, "event", opened)
    found = Incident.objects.get(event=there)
    assert (found.who, [row.text for row in found.additions.all()]) == (
        "Ivo Quist",
        ["his mother was called"],
    )
    assert as_written(there) == [True]


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_takes_the_same_queries(
    event: Event, client_as: SignIn, django_assert_num_queries, count
) -> None:
    for _ in range(count):
        add(write(event), "his mother was called")
    client = client_as(Role.DESK)
    # session, account, event, role; rounds; incidents, additions; their acts; holes; the plan
    with django_assert_num_queries(10):
        client.get(page("overview", event))
