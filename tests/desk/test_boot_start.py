import http.client
import threading
from contextlib import closing, contextmanager

import pytest
import segno
from django.conf import settings
from django.core.management import CommandError, call_command
from django.db import connection
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder

from desk import database
from desk.boot import network
from desk.management.commands import start


@pytest.fixture
def offline(monkeypatch):
    monkeypatch.setattr(network, "lan_addresses", list)


@pytest.fixture
def two_networks(monkeypatch):
    monkeypatch.setattr(network, "lan_addresses", lambda: ["198.51.100.4", "203.0.113.9"])


def dark_modules(lines):
    """Read half blocks back, two rows from each line: what is not drawn is dark."""
    drawn = {"█": (0, 0), "▀": (0, 1), "▄": (1, 0), " ": (1, 1)}
    indent = 2
    return [[drawn[mark][half] for mark in line[indent:]] for line in lines for half in (0, 1)]


def dark_modules_of(address):
    rows = [list(row) for row in segno.make(address, error="l", micro=False).matrix_iter(border=2)]
    return (
        rows if len(rows) % 2 == 0 else [*rows, [1] * len(rows[0])]
    )  # below an odd last row nothing is drawn


def test_this_codes_own_database_has_no_unknown_migration(db):
    assert database.unknown_migrations(MigrationLoader(connection)) == []


def test_a_newer_database_is_refused_in_one_line_that_names_what_is_unknown(db):
    recorder = MigrationRecorder(connection)
    recorder.record_applied("log", "9999_later")
    recorder.record_applied("log", "9998_earlier")

    with network.listen("127.0.0.1", 0) as listener, pytest.raises(CommandError) as refused:
        call_command("start", listener=listener, empty=True)

    assert str(refused.value) == (
        f"The database {settings.DATABASES['default']['NAME']} is newer than this code, which does not know "
        "log.9998_earlier: update the code, or choose another folder with --data."
    )


def test_a_migration_that_a_later_one_replaces_is_known(db):
    recorder = MigrationRecorder(connection)
    recorder.record_applied("log", "0000_split")
    loader = MigrationLoader(connection)
    newest = max(key for key in loader.disk_migrations if key[0] == "log")
    loader.disk_migrations[newest].replaces = [("log", "0000_split")]

    assert database.unknown_migrations(loader) == []


def test_without_a_network_the_terminal_says_so(offline):
    assert start.announcement("0.0.0.0", 8400, boards=[], first_link="/first/x/y/") == [
        "Starthorn is ready.",
        "",
        "  Desk      http://127.0.0.1:8400/",
        "  Network   none found: only this machine can open the desk",
        "  Board     comes with the first event",
        "  Sign in   open http://127.0.0.1:8400/first/x/y/ once and set the director's password",
        "  Stop      Ctrl-C",
        "",
    ]


def test_on_a_network_addresses_boards_and_code_are_for_the_others(two_networks):
    lines = start.announcement("0.0.0.0", 8401, boards=["/board/autumn/", "/board/spring/"], first_link=None)

    assert lines[2:9] == [
        "  Desk      http://127.0.0.1:8401/",
        "  Network   http://198.51.100.4:8401/",
        "  Network   http://203.0.113.9:8401/",
        "  Board     http://198.51.100.4:8401/board/autumn/",
        "  Board     http://198.51.100.4:8401/board/spring/",
        "  Sign in   http://127.0.0.1:8401/ with your name and password; forgotten: manage.py password_link",
        "  Stop      Ctrl-C",
    ]
    assert dark_modules(lines[10:]) == dark_modules_of("http://198.51.100.4:8401/")


def test_kept_to_this_machine_there_is_no_code_to_scan(two_networks):
    assert start.announcement("127.0.0.1", 8400, boards=[], first_link=None) == [
        "Starthorn is ready.",
        "",
        "  Desk      http://127.0.0.1:8400/",
        "  Network   not offered, because of --host",
        "  Board     comes with the first event",
        "  Sign in   http://127.0.0.1:8400/ with your name and password; forgotten: manage.py password_link",
        "  Stop      Ctrl-C",
        "",
    ]


def test_served_on_one_address_that_is_the_one_told_and_drawn(two_networks):
    lines = start.announcement("198.51.100.77", 8400, boards=[], first_link=None)

    assert lines[2:4] == [
        "  Desk      http://198.51.100.77:8400/",
        "  Network   http://198.51.100.77:8400/",
    ]
    assert dark_modules(lines[8:]) == dark_modules_of("http://198.51.100.77:8400/")


@contextmanager
def serving(*, behind_proxy):
    """A server of an application that says by which scheme and from where it was asked; yields a connection."""

    def says(environ, start_response):
        environ["wsgi.input"].read()
        start_response("200 OK", [("Content-Type", "text/plain")])
        told = environ["wsgi.url_scheme"], environ.get("HTTP_X_FORWARDED_PROTO", ""), environ["REMOTE_ADDR"]
        return [" ".join(told).encode()]

    with network.listen("127.0.0.1", 0) as listener:
        server = start.server_for(says, listener, behind_proxy=behind_proxy)
        thread = threading.Thread(target=server.run, daemon=True)
        thread.start()
        try:
            with closing(http.client.HTTPConnection(*listener.getsockname()[:2], timeout=10)) as connection:
                yield connection
        finally:
            server.close()
            thread.join(10)


FORWARDED = {"X-Forwarded-Proto": "https", "X-Forwarded-For": "198.51.100.9", "Connection": "close"}


@pytest.mark.parametrize(
    ("behind_proxy", "told"), [(True, "https https 198.51.100.9"), (False, "http  127.0.0.1")]
)
def test_a_proxy_is_believed_only_where_there_is_one(behind_proxy, told):
    with serving(behind_proxy=behind_proxy) as connection:
        connection.request("GET", "/", headers=FORWARDED)
        assert connection.getresponse().read().decode() == told


TOO_LONG = 17 * 1024 * 1024


def test_a_body_longer_than_any_list_is_refused_before_it_is_sent():
    with serving(behind_proxy=False) as connection:
        connection.request("POST", "/", headers={"Content-Length": str(TOO_LONG)})
        answer = connection.getresponse()
        assert (answer.status, answer.headers["Content-Type"]) == (413, "text/html; charset=utf-8")
        assert "larger than 16 MB, the most that the laptop takes at once" in answer.read().decode()


def test_who_sends_a_too_long_body_all_the_same_reads_why_and_is_answered_again():
    """A browser reads the answer when everything is sent: cut off before, it shows a broken connection."""
    with serving(behind_proxy=False) as connection:
        connection.request("POST", "/", body=b"x" * TOO_LONG)
        answer = connection.getresponse()
        assert (answer.status, b"Nothing was saved." in answer.read()) == (413, True)
        connection.request("GET", "/")
        assert connection.getresponse().read().decode() == "http  127.0.0.1"


def test_who_asks_before_sending_is_refused_and_let_go():
    with serving(behind_proxy=False) as connection:
        ask = {"Content-Length": str(TOO_LONG), "Expect": "100-continue"}
        connection.request("POST", "/", headers=ask)
        answer = connection.getresponse()
        assert (answer.status, answer.headers["Connection"]) == (413, "close")
