"""What no page sends, typed into addresses and forms by hand: answered, and never with a failure."""

import pytest
import time_machine
from django.urls import reverse

import build
from build import NOW
from events.entries.models import Entry, Status
from events.setup.models import Event, Role

pytestmark = pytest.mark.django_db
HUGE = ("9" * 20, "9" * 5000, "²", "-1", "٣")


@pytest.fixture(autouse=True)
def _at_seven():
    with time_machine.travel(NOW, tick=False):
        yield


def url(event, name, *args) -> str:
    return reverse(f"entries:{name}", args=[event.slug, *args])


@pytest.mark.parametrize("number", HUGE)
@pytest.mark.parametrize("htmx", [{}, {"HX-Request": "true"}])
def test_a_line_asked_for_nobody_is_not_there(event, client_as, number, htmx):
    asked = {"ask": "guardian", "of": number, "keep": number, "q": number}
    answer = client_as(Role.DESK).get(url(event, "desk"), asked, headers=htmx)
    assert (answer.status_code, 'name="guardian"' in answer.content.decode()) == (200, False)


@pytest.mark.parametrize("number", HUGE)
def test_an_option_that_is_not_offered_pays_nothing(event, client_as, number):
    entry = build.make_entry(event, status=Status.WITHDRAWN, left_at=NOW)
    answer = client_as(Role.DESK).post(url(event, "pay_back", entry.pk), {"option": number}, follow=True)
    assert ("Choose what is paid back." in answer.content.decode(), entry.payments.count()) == (True, 0)


@pytest.mark.parametrize("number", HUGE)
def test_an_addon_that_is_not_there_is_refused(event, client_as, number):
    entry = build.make_entry(event)
    person = entry.person
    sent = {
        "version": entry.version, "given_name": person.given_name, "family_name": person.family_name,
        "playing_class": "am", "membership": "current", "division": entry.division_id, "addons": [number],
    }  # fmt: skip
    answer = client_as(Role.DESK).post(url(event, "change", entry.pk), sent)
    assert (answer.status_code, Entry.objects.get().version) == (422, entry.version)


@pytest.mark.parametrize("number", ["9" * 4, "9" * 20, "9" * 5000, "²", "-1"])
@pytest.mark.parametrize("field", ["cap", "cap_am", "division"])
def test_a_cap_is_at_most_what_a_division_of_the_plan_may_have(event, client_as, number, field):
    name = f"division_{event.divisions.first().pk}" if field == "division" else field
    answer = client_as(Role.DIRECTOR).post(url(event, "caps"), {"version": event.version, name: number})
    fits = number == "9999"
    assert answer.status_code == (302 if fits else 422)
    held = Event.objects.get()
    shown = {"cap": held.cap, "cap_am": held.cap_am, "division": held.divisions.first().cap}
    assert shown[field] == (9999 if fits else None)


@pytest.mark.parametrize("number", HUGE)
def test_other_numbers_of_forms_are_refused(event, client_as, number):
    """An amount, what was owed, a division, an act to undo, somebody to promote or to mark."""
    entry = build.make_entry(event, paid_elsewhere_cents=0)
    client = client_as(Role.DIRECTOR)
    sent = {"owed": number, "amount": number, "method": "cash", "division": number, "number": number,
            "entry": number, "version": number, "what": "did_not_play", "family_name": "Quist"}  # fmt: skip
    pages = [("act", entry.pk, "cash"), ("act", entry.pk, "payment"), ("undo",), ("promote",), ("missing",),
             ("new",), ("change", entry.pk)]  # fmt: skip
    for name, *args in pages:
        assert client.post(url(event, name, *args), sent).status_code in {302, 404, 422}, name
    assert (Entry.objects.get().status, entry.payments.count()) == (Status.CONFIRMED, 0)


@pytest.mark.parametrize("received", ["0001-01-01T00:00", "9999-12-31T23:59", "2026-13-01T00:00", "²"])
def test_a_withdrawal_at_the_ends_of_the_calendar_is_refused(event, client_as, received):
    entry = build.make_entry(event)
    client = client_as(Role.DESK)
    assert client.get(url(event, "withdraw", entry.pk), {"received_at": received}).status_code == 422
    sent = {"received_at": received, "shown_for": received, "option": "9" * 5000, "method": "cash"}
    assert client.post(url(event, "withdraw", entry.pk), sent).status_code == 422
    assert Entry.objects.get().status == Status.CONFIRMED
