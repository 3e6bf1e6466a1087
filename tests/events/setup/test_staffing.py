"""Accounts are made without a password; a link to set one never opens more than its maker directs."""

import pytest
from django.contrib.auth.models import User

import build
from build import ACTOR, NOW
from events.log.models import Act
from events.log.services import Actor
from events.setup.models import Role, Staff
from events.setup.staffing import (
    AlreadyStaff,
    GoneStaff,
    NameNeeded,
    OwnRole,
    add_staff,
    change_role,
    may_make_link,
    remove_staff,
    save_roles,
)

pytestmark = pytest.mark.django_db
BY = {"actor": ACTOR, "now": NOW}


def logged() -> list[tuple[str, str, dict]]:
    return list(Act.objects.order_by("number").values_list("action", "subject", "detail"))


def test_a_new_account_has_a_role_and_no_password(event):
    staff = add_staff(event=event, name="  Wren   Quillfeather ", role=Role.DESK, **BY)

    user = User.objects.get()
    assert (user.username, user.get_full_name()) == ("wren.quillfeather", "Wren Quillfeather")
    assert not user.has_usable_password()
    assert (staff.user, staff.role, staff.event) == (user, "desk", event)
    detail = {"account": "wren.quillfeather", "role": "desk"}
    assert logged() == [("staff.added", "Wren Quillfeather", detail)]


def test_accounts_of_one_name_are_told_apart(event):
    names = ("Wren Åsgard", "Wren Åsgard", "Wren", "雨 森")
    accounts = [add_staff(event=event, name=n, role=Role.DESK, **BY).user.username for n in names]

    assert accounts == ["wren.åsgard", "wren.åsgard2", "wren", "雨.森"]


@pytest.mark.parametrize("name", ["", "   ", "!?"])
def test_a_name_is_needed(event, name):
    with pytest.raises(NameNeeded):
        add_staff(event=event, name=name, role=Role.DESK, **BY)
    assert not User.objects.exists()


def test_an_account_that_exists_is_used_once(event):
    user = build.make_user(event, None, "corin")
    add_staff(event=event, user=user, role=Role.MARSHAL, **BY)

    with pytest.raises(AlreadyStaff, match="corin has a role"):
        add_staff(event=event, user=user, role=Role.DESK, **BY)
    assert [(s.user, s.role) for s in Staff.objects.all()] == [(user, "marshal")]


def test_roles_are_changed_and_taken_away_at_once(event):
    wren, corin, hale = (
        add_staff(event=event, name=n, role=Role.DESK, **BY) for n in ("Wren", "Corin", "Hale")
    )

    roles = {wren.pk: Role.CARD_ROOM, corin.pk: None, hale.pk: Role.DESK}
    save_roles(event=event, roles=roles, **BY)

    assert list(Staff.objects.order_by("pk").values_list("user__username", "role")) == [
        ("wren", "card_room"),
        ("hale", "desk"),
    ]
    assert logged()[3:] == [
        ("staff.changed", "Wren", {"role": {"old": "desk", "new": "card_room"}}),
        ("staff.removed", "Corin", {"role": {"old": "desk", "new": None}}),
    ]
    assert User.objects.filter(username="corin").exists()


def test_roles_of_somebody_gone_save_nothing(event):
    wren = add_staff(event=event, name="Wren", role=Role.DESK, **BY)

    with pytest.raises(GoneStaff):
        save_roles(event=event, roles={wren.pk: Role.VIEWER, wren.pk + 1: None}, **BY)
    assert Staff.objects.get().role == "desk"


def test_nobody_changes_their_own_role(event):
    user = build.make_user(event, Role.DIRECTOR)
    staff, actor = Staff.objects.get(), Actor.of(user)

    with pytest.raises(OwnRole):
        change_role(staff=staff, role=Role.VIEWER, actor=actor, now=NOW)
    with pytest.raises(OwnRole):
        remove_staff(staff=staff, actor=actor, now=NOW)
    assert Staff.objects.get().role == "director"


def test_a_link_opens_no_more_than_its_maker_directs(event):
    other = build.make_event("other-event")
    director = build.make_user(event, Role.DIRECTOR)
    chief = build.make_user(None, None)
    here, there = build.make_user(event, Role.DESK), build.make_user(event, Role.DESK)
    Staff.objects.create(event=other, user=there, role=Role.VIEWER)

    def allowed(actor: User) -> list[bool]:
        return [may_make_link(actor=actor, user=user) for user in (here, there, chief)]

    assert allowed(director) == [True, False, False]
    assert allowed(chief) == [True, True, True]
    Staff.objects.create(event=other, user=director, role=Role.DIRECTOR)
    assert allowed(director) == [True, True, False]
