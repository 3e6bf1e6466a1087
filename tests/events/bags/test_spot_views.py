"""The pages of spot checks, at the desk and for anybody."""

import re
from collections.abc import Callable
from decimal import Decimal
from uuid import uuid4

import pytest
from django.test import Client

import pdf_pages
from build import ACTOR, NOW
from build_bags import make_bag, make_list
from build_spots import DICE, SECRET, freeze, leave, make_players
from events.bags.models import SpotCheck, Weighing
from events.bags.scales import register_scale
from events.bags.spot_checks import draw, drawn
from events.bags.spot_draw import revealed
from events.bags.weighings import weigh
from events.setup.models import Event, Role

pytestmark = pytest.mark.django_db

DESK = "/desk/quiet-pines/bags/spot-checks/"
PUBLIC = "/spot-check/quiet-pines/"
FROZEN = {"wanted": "2", "spares": "1", "source": "14 throws of a die, 08:40", "method": "keyed"}


def make_draw(check: SpotCheck) -> SpotCheck:
    return draw(check=check, numbers=DICE, actor=ACTOR, now=NOW)


def text_of(client: Client, address: str) -> str:
    answer = client.get(address)
    assert answer.status_code == 200
    return answer.content.decode()


def words_of(page: str) -> str:
    return " ".join(re.sub(r"<[^>]*>", " ", page).split())


def test_a_pool_is_frozen_at_the_desk(event: Event, client_as: Callable[[Role], Client]) -> None:
    make_players(event, 5)
    answer = client_as(Role.EQUIPMENT).post(f"{DESK}?round=2", FROZEN)
    check = SpotCheck.objects.get()
    assert (answer.status_code, answer["Location"]) == (302, f"{DESK}2/1/")
    assert (check.round.number, check.wanted, check.spares, len(check.pool)) == (2, 2, 1, 5)


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"wanted": "6"}, "5 players are checked in: 6 cannot be drawn."),
        ({"wanted": "0"}, "Ensure this value is greater than or equal to 1."),
        ({"wanted": "8" * 30}, "Ensure this value is less than or equal to 500."),
        ({"source": ""}, "This field is required."),
        ({"method": "hat"}, "Select a valid choice. hat is not one of the available choices."),
    ],
)
def test_a_pool_that_cannot_be_is_answered_with_a_sentence(
    event: Event, client_as: Callable[[Role], Client], wrong: dict[str, str], sentence: str
) -> None:
    make_players(event, 5)
    answer = client_as(Role.DIRECTOR).post(DESK, FROZEN | wrong)
    assert answer.status_code == 422
    assert sentence in words_of(answer.content.decode())
    assert not SpotCheck.objects.exists()


@pytest.mark.parametrize("role", [Role.DESK, Role.MARSHAL, Role.CARD_ROOM, Role.VIEWER])
def test_only_equipment_desk_and_director_freeze_and_draw(
    event: Event, client_as: Callable[[Role], Client], role: Role
) -> None:
    make_players(event, 5)
    freeze(event)
    client = client_as(role)
    assert client.post(DESK, FROZEN).status_code == 403
    assert client.post(f"{DESK}1/1/", {"numbers": "1", "single": "yes", "sure": "yes"}).status_code == 403
    page = text_of(client, f"{DESK}1/1/")
    assert ("Not drawn yet." in page, "Read the numbers" in page) == (True, False)


def test_numbers_are_read_back_before_the_draw(event: Event, client_as: Callable[[Role], Client]) -> None:
    make_players(event, 72)
    freeze(event, secret=SECRET, wanted=8, spares=2)
    client = client_as(Role.EQUIPMENT)
    typed = {"numbers": "3 17 22 40 41\n1 2 2 4 6 6", "single": "no"}
    page = words_of(client.post(f"{DESK}1/1/", typed).content.decode())
    assert "11 numbers read: 3.17.22.40.41./1.2.2.4.6.6./" in page
    assert SpotCheck.objects.get().result is None
    answer = client.post(f"{DESK}1/1/", typed | {"sure": "yes"})
    assert answer.status_code == 302
    assert SpotCheck.objects.get().result[:3] == ["P67", "P16", "P65"]
    again = client.post(f"{DESK}1/1/", typed | {"sure": "yes", "numbers": "6"})
    assert again.status_code == 422
    assert SpotCheck.objects.get().numbers == DICE


