"""The virtual environment `.venv` beside `manage.py`: made, filled, repaired and entered here."""

import contextlib
import importlib.util
import os
import shutil
import subprocess
import sys
import venv
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import NoReturn, TextIO

from desk.boot import install, stamp
from desk.boot.errors import StartError

START_LOCK = "requirements.lock"
TEST_LOCK = "requirements-test.lock"


class Environment:
    """The `.venv` of the clone at `root`, for the Python that is running now."""

    def __init__(self, root: Path) -> None:
        self.root = root
        self.folder = root / ".venv"
        inside = ("Scripts", "python.exe") if os.name == "nt" else ("bin", "python")
        self.python = self.folder.joinpath(*inside)
        self.wanted = f"{sys.version_info.major}.{sys.version_info.minor}"

    def is_running(self) -> bool:
        """Tell whether this very process is the environment's own Python."""
        return Path(sys.prefix).resolve() == self.folder.resolve()

    def is_usable(self) -> bool:
        """Tell whether there is a whole environment to enter, whatever is installed in it."""
        return self.python.exists() and (self.folder / "pyvenv.cfg").is_file()

    def has(self, lock_name: str) -> bool:
        """Tell, from the stamp alone, whether the packages of this lock file are installed."""
        fits = stamp.fits(stamp.read(self.folder), self.root / lock_name, self.wanted)
        return fits and self.is_usable()

    def ensure(self, lock_name: str, out: TextIO) -> None:
        """Make or repair the environment until the packages of `lock_name` are in it; say so on `out`.

        Costs milliseconds and needs no network when they are. Raises `StartError`.
        """
        if self.has(lock_name):
            return
        try:
            with _exclusive(self.root / START_LOCK, out):
                if not self.has(lock_name):
                    self._build(self.root / lock_name, out)
        except OSError as error:
            raise StartError(f"{self.folder} cannot be written ({error.strerror or error}).") from error

    def enter(self, arguments: list[str]) -> NoReturn:
        """Go on as the environment's own Python with the same words after `manage.py`."""
        _become(self.python, [str(self.root / "manage.py"), *arguments])

    def _build(self, lock: Path, out: TextIO) -> None:
        before = stamp.read(self.folder)
        if not self.is_usable() or self._python_inside() != self.wanted or (before and not before.finished):
            self._make(out)
            before = None
        print(f"Installing the packages of {lock.name} into .venv:", file=out, flush=True)
        unfinished = stamp.Stamp(self.wanted, {}, finished=False)
        stamp.write(self.folder, unfinished)
        try:
            install.install(self.python, lock, log=self.folder / install.LOG_NAME, out=out)
        except install.NothingInstalledError:
            if before:
                stamp.write(self.folder, before)
            raise
        others = [self.root / START_LOCK, self.root / TEST_LOCK]
        stamp.write(self.folder, replace(unfinished, locks=stamp.covered(lock, others), finished=True))

    def _python_inside(self) -> str:
        """Return the version ("3.11") that the environment was made for."""
        for line in (self.folder / "pyvenv.cfg").read_text(encoding="utf-8").splitlines():
            name, _, value = line.partition("=")
            if name.strip() in {"version", "version_info"}:
                return ".".join(value.strip().split(".")[:2])
        return ""

    def _make(self, out: TextIO) -> None:
        """Make the environment from nothing, removing what is there."""
        if self.is_running():  # a saw does not cut the branch that it sits on
            raise StartError(f"{self.folder} must be made anew: start again with the system's python3.")
        if importlib.util.find_spec("ensurepip") is None:
            raise StartError(
                f"This Python lacks venv: on Debian or Ubuntu, apt install python{self.wanted}-venv."
            )
        print(f"Making .venv for Python {self.wanted}.", file=out, flush=True)
        if self.folder.is_dir():
            (self.folder / "pyvenv.cfg").unlink(
                missing_ok=True
            )  # first, so that half of it never looks whole
            shutil.rmtree(self.folder)
        self.folder.mkdir()
        stamp.write(self.folder, stamp.Stamp(self.wanted, {}, finished=False))
        try:
            venv.EnvBuilder(with_pip=True, symlinks=os.name != "nt").create(self.folder)
        except subprocess.CalledProcessError as error:
            raise StartError(
                f"Python {self.wanted} could not make {self.folder}: is its venv complete?"
            ) from error


def _become(python: Path, arguments: list[str]) -> NoReturn:
    """Replace this process, or, where a system cannot do that, wait for the other and end as it ends."""
    command = [str(python), *arguments]
    sys.stdout.flush()
    sys.stderr.flush()
    if os.name == "nt":
        sys.exit(subprocess.call(command))  # noqa: S603  our own words only
    os.execv(command[0], command)  # noqa: S606


@contextlib.contextmanager
def _exclusive(path: Path, out: TextIO) -> Iterator[None]:
    """Let one start at a time change `.venv`; a second one says that it waits."""
    try:
        import fcntl
    except ImportError:  # not on Windows, where two first starts at once stay the user's own care
        yield
        return
    with path.open("rb") as held:
        try:
            fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            print("Another start is still installing: waiting for it.", file=out, flush=True)
            fcntl.flock(held, fcntl.LOCK_EX)
        os.set_inheritable(held.fileno(), True)
        yield
