"""What bags are told by the floors above them: which rounds are played to their end."""

from datetime import timedelta

import time_machine
from django.test import Client

from build import NOW, make_entry
from build_cards import line, make_field, publish, save
from desk.above_the_bags import ABOVE_BAGS, all_in, weather
from events.bags.links import bag_path
from events.bags.pages import current_round
from events.safety.models import Reading
from events.setup.models import Event


def test_a_round_is_played_once_the_last_of_its_cards_is_in(event: Event) -> None:
    round_ = event.rounds.get(number=1)
    field = make_field(event, 4)
    assert all_in(event) == frozenset()
    publish(round_, [field[:2], field[2:]])
    save(round_, 1, [line(entry, [3] * 18) for entry in field[:2]])
    assert all_in(event) == frozenset()
    save(round_, 2, [line(entry, [3] * 18) for entry in field[2:]])
    assert all_in(event) == {1}


def test_a_page_of_bags_opens_at_the_first_round_that_is_not_played(event: Event) -> None:
    def shown(asked: str | None) -> int | None:
        found = current_round(event, asked, ABOVE_BAGS)
        return found.number if found else None

    round_ = event.rounds.get(number=1)
    field = make_field(event, 2)
    assert (shown(None), shown("2"), shown("9")) == (1, 2, 1)
    publish(round_, [field])
    save(round_, 1, [line(entry, [3] * 18) for entry in field])
    assert (shown(None), shown("1")) == (2, 1)


def test_the_advice_starts_from_todays_readings(event: Event, client: Client) -> None:
    """The figures of the weather desk in the event's units, with their time; what is typed comes before them."""
    entry = make_entry(event)
    facts = {"source": "mast", "at": NOW, "by": "T", "event": event}
    Reading.objects.create(quantity="wind", value=12, typed="12 m/s", read_at=NOW, **facts)
    Reading.objects.create(
        quantity="temperature", value=5, typed="5 C", read_at=NOW - timedelta(days=1), **facts
    )
    assert {name: each.value for name, each in weather(event, NOW).items()} == {"wind": 12.0}
    with time_machine.travel(NOW, tick=False):
        page = client.get(f"{bag_path(entry)}advice/?round=1").content.decode()
        typed = client.get(f"{bag_path(entry)}advice/?round=1&wind=3&temperature=").content.decode()
    assert 'name="wind" value="12.0"' in page
    assert "From the weather desk: wind read 07:00." in page
    assert ('name="wind" value="3"' in typed, "From the weather desk" in typed) == (True, False)
