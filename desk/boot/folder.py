"""The data folder: everything that one installation must not lose lies in it."""

import contextlib
import os
import tempfile
from pathlib import Path

from desk.boot.errors import StartError

DATABASE_NAME = "starthorn.sqlite3"
OWNER_ONLY = 0o600
OWNER_ENTERS = 0o700


def chosen(given: str | None, root: Path) -> Path:
    """Return the absolute data folder: `--data`, else `STARTHORN_DATA`, else `data` beside `manage.py`."""
    name = given or os.environ.get("STARTHORN_DATA")
    return Path(name).expanduser().absolute() if name else root / "data"


def prepare(data: Path) -> None:
    """Make the folder and prove by writing that it, and the database in it if there is one, can be written.

    A folder that is made here is its owner's alone: nobody else on this machine may read telephone numbers.

    Raises `StartError`. Permission bits are not asked, because they do not tell of a full or read-only disk.
    """
    try:
        data.mkdir(mode=OWNER_ENTERS, parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=data, prefix=".writable-") as probe:
            probe.write(b"probe")
            probe.flush()
    except OSError as error:
        raise StartError(
            f"The data folder {data} cannot be written ({error.strerror}): choose another with --data."
        ) from error
    database = data / DATABASE_NAME
    try:
        with contextlib.suppress(FileNotFoundError):
            os.close(os.open(database, os.O_RDWR))
    except OSError as error:
        raise StartError(f"The database {database} cannot be written ({error.strerror}).") from error


def close_to_others(data: Path) -> None:
    """Take the database away from group and others, in whatever folder it lies, with the files beside it.

    A borrowed USB stick may have no modes to set.
    """
    for file in data.glob(f"{DATABASE_NAME}*"):
        with contextlib.suppress(OSError):
            if os.name == "posix" and file.stat().st_mode & 0o077:
                file.chmod(OWNER_ONLY)
