"""What a returned card makes the rules say; nothing is booked by it."""

from datetime import datetime, timedelta
from uuid import UUID, uuid4

import pytest

import build
from build import ACTOR, NOW
from build_cards import line, make_field, publish, save
from events.entries.models import Entry
from events.setup.models import Event, Round
from events.setup.queries import rulebook_for
from scoring.cards.deciding import decide_cells
from scoring.cards.live import Saying, enter_holes
from scoring.cards.models import Card, CardLine
from scoring.cards.pointers import pointers
from scoring.cards.queries import cards_of, view_of
from scoring.cards.services import mark_finished, mark_returned
from scoring.cards.signing import confirm, confirmations_of
from scoring.cards.verifying import verify_card

pytestmark = pytest.mark.django_db


def said(event: Event) -> tuple[str, ...]:
    round_ = event.rounds.get(number=1)
    (state,) = cards_of(round_)
    yes = confirmations_of(round_, [player.entry_id for player in state.players])
    return pointers(state, rulebook_for(event), yes, typed=view_of(round_, state).typed)


def phone_says(round_: Round, entries: list[Entry], throws: int, at: datetime) -> None:
    sayings = [
        Saying(uuid4(), place * 18 + hole, entry.pk, str(hole), throws)
        for place, entry in enumerate(entries)
        for hole in range(1, 19)
    ]
    enter_holes(
        round=round_, group_number=1, device_key=UUID(int=1), device_name="Ines’s phone", sayings=sayings,
        actor=ACTOR, now=at,
    )  # fmt: skip


def yes(round_: Round, entry: Entry, total: int, at: datetime, source: str = "phone") -> None:
    confirm(
        round=round_, group_number=1, entry_id=entry.pk, source=source, total=total, key=uuid4(),
        actor=ACTOR, now=at,
    )  # fmt: skip


@pytest.fixture
def event(db: None) -> Event:
    event = build.make_event(rounds=1)
    publish(event.rounds.get(number=1), [make_field(event, 3)])
    return event


def test_a_card_that_is_out_says_nothing(event):
    assert said(event) == ()


def test_wrong_and_missing_totals_are_pointed_at_with_their_rule(event):
    first, second, third = event.entries.order_by("pk")
    pars = [hole.par for hole in event.layouts.get().layout_holes.order_by("position")]
    lines = [
        line(first, pars, written_total=sum(pars)),
        line(second, pars, written_total=sum(pars) + 1),
        line(third, pars, written_total=None),
    ]
    save(event.rounds.get(number=1), 1, lines)
    found = said(event)
    assert [sentence.split(";")[0] for sentence in found] == [
        f"{second.person.name}: the total is wrong",
        f"{third.person.name}: the total is missing",
    ]
    assert all("+2, once." in sentence and "808.G.2" in sentence for sentence in found)
    assert list(CardLine.objects.values_list("additional", flat=True)) == [0, 0, 0]


def test_a_total_is_wrong_only_where_it_fits_neither_without_nor_with_what_the_table_added(event):
    late = {"additional": 2, "additional_reason": "late to the start"}
    totals = zip(event.entries.order_by("pk"), (54, 56, 55), strict=True)
    save(event.rounds.get(number=1), 1, [line(entry, written_total=own, **late) for entry, own in totals])

    (sentence,) = said(event)
    third = event.entries.order_by("pk")[2]
    assert sentence.startswith(f"{third.person.name}: the total is wrong;")


def test_a_late_card_is_pointed_at(event):
    round_ = event.rounds.get(number=1)
    mark_finished(round=round_, group_number=1, at=NOW, actor=ACTOR, now=NOW)
    late = NOW + timedelta(minutes=31)
    mark_returned(round=round_, group_number=1, at=late, actor=ACTOR, now=late)
    assert said(event)[0].startswith("The card came late: +2 for whoever handed it in late.")


def test_a_card_that_was_only_typed_is_in_and_nobody_knows_since_when(event):
    """Typed 45 minutes after the last putt, without a word of when it came in: no hint of lateness."""
    round_, late = event.rounds.get(number=1), NOW + timedelta(minutes=45)
    mark_finished(round=round_, group_number=1, at=NOW, actor=ACTOR, now=NOW)
    save(round_, 1, [line(entry, written_total=54) for entry in event.entries.all()], now=late)

    (state,) = cards_of(round_)
    assert (state.returned_at, state.came_in_at, state.done, said(event)) == (late, None, True, ())

    mark_returned(round=round_, group_number=1, at=late, actor=ACTOR, now=late)
    assert said(event)[0].startswith("The card came late")
    mark_returned(round=round_, group_number=1, at=NOW, actor=ACTOR, now=late)
    assert said(event) == ()


def test_the_last_confirmation_on_a_phone_is_the_return_and_its_totals_are_the_own_ones(event):
    """All have said yes within two minutes, the desk verifies 50 minutes later: nothing is late, nothing missing."""
    round_, entries = event.rounds.get(number=1), list(event.entries.order_by("pk"))
    phone_says(round_, entries, 3, NOW)
    for minutes, entry in enumerate(entries):
        assert Card.objects.get().returned_at is None
        yes(round_, entry, 54, NOW + timedelta(minutes=minutes))
    (state,) = cards_of(round_)
    assert (state.came_in_at, state.done) == (NOW + timedelta(minutes=2), True)

    verify_card(round=round_, group_number=1, why="t", actor=ACTOR, now=NOW + timedelta(minutes=50))

    (state,) = cards_of(round_)
    assert (state.came_in_at, said(event)) == (NOW + timedelta(minutes=2), ())


def test_a_late_confirmation_says_that_a_phone_may_have_been_out_of_reach(event):
    round_, entries = event.rounds.get(number=1), list(event.entries.order_by("pk"))
    phone_says(round_, entries, 3, NOW)
    for entry in entries:
        yes(round_, entry, 54, NOW + timedelta(minutes=31))

    (sentence,) = said(event)
    assert sentence.startswith("The card came late: +2")
    assert sentence.endswith("one without a connection sends later.")


def test_figures_put_right_after_the_players_yes_were_wrong_on_the_own_card(event):
    """The paper card says 4 where the player's own phone says 3 and was confirmed: decided for the paper."""
    round_, entries = event.rounds.get(number=1), list(event.entries.order_by("pk"))
    phone_says(round_, entries, 3, NOW)
    for entry in entries:
        yes(round_, entry, 54, NOW)
    save(round_, 1, [line(entries[0], [4, *[3] * 17]), line(entries[1]), line(entries[2], written_total=54)])
    assert said(event) == ()  # what is right is not known yet

    decide_cells(
        round=round_, group_number=1, chosen={(entries[0].pk, "1"): 4}, key=uuid4(), reason="asked",
        actor=ACTOR, now=NOW,
    )  # fmt: skip

    (sentence,) = said(event)
    assert sentence.startswith(f"{entries[0].person.name}: 54 was confirmed, and 55 is right;")
    assert "+2, once" in sentence


def test_a_signed_paper_card_without_a_total_misses_none_and_who_was_away_has_no_card(event):
    round_, entries = event.rounds.get(number=1), list(event.entries.order_by("pk"))
    pars = [hole.par for hole in event.layouts.get().layout_holes.order_by("position")]
    save(round_, 1, [line(entries[0]), line(entries[1], [par + 4 for par in pars]), line(entries[2])])
    yes(round_, entries[0], 54, NOW, source="paper")

    (sentence,) = said(event)
    assert sentence.startswith(f"{entries[2].person.name}: the total is missing")
