"""Installing the locked packages with pip, told in plain words."""

import os
import re
import subprocess
from pathlib import Path
from typing import TextIO

from desk.boot import stamp
from desk.boot.errors import StartError

LOG_NAME = "starthorn-install.log"
# A package from the index, one already there, or a wheel from a local folder ("Processing ./x-1.whl").
_FOUND = re.compile(
    r"^\s*(?:(?:Collecting|Requirement already satisfied:) ([\w.-]+)"
    r"|Processing (?:.*[/\\])?(\w[\w.]*)-\S+\.whl)"
)
_NO_NETWORK = ("NewConnectionError", "NameResolutionError", "name resolution", "ConnectTimeout", "ProxyError")


class NothingInstalledError(StartError):
    """pip stopped while it was still fetching: what was installed before is untouched."""


class Progress:
    """Counts the packages in pip's output and shows "n of m"; `placing` is True once files are written."""

    def __init__(self, total: int, out: TextIO) -> None:
        self.total = total
        self.placing = False
        self._seen: set[str] = set()
        self._out = out
        self._in_place = out.isatty()
        self._line_open = False

    def read(self, line: str) -> None:
        """Take one line of pip's output."""
        if line.startswith("Ignoring "):  # pinned for another system
            self.total -= 1
        elif line.startswith("Installing collected packages"):
            self.placing = True
            self._show(f"  putting {len(line.split(','))} packages in place", end="\n")
        elif match := _FOUND.match(line):
            self._count(re.sub(r"[-_.]+", "-", match[1] or match[2]).lower())

    def _count(self, name: str) -> None:
        if name in self._seen:  # pip says "already satisfied" once for each package that asks for it
            return
        self._seen.add(name)
        done = len(self._seen)
        if self._in_place:
            self._show(f"  {done} of {self.total}  {name}", end="")
        elif done % 10 == 0 or done == self.total:
            self._show(f"  {done} of {self.total}", end="\n")

    def end(self) -> None:
        """Leave the line that is being counted on, so that what follows starts on one of its own."""
        if self._line_open:
            self._show(f"  {len(self._seen)} of {self.total}", end="\n")

    def _show(self, text: str, *, end: str) -> None:
        self._line_open = not end
        start = "\r\x1b[K" if self._in_place else ""
        print(start + text, end=end, file=self._out, flush=True)


def install(python: Path, lock: Path, *, log: Path, out: TextIO) -> None:
    """Install exactly the pinned packages of `lock` into the environment of `python`.

    Wheels only and each checked against its hash, so that no code of a package runs on the way in. What pip
    says goes to the file `log`. Raises `NothingInstalledError` while the environment is still as it was,
    otherwise `StartError`.
    """
    progress = Progress(len(stamp.pins(lock)), out)
    code = _run_pip(python, lock, log, progress)
    progress.end()
    if code:
        kind = StartError if progress.placing else NothingInstalledError
        raise kind(reason(log.read_text(encoding="utf-8"), lock, log))


def _run_pip(python: Path, lock: Path, log: Path, progress: Progress) -> int:
    command = [str(python), "-m", "pip", "install", "--require-hashes", "--only-binary", ":all:"]
    command += ["--no-input", "--progress-bar", "off", "--no-warn-script-location", "--retries", "2"]
    command += ["--disable-pip-version-check", "--requirement", str(lock)]
    env = {**os.environ, "PYTHONUNBUFFERED": "1", "PIP_USER": "0", "NO_COLOR": "1"}
    # close_fds=False hands the lock of `exclusive` on: should this process be killed, pip keeps others out.
    with (
        log.open("w", encoding="utf-8") as kept,
        subprocess.Popen(  # noqa: S603  our own words only
            command,
            env=env,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            encoding="utf-8",
            errors="replace",
            close_fds=False,
        ) as pip,
    ):
        try:
            for line in pip.stdout or ():
                kept.write(line)
                progress.read(line)
        except BaseException:
            pip.terminate()
            raise
    return pip.returncode


def reason(said: str, lock: Path, log: Path) -> str:
    """Turn pip's output into one line."""
    if "DO NOT MATCH THE HASHES" in said:
        return f"A fetched package is not the one named in {lock.name}: nothing was installed. See {log}."
    if "No space left" in said:
        return "The disk is full: make room and start again."
    if any(word in said for word in _NO_NETWORK):
        return "The package index cannot be reached: the first start needs the internet, later ones do not."
    last = [line for line in said.splitlines() if line.startswith("ERROR")] or ["pip gave no reason"]
    return f"The packages could not be installed ({last[0].removeprefix('ERROR: ')}). See {log}."