def test_too_few_throws_are_said_and_still_taken(event: Event, client_as: Callable[[Role], Client]) -> None:
    make_players(event, 72)
    freeze(event, wanted=8, spares=0)
    client = client_as(Role.DIRECTOR)
    typed = {"numbers": "3 5 1", "single": "yes"}
    page = words_of(client.post(f"{DESK}1/1/", typed).content.decode())
    assert "3 numbers read: 3./5./1./" in page
    assert "These throws hold 7 bits of chance; the draw asks for 34 (RFC 3797, 3.3): throw 14 times" in page
    client.post(f"{DESK}1/1/", typed | {"sure": "yes"})
    assert SpotCheck.objects.get().numbers == [[3], [5], [1]]


def test_enough_throws_are_not_remarked_on(event: Event, client_as: Callable[[Role], Client]) -> None:
    make_players(event, 72)
    freeze(event, wanted=8, spares=0)
    typed = {"numbers": "3 5 1 6 2 2 4 1 6 6 3 5 2 1", "single": "yes"}
    page = words_of(client_as(Role.DIRECTOR).post(f"{DESK}1/1/", typed).content.decode())
    assert ("14 numbers read" in page, "These throws hold" in page) == (True, False)


@pytest.mark.parametrize("typed", ["", "six", "-1", "1" * 16, "1 " * 201, "1" * 5000])
def test_what_is_no_number_draws_nothing(
    event: Event, client_as: Callable[[Role], Client], typed: str
) -> None:
    make_players(event, 5)
    freeze(event)
    answer = client_as(Role.DIRECTOR).post(f"{DESK}1/1/", {"numbers": typed, "single": "yes", "sure": "yes"})
    assert answer.status_code == 422
    assert SpotCheck.objects.get().result is None


@pytest.mark.parametrize("method", SpotCheck.Method.values)
def test_the_secret_leaks_nowhere_before_the_draw_and_never_whole(
    event: Event, client_as: Callable[[Role], Client], method: str
) -> None:
    make_players(event, 5)
    check = freeze(event, method=method)
    client, anybody = client_as(Role.DIRECTOR), Client()
    desk = [DESK, f"{DESK}1/1/", "/desk/quiet-pines/log/", "/desk/quiet-pines/bags/"]
    public = [PUBLIC, f"{PUBLIC}1/1/"]
    code = revealed(check.secret)

    def everything() -> str:
        seen = [text_of(client, address) for address in desk] + [text_of(anybody, a) for a in public]
        paper = pdf_pages.read(anybody.get(f"{PUBLIC}1/1/print/").content)
        return " ".join([*seen, *(sheet.text for sheet in paper)])

    before = everything()
    assert (check.secret in before, code in before, check.commitment in before) == (
        False,
        False,
        method == "keyed",
    )
    make_draw(check)
    after = everything()
    assert (check.secret in after, code in after) == (False, method == SpotCheck.Method.KEYED)


def test_anybody_sees_pool_and_commitment_before_and_the_whole_working_after(event: Event) -> None:
    players = make_players(event, 72)
    check = freeze(event, secret=SECRET, wanted=8, spares=2)
    page = words_of(text_of(Client(), f"{PUBLIC}1/1/"))
    assert "Not drawn yet. 8 of 72 will be drawn, and 2 spare." in page
    assert [f"P{n:02} {players[n - 1].person.name}" in page for n in (1, 72)] == [True, True]
    assert ("Check it yourself" in page, "code revealed" in page) == (False, False)
    make_draw(check)
    page = words_of(text_of(Client(), f"{PUBLIC}1/1/"))
    assert f"1 P67 {players[66].person.name} drawn" in page
    assert "numbers as text 3.17.22.40.41./1.2.2.4.6.6./" in page
    assert f"code revealed {revealed(SECRET)}" in page
    assert page.count("openssl dgst -sha256") == 3


def test_the_rows_of_rfc_3797_are_shown(event: Event) -> None:
    players = make_players(event, 72)
    make_draw(freeze(event, method="rfc3797", wanted=8, spares=0))
    page = words_of(text_of(Client(), f"{PUBLIC}1/1/"))
    assert f"72 33 34 P34 {players[33].person.name}" in page
    assert ("commitment" in page, "md5sum" in page) == (False, True)


