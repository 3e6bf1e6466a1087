#!/usr/bin/env python3
"""Starthorn's one command: `start` serves the desk, `test` runs the gate, any other word is Django's.

An older Python must be able to read this file far enough to say which Python is needed.
"""

import sys


def run() -> None:
    if sys.version_info < (3, 11):  # noqa: UP036  reached by exactly the Pythons that it turns away
        sys.exit(f"Starthorn needs Python 3.11 or newer; this is Python {sys.version.split()[0]}.")
    from desk.boot.main import main

    sys.exit(main(sys.argv[1:]))


if __name__ == "__main__":
    run()
