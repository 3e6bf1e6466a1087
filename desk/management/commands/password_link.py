"""manage.py password_link [NAME]"""

from argparse import ArgumentParser
from typing import Any

from django.contrib.auth.models import User
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from desk.boot import options
from desk.signin import first_link, link_for
from events.log.actions import Action
from events.log.services import COMMAND, INSTALLATION, record


class Command(BaseCommand):
    help = (
        "Print a one-time link that sets a new password: for the director, or for the account of that name."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("name", nargs="?", help="account (default: the director)")
        parser.add_argument("--port", type=int, default=options.DEFAULT_PORT, help="port of the running desk")

    def handle(self, *args: Any, **given: Any) -> None:
        user = self._account(given["name"])
        path = link_for(user)
        record(
            chain=INSTALLATION,
            action=Action.STAFF_LINK,
            subject=user.get_username(),
            actor=COMMAND,
            now=timezone.now(),
        )
        self.stdout.write(f"{user.get_username()} sets a new password, once, at")
        self.stdout.write(f"http://127.0.0.1:{given['port']}{path}")

    def _account(self, name: str | None) -> User:
        if name is None:
            first_link()  # an installation without a director gets one
            director = User.objects.filter(is_superuser=True, is_active=True).order_by("pk").first()
            if director is None:
                raise CommandError("There is no director.")
            return director
        user = User.objects.filter(username=name, is_active=True).first()
        if user is None:
            names = ", ".join(
                User.objects.filter(is_active=True).order_by("username").values_list("username", flat=True)
            )
            raise CommandError(f"There is no account {name}. There are: {names or 'none'}.")
        return user
