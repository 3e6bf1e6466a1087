"""Beside the grid: blind entries, who is right, verified all at once, opened again, signed, photos, radio."""

import io
import re
from collections.abc import Callable
from uuid import UUID, uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image

import build
from build_cards import line, make_field, publish, save
from events.entries.models import Entry
from events.setup.models import Event, Role, Round
from scoring.cards.agreeing import PHONE_AGREES, SECOND_AGREES, TOTALS_AGREE, ready_cards
from scoring.cards.live import Saying, enter_holes
from scoring.cards.models import Card, CardPhoto, CardVersion, Confirmation, RadioCall, StandingLine
from scoring.cards.queries import cards_of
from scoring.cards.waiting import waiting
from scoring.penalties.absences import score_absence

SignIn = Callable[[Role], Client]
DESK = "/desk/quiet-pines/cards/1/1/"


@pytest.fixture
def round_(event: Event) -> Round:
    return event.rounds.get(number=1)


@pytest.fixture
def field(event: Event, round_: Round) -> list[Entry]:
    players = make_field(event, 2)
    publish(round_, [players])
    return players


def phone(round_: Round, entry: Entry, figure: int = 3, group: int = 1) -> None:
    enter_holes(
        round=round_, group_number=group, device_key=UUID(int=1), device_name="a phone",
        sayings=[Saying(uuid4(), hole, entry.pk, str(hole), figure) for hole in range(1, 19)],
        actor=build.ACTOR, now=build.NOW,
    )  # fmt: skip


def typed(client: Client, field: list[Entry], figure: int, **more: str) -> str:
    """Type a card of one figure throughout; the text of the page that follows."""
    form = {"base": "0", "submission": str(uuid4()), **more}
    for entry in field:
        form |= {f"t{entry.pk}_{hole}": str(figure) for hole in range(18)}
    return client.post(f"{DESK}save/", form, follow=True).content.decode()


def test_a_card_that_phones_filled_is_typed_without_seeing_them(
    round_: Round, field: list[Entry], client_as: SignIn
):
    for entry in field:
        phone(round_, entry)
    client = client_as(Role.CARD_ROOM)

    page = client.get("/desk/quiet-pines/cards/?round=1&group=1").content.decode()
    assert "The group’s phones have said 18 holes." in page
    assert f'name="t{field[0].pk}_0" value=""' in page

    page = typed(client, field, 3, blind="1")
    assert "Group 1 is saved." in page
    assert (CardVersion.objects.get().source, StandingLine.objects.count()) == ("paper", 2)
    assert [each.why for each in ready_cards(round_, cards_of(round_))] == [PHONE_AGREES]


def test_after_an_absence_the_paper_card_is_still_typed_without_seeing_the_phones(
    round_: Round, field: list[Entry], client_as: SignIn
):
    """The desk scores hole 3 (par 4) as not played: that stands in the grid, nothing that a phone said does."""
    for entry in field:
        phone(round_, entry)
    score_absence(
        entry=field[0], round=round_, labels=["3"], reason="", submission=uuid4(), actor=build.ACTOR, now=build.NOW
    )  # fmt: skip
    client = client_as(Role.CARD_ROOM)

    page = client.get("/desk/quiet-pines/cards/?round=1&group=1").content.decode()
    assert ("Type the paper card without looking" in page, "A second entry" in page) == (True, False)
    shown = dict(re.findall(r'name="(t\d+_\d+)" value="(\d*)"', page))
    assert {name: value for name, value in shown.items() if value} == {f"t{field[0].pk}_2": "8"}
    sure = re.findall(r'name="sure" value="([^"]+)"', page)
    assert sure == [f"t:{field[0].pk}:2:8"]  # decided, so nobody is asked whether it is right

    typed_in = {f"t{entry.pk}_{hole}": "3" for entry in field for hole in range(18)}
    client.post(f"{DESK}save/", {
        "base": "1", "submission": str(uuid4()), "blind": "1", "sure": sure, **typed_in, f"t{field[0].pk}_2": "8",
    })  # fmt: skip

    current = CardVersion.objects.get(state="current")
    assert (current.number, current.source) == (2, "paper")
    assert StandingLine.objects.get(entry=field[0]).throws[:4] == [3, 3, 8, 3]
    assert [(state.done, state.open_holes) for state in cards_of(round_)] == [(True, 0)]


def test_an_absence_alone_shows_the_grid_as_it_stands(round_: Round, field: list[Entry], client_as: SignIn):
    score_absence(
        entry=field[0], round=round_, labels=["3"], reason="", submission=uuid4(), actor=build.ACTOR, now=build.NOW
    )  # fmt: skip

    page = client_as(Role.CARD_ROOM).get("/desk/quiet-pines/cards/?round=1&group=1").content.decode()

    assert "Type the paper card without looking" not in page
    assert f'name="t{field[0].pk}_2" value="8"' in page


