"""`manage.py start` once the packages are there: database, demo, addresses, and the server itself."""

import io
import logging
import select
import socket
from argparse import ArgumentParser
from typing import Any

import segno
import waitress  # type: ignore[import-untyped]
from django.conf import settings
from django.core.management import BaseCommand, CommandError, call_command
from django.core.servers.basehttp import get_internal_wsgi_application
from django.db import DatabaseError
from django.urls import reverse

from desk.boot import network, options
from desk.boot.errors import StartError
from desk.database import bring_up_to_date, name_of_database
from desk.too_large import LARGEST_BODY, Channel

_BOARDS_TOLD = 4
_THREADS = 8
_CONNECTIONS = 600  # 300 phones on the board, each holding two; within what an ordinary process may open

# Whoever ends TLS runs on this machine. From anybody else what a proxy would say is dropped, as without one.
_PROXY = {
    "trusted_proxy": "127.0.0.1",
    "trusted_proxy_headers": {"x-forwarded-proto", "x-forwarded-for"},
    "clear_untrusted_proxy_headers": True,
}


class Command(BaseCommand):
    """Serve the desk and the board. `listener`, a socket that listens already, comes from `desk.boot`."""

    help = "Sets Starthorn up where needed, and serves the desk and the board on this network."
    stealth_options = ("listener",)

    def add_arguments(self, parser: ArgumentParser) -> None:
        options.add_to(parser)

    def handle(self, *args: Any, listener: socket.socket | None = None, **given: Any) -> None:
        try:
            listener = listener or network.listen(given["host"], given["port"])
            bring_up_to_date(self.stdout.write)
            if not given["empty"]:
                self._build_demo_if_needed()
            self._announce(listener)
            self._serve(listener)
        except StartError as error:
            raise CommandError(str(error)) from error
        except DatabaseError as error:
            raise CommandError(f"The database {name_of_database()} cannot be used: {error}") from error

    def _build_demo_if_needed(self) -> None:
        from events.setup.models import Event

        if not Event.objects.exists():
            self.stdout.write("Building the invented demo event; --empty leaves it out.")
            call_command("demo", stage="checkin")

    def _announce(self, listener: socket.socket) -> None:
        from desk import signin
        from events.setup.models import Event

        host, port = listener.getsockname()[:2]
        running = Event.objects.filter(over_at=None).order_by("-starts_on", "slug")
        slugs = running.values_list("slug", flat=True)[:_BOARDS_TOLD]
        boards = [reverse("board:kiosk", args=[slug]) for slug in slugs]
        lines = announcement(host, port, boards=boards, first_link=signin.first_link())
        self.stdout.write("\n".join(["", *lines, ""]))
        self.stdout.flush()

    def _serve(self, listener: socket.socket) -> None:
        """Answer requests until Ctrl-C or SIGTERM; what is being saved then is finished first."""
        logging.getLogger("waitress.queue").setLevel(logging.ERROR)  # a full queue empties by itself
        server_for(get_internal_wsgi_application(), listener, behind_proxy=settings.HTTPS).run()
        self.stdout.write("Starthorn has stopped. Everything acknowledged is saved.")


def server_for(application: Any, listener: socket.socket, *, behind_proxy: bool) -> Any:
    """The server of a WSGI application; `behind_proxy`: believe a proxy on this machine who asks, and how."""
    server = waitress.create_server(
        application,
        sockets=[listener],
        threads=_THREADS,
        connection_limit=_CONNECTIONS,
        asyncore_use_poll=hasattr(select, "poll"),  # select() ends at 1,024 open files
        max_request_body_size=LARGEST_BODY,  # a body is kept before anybody asks who sends it
        ident=None,
        **_PROXY if behind_proxy else {},
    )
    server.channel_class = Channel
    return server


def announcement(host: str, port: int, *, boards: list[str], first_link: str | None) -> list[str]:
    """Return the lines that tell where the desk and the boards are and how to sign in.

    `host` is the address listened on, `boards` holds the paths of the boards of the events that are not
    over, and `first_link` is the path of the one-time link, None when it is used up.
    """
    everywhere = host == options.EVERY_ADDRESS
    here = f"http://{'127.0.0.1' if everywhere else host}:{port}"
    if everywhere:
        others, without = network.lan_addresses(), "none found: only this machine can open the desk"
    else:
        others, without = network.unless_loopback([host]), "not offered, because of --host"
    addresses = [f"http://{address}:{port}" for address in others]
    shared = addresses[0] if addresses else here
    lines = ["Starthorn is ready.", "", f"  Desk      {here}/"]
    lines += [f"  Network   {address}/" for address in addresses] or [f"  Network   {without}"]
    lines += [f"  Board     {shared}{path}" for path in boards]
    if not boards:
        lines.append("  Board     comes with the first event")
    if first_link:
        lines.append(f"  Sign in   open {here}{first_link} once and set the director's password")
    else:
        lines.append(f"  Sign in   {here}/ with your name and password; forgotten: manage.py password_link")
    lines += ["  Stop      Ctrl-C", ""]
    return lines + (_qr(f"{shared}/") if addresses else [])


def _qr(address: str) -> list[str]:
    """Return the lines of a QR code in half blocks, the light parts drawn, as for a dark terminal."""
    drawn = io.StringIO()
    segno.make(address, error="l", micro=False).terminal(out=drawn, border=2, compact=True)
    return ["  " + line for line in drawn.getvalue().splitlines()]
