"""Signing in without a default password: one-time links that set one."""

from django.contrib.auth import get_user_model
from django.contrib.auth.models import User
from django.contrib.auth.tokens import default_token_generator
from django.urls import reverse
from django.utils.encoding import force_bytes
from django.utils.http import urlsafe_base64_encode

DIRECTOR = "director"


def link_for(user: User) -> str:
    """Path that lets its holder set the password of `user`, once, within PASSWORD_RESET_TIMEOUT."""
    return reverse(
        "first_password",
        args=[urlsafe_base64_encode(force_bytes(user.pk)), default_token_generator.make_token(user)],
    )


def first_link() -> str | None:
    """The link of the installation's director, made if need be; None once a director has a password."""
    accounts = get_user_model().objects.filter(is_superuser=True, is_active=True).order_by("pk")
    if any(account.has_usable_password() for account in accounts):
        return None
    director = accounts.first()
    if director is None:
        director = User(username=DIRECTOR, is_superuser=True, is_staff=True)
        director.set_unusable_password()
        director.save()
    return link_for(director)
