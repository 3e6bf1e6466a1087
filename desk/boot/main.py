"""What `manage.py` does with the words after it."""

import os
import signal
import socket
import sys
from pathlib import Path
from types import FrameType
from typing import NoReturn

from desk.boot import folder, gate, network, options
from desk.boot.console import complain
from desk.boot.environment import START_LOCK, TEST_LOCK, Environment
from desk.boot.errors import StartError

ROOT = Path(__file__).resolve().parents[2]
SETTINGS = "desk.settings"
OUR_PACKAGES = {"desk", "events", "scoring", "players"}
_INTERRUPTED = 130  # 128 + SIGINT, as shells count it


def main(words: list[str]) -> int:
    """Carry out one command line and return its exit status; what a person can mend becomes one line."""
    try:
        return _dispatch(words)
    except StartError as error:
        complain(str(error))
        return 1
    except KeyboardInterrupt:
        complain("\nStopped.")
        return _INTERRUPTED


def _dispatch(words: list[str]) -> int:
    environment = Environment(ROOT)
    match words:
        case ["start", *rest]:
            return _start(environment, words, options.parse(rest, ROOT))
        case ["test", *rest]:
            return _test(environment, words, rest)
        case _:
            return _django(environment, words)


def _start(environment: Environment, words: list[str], chosen: options.StartOptions) -> int:
    """Refuse what will not work before anything takes time, then set up, enter `.venv` and serve."""
    _end_on_signals()
    with network.listen(chosen.host, chosen.port) as listener:
        folder.prepare(chosen.data)
        environment.ensure(START_LOCK, sys.stdout)
        if not environment.is_running():
            environment.enter(words)
        return _serve(listener, chosen)


def _serve(listener: socket.socket, chosen: options.StartOptions) -> int:
    """Hand over to the Django command of the same name."""
    os.environ["STARTHORN_DATA"] = str(chosen.data)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", SETTINGS)
    import django
    from django.core.exceptions import ImproperlyConfigured
    from django.core.management import CommandError, call_command

    try:
        django.setup()
        call_command("start", listener=listener, empty=chosen.empty, skip_checks=False)
    except (CommandError, ImproperlyConfigured) as error:
        raise StartError(str(error)) from error
    return 0


def _test(environment: Environment, words: list[str], rest: list[str]) -> int:
    environment.ensure(TEST_LOCK, sys.stdout)
    if not environment.is_running():
        environment.enter(words)
    return gate.run(ROOT, rest)


def _django(environment: Environment, words: list[str]) -> int:
    if not environment.is_running():
        if not environment.is_usable():
            raise StartError("Nothing is installed yet: run `python3 manage.py start` first.")
        environment.enter(words)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", SETTINGS)
    from django.core.management import execute_from_command_line

    if words and _is_ours(words[0]) and not {"-h", "--help"} & set(words):
        _open_database()
    execute_from_command_line(["manage.py", *words])
    return 0


def _is_ours(command: str) -> bool:
    """Whether a command is the house's own: those work on the data, which must be there and up to date."""
    if not command.isidentifier():
        return False
    found = (ROOT / package for package in OUR_PACKAGES)
    return any(path for package in found for path in package.glob(f"**/management/commands/{command}.py"))


def _open_database() -> None:
    import django
    from django.core.management import CommandError
    from django.db import DatabaseError

    django.setup()
    from desk.database import bring_up_to_date

    try:
        bring_up_to_date(complain)
    except CommandError as error:
        raise StartError(str(error)) from error
    except DatabaseError as error:
        raise StartError(f"The database cannot be used: {error}") from error


def _end_on_signals() -> None:
    """Make SIGTERM end the start as Ctrl-C does, and Ctrl-C work where a shell had it ignored."""

    def end(number: int, frame: FrameType | None) -> NoReturn:
        for each in (signal.SIGINT, signal.SIGTERM):
            signal.signal(each, signal.SIG_IGN)  # once is enough: ending tidily takes a moment
        raise KeyboardInterrupt

    for each in (signal.SIGINT, signal.SIGTERM):
        signal.signal(each, end)
