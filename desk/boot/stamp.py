"""The stamp inside `.venv`: what is installed there, so that the next start need not look."""

import hashlib
import json
import os
import re
from dataclasses import asdict, dataclass
from pathlib import Path

FILE_NAME = "starthorn-stamp.json"
_PIN = re.compile(r"^([A-Za-z0-9][A-Za-z0-9._-]*==[^\s\\;]+)", re.MULTILINE)


@dataclass(frozen=True)
class Stamp:
    """`python` is "3.11", `locks` maps a lock file's name to the SHA-256 of what was installed from it.

    `finished` is False from before the first change until after the last: what still says so at the next
    start was interrupted and is made anew.
    """

    python: str
    locks: dict[str, str]
    finished: bool


def read(venv: Path) -> Stamp | None:
    """Return the stamp, None where somebody else made the folder; a damaged stamp counts as unfinished."""
    try:
        return Stamp(**json.loads((venv / FILE_NAME).read_text(encoding="utf-8")))
    except FileNotFoundError:
        return None
    except (OSError, ValueError, TypeError):
        return Stamp(python="", locks={}, finished=False)


def write(venv: Path, stamp: Stamp) -> None:
    """Put the stamp in place in one step, so that an interruption leaves the old one or the new one."""
    fresh = venv / f"{FILE_NAME}.new"
    fresh.write_text(json.dumps(asdict(stamp), indent=1), encoding="utf-8")
    os.replace(fresh, venv / FILE_NAME)


def fits(stamp: Stamp | None, lock: Path, python: str) -> bool:
    """Tell whether exactly this lock file was installed, to the end, for this Python ("3.11")."""
    return (
        stamp is not None
        and stamp.finished
        and stamp.python == python
        and stamp.locks.get(lock.name) == fingerprint(lock)
    )


def fingerprint(lock: Path) -> str:
    """Return the SHA-256 of the lock file in hexadecimal."""
    return hashlib.sha256(lock.read_bytes()).hexdigest()


def pins(lock: Path) -> list[str]:
    """Return the pinned requirements (`name==version`) of a lock file in its order, one for each marker."""
    return _PIN.findall(lock.read_text(encoding="utf-8"))


def covered(lock: Path, others: list[Path]) -> dict[str, str]:
    """Return name and fingerprint of `lock` and of those others whose every pin it holds too.

    After the packages of the tests are in, the desk needs no second installation.
    """
    held = set(pins(lock))
    locks = [lock, *(other for other in others if other != lock and set(pins(other)) <= held)]
    return {each.name: fingerprint(each) for each in locks}
