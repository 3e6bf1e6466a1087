"""Signing in without a default password: one-time links that set one, and the way back to where one was."""

from collections.abc import Callable
from typing import Any
from urllib.parse import urlencode, urlsplit

import segno
from django.conf import settings
from django.contrib.auth import get_user_model
from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.contrib.auth.models import User
from django.contrib.auth.tokens import PasswordResetTokenGenerator
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils.encoding import force_bytes
from django.utils.http import url_has_allowed_host_and_scheme, urlsafe_base64_encode

from desk.boot.network import lan_addresses
from events.setup.models import Staff

DIRECTOR = "director"
LOOPBACK = frozenset({"localhost", "127.0.0.1"})


class Links(PasswordResetTokenGenerator):
    """Tokens that also end when the account gets or loses an event: a link is worth what it was worth when it was
    made, and whoever made it may not direct the event that came later."""

    def _make_hash_value(self, user: User, timestamp: int) -> str:
        events = Staff.objects.filter(user_id=user.pk).order_by("event").values_list("event", flat=True)
        return f"{super()._make_hash_value(user, timestamp)}{list(events)}"


LINKS = Links()


def link_for(user: User) -> str:
    """Path that lets its holder set the password of `user`, once, within PASSWORD_RESET_TIMEOUT."""
    return reverse(
        "first_password",
        args=[urlsafe_base64_encode(force_bytes(user.pk)), LINKS.make_token(user)],
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


def reachable(request: HttpRequest, path: str) -> str:
    """The whole address of a path as a phone on the network reaches it.

    A director who works on the laptop itself sees it as localhost, which on a phone is the phone.
    """
    host, _, port = request.get_host().partition(":")
    addresses = lan_addresses() if host in LOOPBACK else []
    if addresses:
        host = addresses[0]
    return f"{request.scheme}://{host}{f':{port}' if port else ''}{path}"


def qr_image(text: str) -> str:
    """A QR code as a data: address for an <img>; dark on white with the quiet zone that scanners need."""
    return segno.make(text, error="m", micro=False).svg_data_uri(scale=5, border=4, light="#fff")


class BackToThePage(LoginRequiredMiddleware):
    """Sends people whose session has ended to the sign-in page, and from there back to the page they saw.

    A part of a page or a form has an address too, but not one that anybody wants to land on.
    """

    def handle_no_permission(  # type: ignore[override]  # an answer to htmx is no ordinary redirect
        self, request: HttpRequest, view_func: Callable[..., Any]
    ) -> HttpResponse:
        if request.headers.get("HX-Request"):
            # The page stays where it is, with what was typed on it: answer.js says how to go on.
            return HttpResponse("Signed out", status=401)
        return HttpResponseRedirect(f"{reverse(settings.LOGIN_URL)}?{urlencode({'next': page_of(request)})}")


def page_of(request: HttpRequest) -> str:
    """Path and query of the page that a request came from: its own when a page was asked for."""
    if request.method == "GET":
        return request.get_full_path()
    shown = request.headers.get("Referer", "")
    if not url_has_allowed_host_and_scheme(shown, allowed_hosts={request.get_host()}):
        return "/"
    address = urlsplit(shown)
    return f"{address.path}?{address.query}" if address.query else address.path
