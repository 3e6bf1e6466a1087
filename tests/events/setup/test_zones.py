from django.test import Client

import build
from events.setup.zones import local_zone


def test_the_variable_names_the_zone(monkeypatch):
    monkeypatch.setenv("TZ", ":Europe/Oslo")
    assert local_zone() == "Europe/Oslo"


def test_the_page_for_a_new_event_starts_with_the_zone_of_the_machine(monkeypatch, db):
    monkeypatch.setenv("TZ", "Europe/Oslo")
    client = Client()
    client.force_login(build.make_user(None, None, "director"))
    assert 'value="Europe/Oslo"' in client.get("/events/new/").content.decode()
