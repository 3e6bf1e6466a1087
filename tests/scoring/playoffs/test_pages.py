"""The pages of cuts, ties and playoffs."""

from typing import Any

import pytest
from django.urls import reverse

import build
import build_cards
from events.entries.models import Entry
from events.setup.models import Event, Role
from scoring.playoffs.models import Playoff
from scoring.playoffs.queries import final_places
from scoring.playoffs.services import Agreed, begin
from scoring.standings.cut_setting import set_cut
from scoring.standings.models import Cut, Placing

FACTS: dict[str, Any] = {"actor": build.ACTOR, "now": build.NOW}


def address(event: Event, name: str = "overview", *args: Any) -> str:
    return reverse(f"playoffs:{name}", args=[event.slug, *args])


def page(client: Any, url: str, status: int = 200) -> str:
    answer = client.get(url)
    assert answer.status_code == status
    return str(answer.content.decode())


@pytest.fixture
def director(client_as: Any) -> Any:
    return client_as(Role.DIRECTOR)


def cut_of(event: Event, **facts: Any) -> Cut:
    facts = {"after_round": 1, "players": 2, "percent": None, "ties": "playoff", "reason": "late"} | facts
    return set_cut(division=event.divisions.get(code="MA1"), **facts, **FACTS)


def test_before_anybody_is_entered_a_cut_can_be_set_without_a_reason(event: Event, director: Any) -> None:
    assert "Nobody is entered yet." in page(director, address(event))
    said = director.post(
        address(event),
        {"division": "MA1", "after_round": 1, "players": 18, "percent": "", "ties": "playoff"},
        follow=True,
    )
    assert "MA1: 18 players play on after round 1." in said.content.decode()
    assert Cut.objects.get().reason == ""


@pytest.mark.usefixtures("at_cut")
def test_a_late_cut_needs_a_reason_and_what_was_typed_stays(event: Event, director: Any) -> None:
    typed = {"division": "MA1", "after_round": 1, "players": "", "percent": 45, "ties": "all", "reason": ""}
    refused = director.post(address(event), typed)
    assert refused.status_code == 422
    assert "Registration is open: a cut should have been made known before" in refused.content.decode()
    assert 'value="45"' in refused.content.decode()
    director.post(address(event), typed | {"reason": "storm shortened the event"})
    assert "Set late: storm shortened the event" in page(director, address(event))


def test_two_sizes_or_none_are_refused(event: Event, director: Any) -> None:
    for players, percent in (("", ""), (3, 40)):
        typed = {"division": "MA1", "after_round": 1, "players": players, "percent": percent, "ties": "all"}
        refused = director.post(address(event), typed)
        assert "Give a number of players or a percentage, one of the two." in refused.content.decode()


@pytest.mark.usefixtures("at_cut")
def test_a_cut_that_is_tied_leads_to_its_playoff_and_the_list_is_posted(event: Event, director: Any) -> None:
    cut = cut_of(event)
    shown = page(director, address(event))
    assert "Tied for 1 place in the cut after round 1:</b> Hale Oyelaran and Dov Pennock." in shown
    said = director.post(address(event, "cut", cut.pk), {"act": "post"}, follow=True).content.decode()
    assert "2 players are tied for 1 of the places: play it off first." in said
    director.post(address(event, "begin", "MA1", 1), {"aggregate": 0, "holes": "", "seed": "5"})
    playoff = Playoff.objects.get()
    first_through = (
        Entry.objects.exclude(pk__in=playoff.players).order_by("pk").values_list("pk", flat=True)[0]
    )
    throws = {f"throws-{key}": 3 + index for index, key in enumerate(playoff.players)}
    director.post(address(event, "playoff", playoff.pk), {"index": 0, "seen": 1, **throws})
    said = director.post(address(event, "cut", cut.pk), {"act": "post"}, follow=True).content.decode()
    assert "MA1: Who goes on is posted." in said
    cut.refresh_from_db()
    assert sorted(cut.posted) == sorted([first_through, playoff.players[0]])