def test_what_a_phone_says_otherwise_is_asked_about_and_decided(
    round_: Round, field: list[Entry], client_as: SignIn
):
    for entry in field:
        phone(round_, entry)
    client = client_as(Role.CARD_ROOM)

    client.post(f"{DESK}save/", {
        "base": "0", "submission": str(uuid4()), "blind": "1",
        **{f"t{entry.pk}_{hole}": "3" for entry in field for hole in range(18)}, f"t{field[1].pk}_6": "4",
    })  # fmt: skip
    page = client.get("/desk/quiet-pines/cards/?round=1&group=1").content.decode()
    assert "Hale Oyelaran, hole 7" in page
    assert "Say who is right" in client.post(f"{DESK}cells/", {}, follow=True).content.decode()

    client.post(f"{DESK}cells/", {f"cell {field[1].pk} 7": "3", "key": str(uuid4()), "reason": "asked"})

    assert StandingLine.objects.get(entry=field[1]).throws[6] == 3
    assert "Who is right?" not in client.get("/desk/quiet-pines/cards/?round=1&group=1").content.decode()


def test_a_second_entry_is_typed_blind_and_agrees_or_is_asked_about(
    round_: Round, field: list[Entry], client_as: SignIn
):
    save(round_, 1, [line(entry) for entry in field])
    client = client_as(Role.CARD_ROOM)
    page = client.get("/desk/quiet-pines/cards/?round=1&group=1&blind=1").content.decode()
    assert f'name="t{field[0].pk}_0" value=""' in page
    assert "A second entry:" in page

    page = typed(client, field, 3, blind="1", base="1")
    assert "says the same as the first entry" in page
    assert [each.why for each in ready_cards(round_, cards_of(round_))] == [SECOND_AGREES]

    assert "Others say something else on 36 holes" in typed(client, field, 4, blind="1", base="1")
    assert StandingLine.objects.get(entry=field[0]).total == 54


def test_an_empty_page_over_a_card_that_stands_changes_nothing(
    round_: Round, field: list[Entry], client_as: SignIn
):
    save(round_, 1, [line(entry) for entry in field])
    client = client_as(Role.CARD_ROOM)

    page = client.post(
        f"{DESK}save/", {"base": "0", "submission": str(uuid4())}, follow=True
    ).content.decode()

    assert "Nothing was typed: group 1 stays as it is." in page
    assert CardVersion.objects.count() == 1


def test_cards_on_which_sources_agree_are_verified_at_once(event: Event, round_: Round, client_as: SignIn):
    field = make_field(event, 3)
    publish(round_, [[field[0]], [field[1]], [field[2]]])
    save(round_, 1, [line(field[0], written_total=54)])
    save(round_, 2, [line(field[1])])
    assert [(each.number, each.why) for each in ready_cards(round_, cards_of(round_))] == [
        (1, TOTALS_AGREE), (2, ""),
    ]  # fmt: skip
    client = client_as(Role.CARD_ROOM)
    page = client.get("/desk/quiet-pines/cards/?round=1").content.decode()
    assert "Verify the 1 that agree" in page
    assert "1 complete, from one source alone" in page

    client.post("/desk/quiet-pines/cards/1/verify/")

    held = Card.objects.order_by("group_number").values_list("group_number", "verified_why")
    assert list(held) == [(1, TOTALS_AGREE), (2, "")]
    client.post("/desk/quiet-pines/cards/1/2/verify/")
    assert Card.objects.get(group_number=2).verified_why == "looked at in the card room"


def test_only_the_director_opens_a_verified_card(round_: Round, field: list[Entry], client_as: SignIn):
    save(round_, 1, [line(entry) for entry in field])
    client = client_as(Role.CARD_ROOM)
    client.post(f"{DESK}verify/")
    page = client.get("/desk/quiet-pines/cards/?round=1&group=1").content.decode()
    assert "The card is locked" in page
    assert "Save and next card" not in page
    assert client.post(f"{DESK}unlock/", {"reason": "typed for group 2"}).status_code == 403

    client_as(Role.DIRECTOR).post(f"{DESK}unlock/", {"reason": "typed for group 2"})

    assert not Card.objects.get().locked


