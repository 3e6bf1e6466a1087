"""The page of a stop: who may do what, what is said of bad input, and what it costs to follow it."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

import build
import build_cards
from events.course.models import HoleDetails
from events.log.models import Chain
from events.safety.models import Evidence, Position, Suspension
from events.setup.models import Event, Role, Round
from scoring.cards.models import Ruling

SignIn = Callable[[Role], Client]


@pytest.fixture
def home(event: Event) -> str:
    return f"/desk/{event.slug}/notices/suspension/"


@pytest.fixture
def round_(event: Event) -> Round:
    round_ = event.rounds.get(number=1)
    sheet = build_cards.publish(round_, [build_cards.make_field(event, 3)])
    sheet.groups.update(starts_at=timezone.now() - timedelta(minutes=30))
    return round_


def said(client: Client, address: str, **typed: str) -> str:
    return client.post(address, typed, follow=True).content.decode()


def started(client: Client, home: str) -> Suspension:
    client.post(f"{home}start/", {"cause": "lightning"})
    return Suspension.objects.get()


def test_the_marshal_suspends_and_the_desk_reads_and_notes(
    round_: Round, client_as: SignIn, home: str
) -> None:
    assert client_as(Role.DESK).post(f"{home}start/", {"cause": "wind"}).status_code == 403
    suspension = started(client_as(Role.MARSHAL), home)
    desk = client_as(Role.DESK)
    assert "Play is suspended" in desk.get(home).content.decode()
    assert desk.post(f"{home}{suspension.pk}/horn/", {"signal": "stop"}).status_code == 403
    desk.post(f"{home}{suspension.pk}/position/", {"group": "1.1", "hole": "7"})
    assert Position.objects.last().hole_label == "7"  # type: ignore[union-attr]


def test_only_the_director_goes_before_the_earliest_or_ends_otherwise(
    round_: Round, client_as: SignIn, home: str
) -> None:
    marshal = client_as(Role.MARSHAL)
    suspension = started(marshal, home)
    go = f"{home}{suspension.pk}/resume/"
    answer = said(marshal, go, mode="move_times", reason="false alarm")
    assert "Only with a written reason, as a house rule of the director. Ask the director." in answer
    for way in ("next-day", "cancel"):
        assert marshal.post(f"{home}{suspension.pk}/{way}/", {"reason": "x"}).status_code == 403
    assert "Play goes on." in said(client_as(Role.DIRECTOR), go, mode="move_times", reason="false alarm")


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"kind": "strike", "typed": "9", "source": "service"}, "9 of what? Write the unit too"),
        ({"kind": "strike", "typed": "9 mi", "source": ""}, "Say where it comes from"),
        ({"kind": "strike", "typed": "", "source": "service"}, "How far off was the strike?"),
    ],
)
def test_bad_evidence_gets_a_sentence(
    client_as: SignIn, home: str, typed: dict[str, str], words: str
) -> None:
    director = client_as(Role.DIRECTOR)
    suspension = started(director, home)
    assert words in said(director, f"{home}{suspension.pk}/evidence/", **typed)
    assert Evidence.objects.count() == 0


def test_a_strike_in_the_future_is_refused(client_as: SignIn, home: str) -> None:
    director = client_as(Role.DIRECTOR)
    suspension = started(director, home)
    ahead = (timezone.now() + timedelta(hours=2)).isoformat()
    typed = {"kind": "strike", "typed": "9 mi", "source": "service", "time": ahead}
    assert "is still to come" in said(director, f"{home}{suspension.pk}/evidence/", **typed)
    assert Evidence.objects.count() == 0


@pytest.mark.parametrize(
    ("time", "words"),
    [
        ("soon", "is not a time. Write it as 14:40."),
        ("2026-03-29 02:30", "does not exist in Europe/Oslo: the clocks go forward then."),
        ("2026-10-25 02:30", "comes twice in Europe/Oslo: the clocks go back then."),
        ("2026-06-12 02:30", "Name a time that is still to come."),
    ],
)
def test_a_restart_that_is_no_moment_gets_a_sentence(
    event: Event, client_as: SignIn, home: str, time: str, words: str
) -> None:
    Event.objects.filter(pk=event.pk).update(time_zone="Europe/Oslo")
    director = client_as(Role.DIRECTOR)
    suspension = started(director, home)
    assert words in said(director, f"{home}{suspension.pk}/restart/", time=time, reason="x")


def test_a_penalty_is_booked_and_taken_back(round_: Round, client_as: SignIn, home: str) -> None:
    director = client_as(Role.DIRECTOR)
    suspension = started(director, home)
    entry = round_.event.entries.order_by("pk").first()
    assert entry is not None
    typed = {"player": f"1.1/{entry.pk}", "what": "early", "hole": "", "evidence": "two marshals"}
    said(director, f"{home}{suspension.pk}/penalty/", **typed)
    ruling = Ruling.objects.get()
    assert (ruling.throws, ruling.what) == (2, "stopped before the signal: two marshals")
    said(director, f"{home}{suspension.pk}/penalty/{ruling.pk}/take-back/", reason="mistaken")
    ruling.refresh_from_db()
    assert ruling.taken_back_reason == "mistaken"


def test_a_penalty_can_be_booked_after_the_restart(round_: Round, client_as: SignIn, home: str) -> None:
    director = client_as(Role.DIRECTOR)
    suspension = started(director, home)
    said(director, f"{home}{suspension.pk}/resume/", mode="move_times", reason="false alarm")
    assert "Book two throws" in director.get(home).content.decode()
    entry = round_.event.entries.order_by("pk").first()
    assert entry is not None
    typed = {"player": f"1.1/{entry.pk}", "what": "on", "hole": "3", "evidence": "two marshals"}
    assert "The penalty is booked" in said(director, f"{home}{suspension.pk}/penalty/", **typed)


def test_another_events_stop_is_not_found(client_as: SignIn, home: str) -> None:
    suspension = started(client_as(Role.DIRECTOR), home)
    other = build.make_event("elsewhere")
    client = Client()
    client.force_login(build.make_user(other, Role.DIRECTOR))
    address = f"/desk/elsewhere/notices/suspension/{suspension.pk}/cancel/"
    assert client.post(address, {"reason": "x"}).status_code == 404


def test_the_page_is_not_exchanged_while_nothing_is_new(event: Event, client_as: SignIn, home: str) -> None:
    director = client_as(Role.DIRECTOR)
    suspension = started(director, home)
    director.post(f"{home}{suspension.pk}/horn/", {"signal": "stop"})
    shown = director.get(home).context
    current = {"seen": shown["seen"], "until": shown["until"]}
    assert director.get(f"{home}standing/", current).status_code == 204
    assert director.get(f"{home}standing/", current | {"seen": 1}).status_code == 200
    assert director.get(f"{home}standing/", current | {"until": 1}).status_code == 200
    suspension.refresh_from_db()
    suspension.ended, suspension.ended_at = "resumed", timezone.now()
    suspension.save()
    assert "The stop has ended" in director.get(f"{home}standing/").content.decode()


def test_nothing_on_the_pages_of_a_stop_is_called_safe(round_: Round, client_as: SignIn, home: str) -> None:
    director = client_as(Role.DIRECTOR)
    pages = [director.get(home).content.decode()]
    started(director, home)
    pages += [director.get(home).content.decode(), director.get(f"{home}completion/").content.decode()]
    pages.append(Client().get(f"/board/{round_.event.slug}/").content.decode())
    for text in pages:
        assert " safe" not in text.lower()
        assert "Local authorities, the land owner and" in text


def test_the_lead_distance_rests_on_the_longest_walk(event: Event, client_as: SignIn, home: str) -> None:
    """15 miles + 30 mph × 15 min = 22.5 miles (common practice, no source)."""
    Event.objects.filter(pk=event.pk).update(units="ft")
    director = client_as(Role.DIRECTOR)
    missing = director.get(home, {"storm": "30 mph"}).content.decode()
    assert "Write the walk to its shelter at each hole first." in missing
    hole = event.layouts.get().layout_holes.first()
    assert hole is not None
    facts = {"shelter": "Boat house", "shelter_minutes": 15}
    HoleDetails.objects.create(
        layout_hole=hole, facts=facts, sketch=[], changed_at=build.NOW, changed_by="Tester"
    )
    found = director.get(home, {"storm": "30 mph"})
    assert found.context["lead"].distance == "22.5 mi"
    assert found.context["lead"].unknown == 17
    assert "30 of what? Write the unit too" in director.get(home, {"storm": "30"}).content.decode()


@pytest.mark.parametrize("groups", [1, 3])
def test_the_pages_take_the_same_queries(
    event: Event, client_as: SignIn, home: str, django_assert_num_queries: Callable, groups: int
) -> None:
    field = build_cards.make_field(event, 3 * groups)
    sheet = build_cards.publish(event.rounds.get(number=1), [field[3 * n : 3 * n + 3] for n in range(groups)])
    sheet.groups.update(starts_at=timezone.now() - timedelta(minutes=30))
    director = client_as(Role.DIRECTOR)
    with django_assert_num_queries(18):
        director.get(home)
    suspension = started(director, home)
    director.post(f"{home}{suspension.pk}/horn/", {"signal": "stop"})
    director.get(home)
    with django_assert_num_queries(22):
        director.get(home)
    with django_assert_num_queries(11):
        director.get(f"{home}standing/", {"seen": 0})
    seen = Chain.objects.get(key=event.slug).length
    with django_assert_num_queries(5):  # 4 to know who asks, 1 revision
        director.get(f"{home}standing/", {"seen": seen})
