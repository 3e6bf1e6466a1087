"""A round that cannot be finished: what is offered, what is refused, and what the standings make of the choice."""

from collections.abc import Callable, Sequence

import pytest
from django.test import Client

import build
import build_cards
from desk.above_the_safety import ABOVE_SAFETY
from events.entries.models import Entry
from events.log.models import Act
from events.safety.completing import CompletionRefused, choices_of, choose
from events.safety.models import Completion
from events.setup.models import Event, Role
from scoring.report.queries import closing_of
from scoring.standings.queries import standings, totals_before

SignIn = Callable[[Role], Client]


def play(event: Event, number: int, holes: Sequence[int], field: Sequence[Entry] = ()) -> list[Entry]:
    """Players in one group, of whom each has that many holes of threes (round 1: nobody was there before)."""
    round_ = event.rounds.get(number=number)
    players = list(field) or build_cards.make_field(event, len(holes))
    build_cards.publish(round_, [players])
    lines = [
        build_cards.line(entry, [*[3] * count, *[None] * (18 - count)])
        for entry, count in zip(players, holes, strict=True)
    ]
    build_cards.save(round_, 1, lines)
    return players


def take(event: Event, option: str, approval: str = "tour manager, by phone 15:10") -> Completion:
    (unfinished,) = ABOVE_SAFETY.unfinished(event)
    return choose(
        event=event,
        play=unfinished,
        option=option,
        approval=approval,
        reason="",
        actor=build.ACTOR,
        now=build.NOW,
    )


@pytest.mark.parametrize(
    ("holes", "offered"),
    [
        ((8, 12), ["finish_later", "not_official"]),
        ((9, 12), ["finish_later", "common_holes", "not_official"]),
        ((13, 18), ["finish_later", "common_holes", "not_official"]),
    ],
)
def test_what_is_offered_rests_on_the_holes_of_everyone(
    event: Event, holes: Sequence[int], offered: list[str]
) -> None:
    play(event, 1, holes)
    (choice,) = choices_of(event, ABOVE_SAFETY.unfinished(event), build.NOW)
    assert [option.key for option in choice.options] == offered
    assert choice.part.rated is (min(holes) >= 13)


def test_who_did_not_finish_the_event_is_no_bar(event: Event) -> None:
    _, gone = play(event, 1, (12, 2))
    gone.status = "did_not_finish"
    gone.save()
    (choice,) = choices_of(event, ABOVE_SAFETY.unfinished(event), build.NOW)
    assert len(choice.part.common) == 12


def test_a_finished_round_is_not_asked_about(event: Event) -> None:
    play(event, 1, (18, 18))
    assert ABOVE_SAFETY.unfinished(event) == []


def test_an_approval_is_asked_for_where_the_policy_asks(event: Event) -> None:
    play(event, 1, (9, 12))
    with pytest.raises(CompletionRefused, match="write who approved it"):
        take(event, "common_holes", approval=" ")
    with pytest.raises(CompletionRefused, match="choose one of what is offered"):
        take(event, "last_round")
    assert Completion.objects.count() == 0


def test_common_holes_alone_count_once_they_are_chosen(event: Event) -> None:
    one, two = play(event, 1, (9, 12))
    row = take(event, "common_holes")
    assert row.common == [str(number) for number in range(1, 10)]
    (division,) = standings(event)
    assert [(r.standing.total, r.standing.holes_played, r.standing.complete) for r in division.rows] == [
        (27, 9, True),
        (27, 9, True),
    ]
    assert division.remarks == ("round 1: the 9 holes that everyone finished count",)
    assert totals_before(event.rounds.get(number=2)) == {one.pk: (27,), two.pk: (27,)}
    act = Act.objects.get(action="play.completion")
    assert (act.subject, act.detail["approval"]) == ("MA1, round 1", "tour manager, by phone 15:10")


def test_results_stand_as_they_did_after_the_last_finished_round(event: Event) -> None:
    field = play(event, 1, (18, 18))
    play(event, 2, (3, 5), field)
    take(event, "last_round")
    (division,) = standings(event)
    assert [row.standing.total for row in division.rows] == [54, 54]
    assert [each.number for each in division.rounds] == [1]
    assert division.finished
    missing = [each.text for each in closing_of(event, build.NOW).missing]
    assert not [text for text in missing if "Round 2" in text]
    assert "Round 1: not verified: card 1" in missing


def test_the_newest_choice_counts_and_the_earlier_stays(event: Event) -> None:
    play(event, 1, (9, 12))
    take(event, "common_holes")
    take(event, "finish_later")
    (division,) = standings(event)
    assert [row.standing.total for row in division.rows] == [27, 36]
    assert Completion.objects.count() == 2


def test_the_page_takes_the_directors_choice_and_says_why_not(event: Event, client_as: SignIn) -> None:
    play(event, 1, (9, 12))
    director = client_as(Role.DIRECTOR)
    address = f"/desk/{event.slug}/notices/suspension/completion/"
    typed = {"division": "MA1", "option": "common_holes", "approval": ""}
    page = director.post(address, typed, follow=True)
    assert "MA1: write who approved it, when and how" in page.content.decode()
    page = director.post(address, typed | {"approval": "tour manager"}, follow=True)
    assert "Chosen: count the holes that everyone has finished." in page.content.decode()
    assert client_as(Role.MARSHAL).post(address, typed).status_code == 403


@pytest.mark.parametrize("players", [1, 3])
def test_the_page_takes_the_same_queries(
    event: Event, client_as: SignIn, django_assert_num_queries: Callable, players: int
) -> None:
    play(event, 1, [9] * players)
    client = client_as(Role.VIEWER)
    with django_assert_num_queries(18):  # 4 to know who asks, 12 the scores, 1 overrides, 1 choices
        client.get(f"/desk/{event.slug}/notices/suspension/completion/")
