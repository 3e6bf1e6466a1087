"""Which list an event goes by, which row a piece is, and the director's word on what is on no list."""

from datetime import date

import pytest

import build
import build_bags
from events.bags.lists import (
    LONGEST_REASON,
    ListChoiceRefused,
    choose_list,
    decide_model,
    decisions_of,
    list_in_use,
    listed_for,
    lists_for,
    names_for_typing,
    not_listed,
)
from events.bags.models import ListInUse, ModelDecision
from events.log.models import Act
from events.setup.models import Event
from players.approved import import_list
from players.models import ApprovedList, Disc

pytestmark = pytest.mark.django_db
BY = {"actor": build.ACTOR, "now": build.NOW}


def decide(event: Event, model: str, *, maker: str = "", allowed: bool = True, reason: str = "seen"):
    return decide_model(event=event, maker=maker, model=model, allowed=allowed, reason=reason, **BY)


def invented(text: str = build_bags.LIST, as_of: date = date(2026, 6, 2)) -> ApprovedList:
    return import_list(content=text.encode(), file_name="l.csv", as_of=as_of, invented=True, **BY)


def test_without_a_choice_the_newest_list_counts_and_a_choice_stays(event):
    assert list_in_use(event) is None
    older = build_bags.make_list(as_of=date(2026, 1, 1))
    newer = build_bags.make_list(as_of=date(2026, 5, 1))
    assert list_in_use(event) == newer
    choose_list(event=event, approved=older, **BY)
    build_bags.make_list(as_of=date(2026, 6, 1))
    assert list_in_use(event) == older
    act = Act.objects.get(chain_id=event.slug)
    assert (act.action, act.subject) == ("list.chosen", "list of 1 January 2026")


def test_an_invented_list_is_for_invented_events(event):
    made, real = invented(), build_bags.make_list(as_of=date(2026, 1, 1))
    assert list(lists_for(event)) == [real]
    assert list_in_use(event) == real
    with pytest.raises(ListChoiceRefused):
        choose_list(event=event, approved=made, **BY)
    event.is_demo = True
    assert list(lists_for(event)) == [made, real]


def test_nothing_is_chosen_or_decided_when_the_event_is_over(event):
    held = build_bags.make_list()
    Event.objects.update(over_at=build.NOW)
    with pytest.raises(ListChoiceRefused):
        choose_list(event=event, approved=held, **BY)
    with pytest.raises(ListChoiceRefused):
        decide(event, "Own mould")
    assert (ListInUse.objects.count(), ModelDecision.objects.count()) == (0, 0)


def row_of(event: Event, held: ApprovedList, maker: str, model: str) -> str | None:
    person = build.make_person()
    disc = Disc.objects.create(person=person, number=1, maker=maker, model=model)
    found = listed_for(held, [disc])
    return str(found[disc.pk]) if disc.pk in found else None


@pytest.mark.parametrize(
    ("maker", "model", "row"),
    [
        ("Ostwall", "Plinthor", "Ostwall Plinthor"),
        ("", "ostwall  PLINTHOR", "Ostwall Plinthor"),
        ("", "plinthor", "Ostwall Plinthor"),
        ("", "Ornbue", "Fjøsdal Ørnbue"),
        ("Fjosdal", "ornbue", "Fjøsdal Ørnbue"),
        ("Fjøsdal", "Plinthor", None),
        ("", "linthor", None),
        ("", "Twice", None),
        ("Ostwall", "Twice", "Ostwall Twice"),
    ],
)
def test_a_piece_finds_its_row_by_maker_and_model_or_by_a_model_that_one_maker_has(event, maker, model, row):
    held = build_bags.make_list(build_bags.LIST + "Ostwall,Twice,176,21.2\nFjøsdal,Twice,176,21.2\n")
    assert row_of(event, held, maker, model) == row


def test_hundreds_of_names_are_looked_up_at_once(event, django_assert_num_queries):
    rows = "".join(f"Ostwall,Mod{n},176.0,21.2\n" for n in range(1_500))
    held = build_bags.make_list(build_bags.LIST + rows)
    person = build.make_person()
    Disc.objects.bulk_create(
        Disc(person=person, number=n + 1, model=f"Mod{n}", model_key=f"mod{n}") for n in range(1_500)
    )
    discs = list(Disc.objects.all())
    with django_assert_num_queries(1):
        assert len(listed_for(held, discs)) == 1_500


def test_names_for_typing_are_one_query(event, django_assert_num_queries):
    held = build_bags.make_list()
    with django_assert_num_queries(1):
        assert names_for_typing(held) == [
            "Fjøsdal Blankel",
            "Fjøsdal Ørnbue",
            "Fjøsdal Slipvek",
            "Ostwall Gantrel",
            "Ostwall Plinthor",
        ]
    assert names_for_typing(None) == []


@pytest.mark.parametrize("entrants", [1, 3])
def test_what_is_on_no_list_is_gathered_by_model_in_five_queries(event, entrants, django_assert_num_queries):
    build_bags.make_list()
    for _ in range(entrants):
        entry = build.make_entry(event)
        for model in ("Own mould", "own  MOULD", "Plinthor", "Abel"):
            build_bags.make_disc(entry, model)
    decide(event, "Own mould", allowed=False, reason="home made")
    with django_assert_num_queries(5):
        found = not_listed(event)
    assert [
        (disc.model, count, decision.reason if decision else None) for disc, count, decision in found
    ] == [
        ("Abel", entrants, None),
        ("Own mould", 2 * entrants, "home made"),
    ]


def test_pieces_of_others_and_pieces_put_away_do_not_count(event):
    build_bags.make_list()
    elsewhere = build.make_entry(build.make_event("elsewhere"))
    build_bags.make_disc(elsewhere, "Abel")
    gone = build_bags.make_disc(build.make_entry(event), "Own mould", round=None)
    Disc.objects.filter(pk=gone.pk).update(put_away_at=build.NOW)
    assert not_listed(event) == []


def test_the_last_word_counts_and_the_first_stays(event):
    held = build_bags.make_list()
    decide(event, "Own mould", allowed=False, reason="home made")
    decide(event, "own mould", allowed=True, reason="  shown a\tletter ")
    word = decisions_of(event)["own mould"]
    assert (word.allowed, word.reason, word.list) == (True, "shown a letter", held)
    assert ModelDecision.objects.count() == 2
    assert [
        (act.action, act.reason) for act in Act.objects.filter(action="model.decided").order_by("number")
    ] == [
        ("model.decided", "home made"),
        ("model.decided", "shown a letter"),
    ]


@pytest.mark.parametrize("reason", ["", "  \u200b ", "x" * (LONGEST_REASON + 1)])
def test_a_word_needs_a_reason_of_some_length(event, reason):
    with pytest.raises(ListChoiceRefused):
        decide(event, "Own mould", reason=reason)
    assert not ModelDecision.objects.exists()