def test_a_posted_list_stands_and_the_page_says_what_changed(
    event: Event, at_cut: list[Entry], director: Any
) -> None:
    cut = cut_of(event, players=1)
    director.post(address(event, "cut", cut.pk), {"act": "post"})
    lines = [build_cards.line(at_cut[0], 5), *(build_cards.line(entry, 3) for entry in at_cut[1:2])]
    rest = [build_cards.line(entry, 4) for entry in at_cut[2:]]
    build_cards.save(event.rounds.get(number=1), 1, [*lines, *rest], base=1, source="desk", reason="misread")
    shown = page(director, address(event))
    assert "Ludvik Moravec and Hale Oyelaran would stand on the other side of the line" in shown.replace(
        "Hale Oyelaran and Ludvik Moravec", "Ludvik Moravec and Hale Oyelaran"
    )
    said = director.post(address(event, "cut", cut.pk), {"act": "post"}, follow=True).content.decode()
    assert "A list is up already: write why another one is posted." in said
    director.post(address(event, "cut", cut.pk), {"act": "post", "reason": "the card was misread"})
    cut.refresh_from_db()
    assert cut.posted == [at_cut[1].pk]
    director.post(address(event, "cut", cut.pk), {"act": "down", "reason": "once more"})
    cut.refresh_from_db()
    assert cut.posted is None


def test_who_qualified_may_decline_and_play_on_after_all(
    event: Event, at_cut: list[Entry], director: Any
) -> None:
    cut = cut_of(event, ties="all")
    url = address(event, "declined", cut.pk, at_cut[0].pk)
    assert (
        "does not play on, and stands last of the qualifiers"
        in director.post(url, follow=True).content.decode()
    )
    assert [each.name for each in final_places(event)["MA1"]][2] == "Ludvik Moravec"
    director.post(url, {"undo": "1"})
    assert not Placing.objects.exists()
    out = address(event, "declined", cut.pk, at_cut[3].pk)
    assert "only who qualified can decline" in director.post(out, follow=True).content.decode()


@pytest.mark.usefixtures("at_cut")
def test_a_cut_tighter_than_the_paid_places_is_warned_of(event: Event, director: Any) -> None:
    cut_of(event, players=1)
    assert "2 places are paid, and fewer go on: the cut may not be tighter (1.08.C)." in page(
        director, address(event)
    )


def test_a_playoff_from_the_tie_to_the_winner(event: Event, tied: list[Entry], director: Any) -> None:
    shown = page(director, address(event))
    assert "Tied for first place:</b> Ludvik Moravec, Hale Oyelaran and Dov Pennock." in shown
    begin_url = address(event, "begin", "MA1", 0)
    assert "sudden death, hole by hole" in page(director, begin_url)
    assert director.post(begin_url, {"aggregate": 0, "holes": "99", "seed": "5"}).status_code == 422
    director.post(begin_url, {"aggregate": 0, "holes": "17 18", "seed": "5", "declined": [tied[2].pk]})
    playoff = Playoff.objects.get()
    url = address(event, "playoff", playoff.pk)
    assert "write hole 17" in page(director, url)
    one, two = (key for key in playoff.players if key != tied[2].pk)
    blank = director.post(url, {"index": 0, "seen": 1, f"throws-{one}": "3", f"throws-{two}": "x"})
    assert blank.status_code == 422
    assert "write the throws as a figure from 1 to 30." in blank.content.decode()
    assert 'value="x"' in blank.content.decode()
    director.post(url, {"index": 0, "seen": 1, f"throws-{one}": "3", f"throws-{two}": "3"})
    director.post(url, {"index": 1, "seen": 2, f"throws-{one}": "3", f"throws-{two}": "2"})
    winner = Entry.objects.select_related("person").get(pk=two).person.name
    assert f"{winner} wins the playoff." in page(director, url)
    assert f"{winner} won the playoff for first place." in page(
        director, reverse("standings:overview", args=[event.slug])
    )
    assert "write hole 18" in page(director, f"{url}?hole=2")
    director.post(address(event, "change", playoff.pk), {"act": "back", "seen": 3})
    assert "write hole 18" in page(director, url)
    director.post(address(event, "change", playoff.pk), {"act": "drop", "reason": "wrong holes"})
    assert "This playoff does not count." in page(director, url)
    assert "Play it off" in page(director, address(event))


