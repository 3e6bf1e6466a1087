"""Small worlds for tests: an event of two divisions, one layout of 18 holes and two rounds, and its people."""

import itertools
from datetime import UTC, date, datetime, time
from typing import Any

from django.contrib.auth.models import User

from events.course.models import Hole, Layout, LayoutHole, LayoutUse, Target, Tee
from events.entries.models import Entry, Status
from events.log.services import Actor
from events.setup.models import Division, Event, Role, Round, Staff
from players.models import Person

NOW = datetime(2026, 6, 12, 7, 0, tzinfo=UTC)
ACTOR = Actor(name="Tester", id=None)
PARS = (3, 3, 4, 3, 3, 3, 4, 3, 5, 3, 3, 3, 4, 3, 3, 3, 3, 4)
_number = itertools.count(70001)


def make_event(
    slug: str = "quiet-pines", *, divisions: tuple[str, ...] = ("MA1", "FA1"), rounds: int = 2, **facts: Any
) -> Event:
    """An event on 12 and 13 June 2026 in UTC, one layout "Upper" of 18 holes, used by everybody in each round."""
    event = Event.objects.create(
        slug=slug,
        name=facts.pop("name", "Quiet Pines Open"),
        starts_on=date(2026, 6, 12),
        ends_on=date(2026, 6, 13),
        **facts,
    )
    for order, code in enumerate(divisions):
        Division.objects.create(event=event, code=code, order=order, fee_cents=4500)
    layout = make_layout(event, "Upper")
    for number in range(1, rounds + 1):
        day = date(2026, 6, 12 if number < 3 else 13)
        round_ = Round.objects.create(
            event=event, number=number, date=day, first_start=time(9 if number % 2 else 13)
        )
        use_layout(round_, layout)
    return event


def make_layout(event: Event, name: str, *, pars: tuple[int, ...] = PARS, tees: str = "tee") -> Layout:
    """A layout of its own holes; `tees` is the first part of the tee names, so two layouts may share tees."""
    layout = Layout.objects.create(event=event, name=name)
    for position, par in enumerate(pars, start=1):
        tee, _ = Tee.objects.get_or_create(
            event=event, name=f"{tees} {position}", defaults={"walk_minutes": position % 7}
        )
        target, _ = Target.objects.get_or_create(event=event, name=f"{name} target {position}")
        hole, _ = Hole.objects.get_or_create(
            event=event, tee=tee, target=target, defaults={"length_m": 60 + 30 * par + position}
        )
        LayoutHole.objects.create(layout=layout, position=position, label=str(position), hole=hole, par=par)
    return layout


def use_layout(round_: Round, layout: Layout, *codes: str) -> None:
    for division in round_.event.divisions.all():
        if not codes or division.code in codes:
            LayoutUse.objects.update_or_create(round=round_, division=division, defaults={"layout": layout})


def make_person(family: str = "Halvorsen", given: str = "Ines", **facts: Any) -> Person:
    facts.setdefault("member_number", next(_number))
    facts.setdefault("birth_year", 1990)
    facts.setdefault("rating", 900)
    facts.setdefault("membership", "current")
    facts.setdefault("playing_class", "am")
    return Person.objects.create(family_name=family, given_name=given, **facts)


def make_entry(event: Event, division: str = "MA1", *, person: Person | None = None, **facts: Any) -> Entry:
    """A confirmed and paid entry, unless told otherwise."""
    person = person or make_person(given=f"Player{next(_number)}")
    facts.setdefault("status", Status.CONFIRMED)
    facts.setdefault("received_at", NOW)
    facts.setdefault("fee_cents", 4500)
    facts.setdefault("paid_elsewhere_cents", 4500)
    return Entry.objects.create(
        event=event,
        person=person,
        division=event.divisions.get(code=division),
        rating=facts.pop("rating", person.rating),
        **facts,
    )


def make_user(event: Event | None, role: Role | None, name: str = "") -> User:
    """An account with a role at the event; role None and event None: the installation's director."""
    user = User.objects.create_user(
        name or f"user-{role or 'none'}-{next(_number)}", password="a long password"
    )
    if event is None:
        user.is_superuser = True
        user.save()
    elif role is not None:
        Staff.objects.create(event=event, user=user, role=role)
    return user