def test_a_late_withdrawal_is_shown_with_the_spare_who_steps_in(event: Event) -> None:
    players = make_players(event, 72)
    make_draw(freeze(event, secret=SECRET, wanted=8, spares=2))
    paper = Client().get(f"{PUBLIC}1/1/print/").content
    leave(players[64].pk)
    page = words_of(text_of(Client(), f"{PUBLIC}1/1/"))
    assert f"P65 {players[64].person.name} has left the event" in page
    assert f"P18 {players[17].person.name} spare, steps in" in page
    assert Client().get(f"{PUBLIC}1/1/print/").content == paper


def test_public_pages_hold_names_and_labels_and_nothing_else_of_a_person(event: Event) -> None:
    (player, *_) = make_players(event, 3)
    person = player.person
    person.phone, person.email, person.birth_year = "+491705550123", "ada@example.org", 1971
    person.save()
    make_draw(freeze(event))
    page = words_of(text_of(Client(), f"{PUBLIC}1/1/") + text_of(Client(), PUBLIC)).split()
    hidden = (person.phone, person.email, "1971", str(person.member_number), player.code, ACTOR.name)
    assert [each in page for each in hidden] == [False] * 6
    assert [part in page for part in person.name.split()] == [True] * len(person.name.split())


def test_every_check_is_listed_for_anybody_drawn_or_not(event: Event) -> None:
    make_players(event, 5)
    make_draw(freeze(event))
    freeze(event)
    freeze(event, round=2)
    page = words_of(text_of(Client(), PUBLIC))
    assert [state in page for state in (
        "R1 check 1: 2 of 5 drawn Fri 07:00",
        "R1 check 2: 2 of 5 not drawn yet",
        "R2 check 1: 2 of 5 not drawn yet",
    )] == [True, True, True]  # fmt: skip


@pytest.mark.parametrize("path", ["9/1/", "1/9/", "1/9/print/", "99999999999999999999/1/"])
def test_a_check_that_is_not_there_is_not_found(event: Event, path: str) -> None:
    assert Client().get(PUBLIC + path).status_code == 404


def test_the_desk_sees_how_much_of_each_drawn_bag_is_weighed(
    event: Event, client_as: Callable[[Role], Client]
) -> None:
    make_list()
    Event.objects.filter(pk=event.pk).update(is_demo=True)
    players = make_players(event, 2)
    check = make_draw(freeze(event, wanted=2, spares=0))
    scale = register_scale(
        event=event, name="A", kind="household", resolution_g=Decimal(1), actor=ACTOR, now=NOW
    )
    bags = {player.pk: make_bag(player, 2) for player in players}
    first, second = drawn(check)
    entry = next(player for player in players if player.pk == first.entry_id)
    entry.event.is_demo = True

    def weigh_piece(piece: int, grams: int, round_number: int) -> Weighing:
        return weigh(
            entry=entry,
            disc=bags[entry.pk][piece],
            round=event.rounds.get(number=round_number),
            scale=scale,
            reading_g=Decimal(grams),
            submission=uuid4(),
            actor=ACTOR,
            now=NOW,
        )

    weigh_piece(0, 190, 1)
    weigh_piece(1, 170, 2)  # in another round: it does not count for this one
    page = words_of(text_of(client_as(Role.EQUIPMENT), f"{DESK}1/1/"))
    assert "1 of 2 1 not to throw weigh" in page
    assert "0 of 2 – weigh" in page
    assert "Bags weighed whole 0 of 2" in page
    weigh_piece(1, 170, 1)
    page = words_of(text_of(client_as(Role.VIEWER), f"{DESK}1/1/"))
    assert "2 of 2 1 not to throw weigh" in page
    assert "Bags weighed whole 1 of 2" in page
    assert second.called


def test_the_notice_names_whom_the_draw_calls(event: Event, client_as: Callable[[Role], Client]) -> None:
    players = make_players(event, 5)
    check = make_draw(freeze(event, wanted=1, spares=1))
    first, spare = drawn(check)
    leave(first.entry_id)
    asked = {"place": "the tent at hole 1", "when": "before 12:40"}
    answer = client_as(Role.VIEWER).get(f"{DESK}1/1/notice/", asked)
    (sheet,) = pdf_pages.read(answer.content)
    assert sheet.text.startswith(
        "Spot check: bring your whole bag to the tent at hole 1, before 12:40 Quiet Pines Open · round 1, check 1"
    )
    assert [player.person.name in sheet.text for player in players] == [
        player.pk == spare.entry_id for player in players
    ]


