"""What may stand after `manage.py start`."""

import argparse
from dataclasses import dataclass
from pathlib import Path

from desk.boot import folder

DEFAULT_PORT = 8400
EVERY_ADDRESS = "0.0.0.0"  # noqa: S104  phones and other desks on the local network are meant to reach it


@dataclass(frozen=True)
class StartOptions:
    """The choices of one start; `data` is absolute."""

    data: Path
    host: str
    port: int
    empty: bool


def add_to(parser: argparse.ArgumentParser) -> None:
    """Add the choices that do not need to be known before the settings are read."""
    parser.add_argument("--empty", action="store_true", help="do not build the demo event")
    parser.add_argument(
        "--port", type=_port, default=DEFAULT_PORT, metavar="N", help="port, %(default)s if not given"
    )
    parser.add_argument(
        "--host",
        default=EVERY_ADDRESS,
        metavar="ADDRESS",
        help="address to serve on; 127.0.0.1 keeps it to this machine (default: the whole network)",
    )


def parse(arguments: list[str], root: Path) -> StartOptions:
    """Read the words after `start`; on a bad one argparse prints its line and exits with 2."""
    parser = argparse.ArgumentParser(
        prog="manage.py start", description="Set Starthorn up where needed, and serve the desk and the board."
    )
    add_to(parser)
    parser.add_argument(
        "--data", metavar="DIR", help="folder for everything that is kept (default: data beside manage.py)"
    )
    given = parser.parse_args(arguments)
    return StartOptions(folder.chosen(given.data, root), given.host, given.port, given.empty)


def _port(text: str) -> int:
    if not text.isdecimal() or int(text) > 65535:
        raise argparse.ArgumentTypeError(f"{text!r} is not a port: write a number up to 65535")
    return int(text)
