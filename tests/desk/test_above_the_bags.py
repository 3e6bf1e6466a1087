"""What bags are told by the floors above them: which rounds are played to their end."""

from build_cards import line, make_field, publish, save
from desk.above_the_bags import ABOVE_BAGS, all_in
from events.bags.pages import current_round
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