@pytest.mark.parametrize("asked", [{"place": "", "when": "now"}, {"place": "x" * 81, "when": "now"}])
def test_a_notice_without_place_is_not_printed(
    event: Event, client_as: Callable[[Role], Client], asked: dict[str, str]
) -> None:
    make_players(event, 3)
    make_draw(freeze(event))
    answer = client_as(Role.DIRECTOR).get(f"{DESK}1/1/notice/", asked)
    assert (answer.status_code, answer["Location"]) == (302, f"{DESK}1/1/")


def test_there_is_no_notice_before_the_draw(event: Event, client_as: Callable[[Role], Client]) -> None:
    make_players(event, 3)
    freeze(event)
    answer = client_as(Role.DIRECTOR).get(f"{DESK}1/1/notice/", {"place": "here", "when": "now"})
    assert answer.status_code == 302


def test_the_planner_starts_from_the_event(event: Event, client_as: Callable[[Role], Client]) -> None:
    make_players(event, 72)
    page = words_of(text_of(client_as(Role.VIEWER), f"{DESK}planner/"))
    assert "11.1 % to draw the one bad bag with 8 of 72; 21.0 % over 2 rounds" in page
    page = words_of(
        text_of(client_as(Role.EQUIPMENT), f"{DESK}planner/?pool=90&sample=12&offenders=5&rounds=1")
    )
    assert "52.0 % to draw at least one of 5 bad bags with 12 of 90" in page
    assert "A clean sample absolves nobody." in page


@pytest.mark.parametrize(
    "query",
    [
        "pool=0&sample=1&offenders=1&rounds=1",
        "pool=10&sample=11&offenders=1&rounds=1",
        "pool=x",
        "pool=" + "9" * 30,
    ],
)
def test_a_plan_that_cannot_be_is_answered(
    event: Event, client_as: Callable[[Role], Client], query: str
) -> None:
    assert client_as(Role.VIEWER).get(f"{DESK}planner/?{query}").status_code == 422


def test_an_event_without_players_or_rounds_has_pages_too(
    event: Event, client_as: Callable[[Role], Client]
) -> None:
    client = client_as(Role.DIRECTOR)
    assert "Nobody is checked in yet" in text_of(client, DESK)
    assert "100.0 % to draw the one bad bag with 1 of 1" in words_of(text_of(client, f"{DESK}planner/"))
    event.rounds.all().delete()
    assert "The event has no rounds yet." in text_of(client, DESK)
    assert client.post(DESK, FROZEN).status_code == 200


def test_an_event_that_is_over_offers_no_draw(event: Event, client_as: Callable[[Role], Client]) -> None:
    make_players(event, 3)
    freeze(event)
    Event.objects.filter(pk=event.pk).update(over_at=NOW)
    client = client_as(Role.DIRECTOR)
    assert "Freeze a pool" not in text_of(client, DESK)
    assert "Read the numbers" not in text_of(client, f"{DESK}1/1/")
    assert client.post(f"{DESK}1/1/", {"numbers": "1", "single": "yes", "sure": "yes"}).status_code == 422


@pytest.mark.parametrize("count", [1, 3])
def test_pages_cost_the_same_for_one_and_three(
    event: Event, client_as: Callable[[Role], Client], count: int, django_assert_num_queries
) -> None:
    players = make_players(event, 8)
    for player in players:
        make_bag(player, 1)
    for _ in range(count):
        make_draw(freeze(event, wanted=count, spares=0))
    client = client_as(Role.EQUIPMENT)
    with django_assert_num_queries(10):
        client.get(DESK)
    with django_assert_num_queries(11):
        client.get(f"{DESK}1/1/")
    with django_assert_num_queries(6):  # 4 of them: a stop and notices, as on every phone's page
        Client().get(PUBLIC)
    with django_assert_num_queries(7):
        Client().get(f"{PUBLIC}1/1/")
    with django_assert_num_queries(2):
        Client().get(f"{PUBLIC}1/1/print/")