def test_paper_signatures_are_recorded_for_the_total_that_was_signed(
    round_: Round, field: list[Entry], client_as: SignIn
):
    save(round_, 1, [line(entry) for entry in field])
    client = client_as(Role.CARD_ROOM)

    page = client.post(
        f"{DESK}sign/", {"key": str(uuid4()), f"signed {field[0].pk}": "54", f"signed {field[1].pk}": "53"},
        follow=True,
    ).content.decode()  # fmt: skip

    assert "1 signed on paper" in page
    assert "The scores have changed meanwhile" in page
    assert "never a ground for a penalty" in page
    held = Confirmation.objects.get()
    assert held.source == "paper"

    back = f"/desk/quiet-pines/cards/confirmations/{held.pk}/back/"
    assert f'form="back-{held.pk}"' in page
    assert f'action="{back}"' in page
    assert client_as(Role.VIEWER).post(back).status_code == 403
    page = client.post(back, follow=True).content.decode()
    assert "Ludvik Moravec: the confirmation is taken back." in page
    assert f'form="back-{held.pk}"' not in page
    held.refresh_from_db()
    assert held.taken_back_at is not None


def test_a_photo_is_kept_shown_to_those_who_type_and_put_away(
    round_: Round, field: list[Entry], client_as: SignIn
):
    out = io.BytesIO()
    Image.new("RGB", (300, 200), "white").save(out, "JPEG")
    client = client_as(Role.CARD_ROOM)
    client.post(f"{DESK}photo/", {"photo": SimpleUploadedFile("card.jpg", out.getvalue())})
    photo = CardPhoto.objects.get()
    address = f"/desk/quiet-pines/cards/photos/{photo.pk}/"

    shown = client.get(address)
    assert (shown.status_code, shown["Content-Type"]) == (200, "image/jpeg")
    assert client_as(Role.VIEWER).get(address).status_code == 403
    assert "Choose a picture first" in client.post(f"{DESK}photo/", follow=True).content.decode()

    client.post(f"{address}away/")
    assert "photos: 1" not in client.get("/desk/quiet-pines/cards/?round=1&group=1").content.decode()


def test_a_radio_call_is_one_line_and_comes_back_typed_when_it_cannot_be(
    round_: Round, field: list[Entry], client_as: SignIn
):
    client = client_as(Role.MARSHAL)
    page = client.post("/desk/quiet-pines/cards/1/radio/", {"line": "1 9 -3"}, follow=True).content.decode()
    assert "Group 1 has 2 players and the call 1" in page
    assert 'value="1 9 -3"' in page

    key = str(uuid4())
    client.post("/desk/quiet-pines/cards/1/radio/", {"line": "1 9 -3 E", "key": key})
    assert RadioCall.objects.count() == 2

    client.post(f"{DESK}radio/{key}/")
    assert not RadioCall.objects.filter(taken_back_at=None).exists()


def test_a_call_that_an_earlier_farther_one_outweighs_says_so_with_the_way_to_take_that_back(
    round_: Round, field: list[Entry], client_as: SignIn
):
    """Through 17 was typed for through 7: the right call is kept, and the wrong one is taken back by one button."""
    client = client_as(Role.MARSHAL)
    radio = {"line": "1 17 -3 E", "key": str(uuid4())}
    client.post("/desk/quiet-pines/cards/1/radio/", radio)

    answer = client.post(
        "/desk/quiet-pines/cards/1/radio/", {"line": "1 7 -1 E", "key": str(uuid4())}, follow=True
    )

    page = answer.content.decode()
    assert answer.redirect_chain[0][0].endswith("round=1&group=1")
    assert "through 7, is kept but does not count: an earlier call" in page
    assert "says through 17, a later one fewer holes: the farther one counts." in page
    (back,) = re.findall(r'action="([^"]+/radio/[^"]+)"[^>]*>.*?<button>It was wrong', page)
    client.post(back)
    assert StandingLine.objects.get(entry=field[0]).called_through == 7
    assert (
        "the farther one counts"
        not in client.get("/desk/quiet-pines/cards/?round=1&group=1").content.decode()
    )


def test_a_phone_that_contradicts_a_typed_card_is_in_the_list_of_what_is_open(
    round_: Round, field: list[Entry], client_as: SignIn
):
    save(round_, 1, [line(entry) for entry in field])
    client = client_as(Role.CARD_ROOM)
    assert "All cards of round 1 are in" in client.get("/desk/quiet-pines/cards/?round=1").content.decode()

    phone(round_, field[0], 4)

    (state,) = cards_of(round_)
    assert (state.done, [row.kind for row in waiting([state], build.NOW)]) == (False, ["differs"])
    page = client.get("/desk/quiet-pines/cards/?round=1").content.decode()
    assert "All cards of round 1 are in" not in page
    assert "Out: 1 of 1 card" in page
