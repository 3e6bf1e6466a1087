"""Speaking to the person at the terminal, a whole line at a time."""

import sys


def say(line: str = "") -> None:
    """Write one line to the standard output, at once, also where that is a pipe or a log."""
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


def complain(line: str) -> None:
    """Write one line to the standard error."""
    sys.stderr.write(f"{line}\n")
    sys.stderr.flush()