@pytest.mark.usefixtures("tied")
def test_co_winners_by_the_page(event: Event, director: Any) -> None:
    url = address(event, "co_winners", "MA1")
    assert director.post(url, {"exception": "danger", "reason": ""}).status_code == 422
    said = director.post(
        url, {"exception": "danger", "reason": "dark at 17:40"}, follow=True
    ).content.decode()
    assert "3 co-winners share the first place" in said
    assert "danger or no daylight on the last day: dark at 17:40" in said
    assert "waits for a playoff again" in director.post(url, {"undo": "1"}, follow=True).content.decode()


@pytest.mark.usefixtures("tied")
@pytest.mark.parametrize("role", [Role.CARD_ROOM, Role.DESK, Role.EQUIPMENT, Role.MARSHAL, Role.VIEWER])
def test_others_look_and_only_the_card_room_writes_holes(event: Event, client_as: Any, role: Role) -> None:
    client = client_as(role)
    assert "Set a cut" not in page(client, address(event))
    assert client.post(address(event, "co_winners", "MA1"), {"exception": "danger"}).status_code == 403
    answer = client.post(address(event, "begin", "MA1", 0), {"aggregate": 0, "holes": "", "seed": "5"})
    assert answer.status_code == (302 if role is Role.CARD_ROOM else 403)


@pytest.mark.parametrize("ties", [1, 3])
def test_the_page_costs_the_same_for_one_and_three_divisions(
    event: Event, client_as: Any, django_assert_num_queries: Any, ties: int
) -> None:
    for code in ("MA1", "FA1", "MA40")[:ties]:
        division, _ = event.divisions.get_or_create(code=code)
        field = build_cards.make_field(event, 2, code)
        for round_ in event.rounds.order_by("number"):
            build.use_layout(round_, event.layouts.get())
            number = round_.sheets.filter(state="published").count() + 1
            if number == 1:
                build_cards.publish(round_, [field])
                build_cards.save(round_, 1, [build_cards.line(entry, 3) for entry in field])
                continue
            _another_group(round_, field)
        begin(division=division, after_round=0, agreed=Agreed(seed="1"), **FACTS)
    client = client_as(Role.VIEWER)
    # session, account, event, role; 12 of the standings, rulebook, prizes, 2 of the playoffs, contests; 3 of the
    # form
    with django_assert_num_queries(24):
        page(client, address(event))


def _another_group(round_: Any, field: list[Entry]) -> None:
    """One more group on the published sheet."""
    sheet = round_.sheets.get(state="published")
    first = sheet.groups.order_by("number").first()
    number = sheet.groups.count() + 1
    group = sheet.groups.create(
        number=number, pool=first.pool, layout=first.layout, start=first.start, starts_at=first.starts_at
    )
    for order, entry in enumerate(field, start=1):
        sheet.seats.create(group=group, entry=entry, order=order)
    build_cards.save(round_, number, [build_cards.line(entry, 3) for entry in field])


def test_a_playoff_of_others_than_those_who_are_tied_is_told(
    event: Event, tied: list[Entry], director: Any
) -> None:
    begin(division=event.divisions.get(code="MA1"), after_round=0, agreed=Agreed(seed="1"), **FACTS)
    assert "its players are no longer those who are tied" not in page(director, address(event))
    lines = [build_cards.line(tied[0], 4), *(build_cards.line(entry, 3) for entry in tied[1:3])]
    last = [*lines, build_cards.line(tied[3], 4)]
    build_cards.save(event.rounds.get(number=2), 1, last, base=1, source="desk", reason="misread")
    assert "its players are no longer those who are tied" in page(director, address(event))
