"""A group's address: how often it may be asked for, and withdrawn at the desk with a reason."""

from collections.abc import Callable, Iterator

import pytest
import time_machine
from django.core.cache import cache
from django.test import Client

import build
from build_cards import make_field, publish
from events.log.models import Act
from events.setup.models import Event, Role, Round
from scoring.cards import group_limits
from scoring.cards.asking import AskRefused, answer_group, ask_desk, waiting_messages
from scoring.cards.group_withdrawing import WithdrawRefused, withdraw_link
from scoring.cards.links import GroupLink, group_path, group_paths, group_token, read_token
from scoring.cards.models import Card, GroupMessage

pytestmark = pytest.mark.django_db

AS_DONE = {"actor": build.ACTOR, "now": build.NOW}
KEY = "5b8e8a30-6f1c-4d5d-9b0e-2f7b3f1f8a01"


@pytest.fixture(autouse=True)
def _counts_from_nothing() -> Iterator[None]:
    cache.clear()
    yield
    cache.clear()


@pytest.fixture
def round_(event: Event) -> Round:
    round = event.rounds.get(number=1)
    field = make_field(event, 4)
    publish(round, [field[:2], field[2:]])
    return round


def withdraw(round: Round, number: int = 0, reason: str = "The code was copied.") -> Card:
    return withdraw_link(round=round, group_number=1, number=number, reason=reason, **AS_DONE)


def test_a_withdrawn_address_opens_nothing_and_the_new_one_does(client: Client, round_: Round) -> None:
    old = group_path(round_, 1)
    assert withdraw(round_).link_number == 1
    new = group_paths(round_)(1)

    page = client.get(old)
    assert page.status_code == 410
    assert (
        "This address was withdrawn at the desk. Scan the code on the group’s newest card"
        in page.content.decode()
    )
    asked = client.get(f"{old}state/", headers={"Accept": "application/json"})
    assert (asked.status_code, asked.json()["error"][:39]) == (410, "This address was withdrawn at the desk.")
    assert client.post(f"{old}acts/", "{}", content_type="application/json").status_code == 410
    assert client.get(new).status_code == 200
    assert client.get(group_path(round_, 1, 2)).status_code == 410  # not made yet
    assert read_token(group_token(round_, 1, 1)) == GroupLink(round_.event_id, 1, 1, 1)
    act = Act.objects.get(action="group.link_withdrawn")
    assert (act.subject, act.reason) == ("round 1, group 1", "The code was copied.")


def test_pressed_twice_it_is_withdrawn_once_and_never_without_a_reason(round_: Round) -> None:
    withdraw(round_)
    assert withdraw(round_).link_number == 1
    assert Act.objects.filter(action="group.link_withdrawn").count() == 1
    with pytest.raises(WithdrawRefused, match="Write why the address is withdrawn"):
        withdraw(round_, 1, "  ")
    with pytest.raises(WithdrawRefused, match="Group 9 is not on the tee sheet of round 1"):
        withdraw_link(round=round_, group_number=9, number=0, reason="x", **AS_DONE)


def test_addresses_of_a_whole_round_take_one_query(
    round_: Round, django_assert_num_queries: Callable
) -> None:
    withdraw(round_)
    with django_assert_num_queries(1):
        paths = group_paths(round_)
        assert [paths(1), paths(2)] == [group_path(round_, 1, 1), group_path(round_, 2)]


