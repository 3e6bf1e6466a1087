"""Who works at an event: accounts without a password, and their roles."""

import unicodedata
from collections.abc import Mapping
from datetime import datetime

from django.contrib.auth.models import User
from django.db import transaction
from django.utils.text import slugify

from events.log.actions import Action
from events.log.services import INSTALLATION, Actor, record
from events.setup.models import Event, Role, Staff


class StaffError(Exception):
    """A change of the staff that cannot be; the message is a sentence for the page."""


class NameNeeded(StaffError):
    """A new account needs a name that can be signed in with."""


class AlreadyStaff(StaffError):
    """The account has a role at this event already."""


class GoneStaff(StaffError):
    """The role was taken away in between."""


class OwnRole(StaffError):
    """Nobody takes the plan out of their own hands by mistake."""


@transaction.atomic
def add_staff(
    *, event: Event, role: Role, actor: Actor, now: datetime, name: str = "", user: User | None = None
) -> Staff:
    """A role for a new account of this name, or for an account that exists.

    A new account has no password: a one-time link lets its holder set one. Raises NameNeeded, AlreadyStaff.
    """
    if user is None:
        user = _new_account(name)
    elif Staff.objects.filter(event=event, user=user).exists():
        raise AlreadyStaff(f"{_label(user)} has a role at this event.")
    staff = Staff.objects.create(event=event, user=user, role=Role(role))
    record(
        chain=event.slug,
        action=Action.STAFF_ADDED,
        subject=_label(user),
        actor=actor,
        now=now,
        detail={"account": user.get_username(), "role": staff.role},
    )
    return staff


@transaction.atomic
def change_role(*, staff: Staff, role: Role, actor: Actor, now: datetime) -> Staff:
    """The same account in another role. Raises OwnRole."""
    old = staff.role
    if old == role:
        return staff
    _refuse_own(staff, actor)
    staff.role = Role(role)
    staff.save(update_fields=["role"])
    record(
        chain=staff.event.slug,
        action=Action.STAFF_CHANGED,
        subject=_label(staff.user),
        actor=actor,
        now=now,
        detail={"role": {"old": old, "new": staff.role}},
    )
    return staff


@transaction.atomic
def remove_staff(*, staff: Staff, actor: Actor, now: datetime) -> None:
    """Take the role away; the account stays, since the log and other events know it. Raises OwnRole."""
    _refuse_own(staff, actor)
    event, label, role = staff.event, _label(staff.user), staff.role
    staff.delete()
    record(
        chain=event.slug,
        action=Action.STAFF_REMOVED,
        subject=label,
        actor=actor,
        now=now,
        detail={"role": {"old": role, "new": None}},
    )


@transaction.atomic
def save_roles(*, event: Event, roles: Mapping[int, Role | None], actor: Actor, now: datetime) -> None:
    """The roles of several at once, by the pk of their Staff row; None takes the role away.

    Raises GoneStaff for somebody who is no longer there, and OwnRole; then nothing is saved.
    """
    held = {found.pk: found for found in Staff.objects.filter(event=event).select_related("user", "event")}
    for pk, role in roles.items():
        if pk not in held:
            raise GoneStaff("Somebody else took one of them off the staff: look again, then save.")
        if role is None:
            remove_staff(staff=held[pk], actor=actor, now=now)
        else:
            change_role(staff=held[pk], role=role, actor=actor, now=now)


def may_make_link(*, actor: User, user: User) -> bool:
    """Whether `actor`, director of some event, may hand out a link that sets the password of `user`.

    A link is the account: it must not open an event that its maker does not direct, nor the installation.
    """
    if actor.is_superuser:
        return True
    if user.is_superuser:
        return False
    directed = Staff.objects.filter(user=actor, role=Role.DIRECTOR).values("event")
    return not Staff.objects.filter(user=user).exclude(event__in=directed).exists()


@transaction.atomic
def note_link(*, staff: Staff, actor: Actor, now: datetime) -> None:
    """Keep in the event's log that a one-time link was made for this account. The link is kept nowhere."""
    record(chain=staff.event.slug, action=Action.STAFF_LINK, subject=_label(staff.user), actor=actor, now=now)


@transaction.atomic
def note_password(*, user: User, now: datetime) -> None:
    """Keep in the installation's log that an account's holder has set its password."""
    record(
        chain=INSTALLATION,
        action=Action.STAFF_PASSWORD,
        subject=user.get_username(),
        actor=Actor.of(user),
        now=now,
    )


def _refuse_own(staff: Staff, actor: Actor) -> None:
    if actor.id == staff.user_id:
        raise OwnRole("Your own role is changed by another director.")


def _label(user: User) -> str:
    return user.get_full_name() or user.get_username()


def _new_account(name: str) -> User:
    """An account named after its holder; a number is added where the name is taken."""
    words = unicodedata.normalize("NFC", " ".join(name.split()))
    stem = slugify(words, allow_unicode=True).replace("-", ".")[:100].strip(".")
    if not stem:
        raise NameNeeded("Write the name of the person.")
    taken = set(User.objects.filter(username__startswith=stem).values_list("username", flat=True))
    username = next(n for n in (stem, *(f"{stem}{i}" for i in range(2, len(taken) + 3))) if n not in taken)
    user = User(username=username, first_name=words[:150])
    user.set_unusable_password()
    user.save(force_insert=True)
    return user