def test_a_page_that_is_asked_for_too_often_says_so(
    client: Client, round_: Round, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(group_limits, "OF_LINK", 2)
    path = group_path(round_, 1)
    with time_machine.travel(build.NOW, tick=False):
        assert [client.get(f"{path}state/").status_code for _ in range(3)] == [200, 200, 429]
        assert "asked for too often" in client.get(path).content.decode()
        assert client.get(group_path(round_, 2)).status_code == 200
    with time_machine.travel(build.NOW.replace(minute=1), tick=False):
        assert client.get(path).status_code == 200


def test_one_address_asks_for_many_groups_and_still_has_an_end(
    client: Client, round_: Round, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(group_limits, "FROM_ADDRESS", 2)
    with time_machine.travel(build.NOW, tick=False):
        paths = [group_path(round_, 1), group_path(round_, 2), group_path(round_, 1)]
        assert [client.get(path).status_code for path in paths] == [200, 200, 429]
        assert client.get(paths[0], REMOTE_ADDR="10.0.0.9").status_code == 200


def test_a_guesser_is_stopped_after_a_few_addresses(client: Client, round_: Round) -> None:
    with time_machine.travel(build.NOW, tick=False):
        codes = [
            client.get(f"/group/1.1.{guess}~x/").status_code for guess in range(group_limits.UNSIGNED + 2)
        ]
        assert codes == [404] * group_limits.UNSIGNED + [429] * 2
        assert client.get(group_path(round_, 1)).status_code == 200


# --- At the desk -------------------------------------------------------------------------------------------------


def ask(round: Round, kind: str = "ruling", **facts: object) -> GroupMessage:
    asked = {
        "group_number": 1,
        "entry_id": None,
        "hole": "3",
        "text": "In or out?",
        "key": KEY,
        "device_key": None,
    }
    return ask_desk(round=round, kind=kind, **AS_DONE | asked | facts)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("facts", "why"),
    [
        ({"kind": "wish"}, "The page sent a question of no known kind. Load it again."),
        ({"text": " "}, "Write in a few words what it is about, then send it again."),
        ({"entry_id": 0}, "That player is not in this group any more. Ask again without a name."),
        ({"hole": "99"}, "There is no hole 99 on this group's card."),
        ({"group_number": 9}, "Group 9 is not on the tee sheet of round 1."),
    ],
)
def test_a_question_that_cannot_be_is_refused(round_: Round, facts: dict[str, object], why: str) -> None:
    with pytest.raises(AskRefused) as refused:
        ask(round_, **facts)
    assert str(refused.value) == why
    assert not GroupMessage.objects.exists()


def test_a_key_of_another_group_and_endless_questions_are_refused(
    round_: Round, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert ask(round_).pk == ask(round_).pk
    with pytest.raises(AskRefused, match="That was asked by another group"):
        ask(round_, group_number=2)
    monkeypatch.setattr("scoring.cards.asking.MOST_OF_GROUP", 1)
    with pytest.raises(AskRefused, match="say the rest at the desk"):
        ask(round_, key="5b8e8a30-6f1c-4d5d-9b0e-2f7b3f1f8a02")


def test_the_desk_answers_and_withdraws_on_one_page(event: Event, client: Client, round_: Round) -> None:
    ask(round_)
    danger = ask(round_, "danger", key="5b8e8a30-6f1c-4d5d-9b0e-2f7b3f1f8a03", text="Wasps", hole="")
    client.force_login(build.make_user(event, Role.DIRECTOR))
    page = client.get(f"/desk/{event.slug}/cards/phones/?round=1&group=1")
    html = page.content.decode()
    assert [each.text for each in page.context["asked"]] == ["Wasps", "In or out?"]
    assert f"http://testserver{group_path(round_, 1)}" in html

    day = client.get(f"/desk/{event.slug}/").content.decode()
    assert day.index("Group 1 reports a danger") < day.index("Group 1 asks for a ruling at hole 3")
    assert "Wasps" not in client.get(f"/board/{event.slug}/").content.decode()

    answered = client.post(
        f"/desk/{event.slug}/cards/phones/answer/{danger.pk}/", {"answer": "Somebody comes."}, follow=True
    )
    assert "Group 1 is told." in answered.content.decode()
    assert [each.danger for each in waiting_messages(event)] == [False]
    empty = client.post(f"/desk/{event.slug}/cards/phones/answer/{danger.pk}/", {"answer": " "}, follow=True)
    assert "Write in a few words what the group is to know." in empty.content.decode()

    where = f"/desk/{event.slug}/cards/phones/1/1/withdraw/"
    assert "Write why" in client.post(where, {"link": "0"}, follow=True).content.decode()
    done = client.post(where, {"link": "0", "reason": "Copied."}, follow=True).content.decode()
    assert "The address of group 1 is withdrawn." in done
    assert group_path(round_, 1, 1) in done


@pytest.mark.parametrize("groups", [1, 3])
def test_queries_of_the_desks_page(
    event: Event, client: Client, groups: int, django_assert_num_queries: Callable
) -> None:
    round = event.rounds.get(number=1)
    publish(round, [[entry] for entry in make_field(event, groups)])
    for number in range(1, groups + 1):
        ask(round, group_number=number, key=f"5b8e8a30-6f1c-4d5d-9b0e-2f7b3f1f8b0{number}")
    client.force_login(build.make_user(event, Role.CARD_ROOM))
    # 1 session, 1 account, 1 event, 1 role, 1 rounds, 4 groups, 2 questions
    with django_assert_num_queries(11):
        client.get(f"/desk/{event.slug}/cards/phones/?round=1")


def test_an_answer_without_words_is_refused(round_: Round) -> None:
    with pytest.raises(AskRefused, match="Write in a few words"):
        answer_group(message=ask(round_), answer=" ", **AS_DONE)
