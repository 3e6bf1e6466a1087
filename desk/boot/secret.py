"""The secret key of one installation: made once, kept in the data folder, read by the settings."""

import contextlib
import os
import secrets
import time
from pathlib import Path

from desk.boot.errors import StartError

FILE_NAME = "secret_key"
_OWNER_ONLY = 0o600
_PATIENCE_SECONDS = 2.0  # another process writes 67 bytes; anything longer is a file left empty by a crash


def ensure(data: Path) -> str:
    """Return the secret key kept in the folder `data`, making the folder and the key when they are missing.

    The file is created exclusively and with mode 0600 from its first moment: of any number of processes that
    start at once, one writes and the others read what it wrote. A mode that became wider (a restored copy) is
    narrowed again where the file system has modes. Raises `StartError` when the folder cannot hold the key or
    the file stays empty.
    """
    path = data / FILE_NAME
    try:
        data.mkdir(mode=0o700, parents=True, exist_ok=True)
        _create(path)
        _narrow(path)
        return _read(path)
    except OSError as error:
        raise StartError(f"The secret key {path} cannot be kept: {error.strerror}.") from error


def _create(path: Path) -> None:
    """Write a new key unless the file exists already, in whatever state."""
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, _OWNER_ONLY)
    except FileExistsError:
        return
    with os.fdopen(handle, "w", encoding="ascii") as file:
        file.write(secrets.token_urlsafe(50))
        file.flush()
        os.fsync(file.fileno())


def _narrow(path: Path) -> None:
    """Take the key away from group and others; a borrowed USB stick may have no modes to set."""
    if os.name == "posix" and path.stat().st_mode & 0o077:
        with contextlib.suppress(OSError):
            path.chmod(_OWNER_ONLY)


def _read(path: Path) -> str:
    """Return the key, waiting a moment for a process that has created the file and not yet filled it."""
    deadline = time.monotonic() + _PATIENCE_SECONDS
    while not (key := path.read_text(encoding="utf-8").strip()):
        if time.monotonic() > deadline:
            raise StartError(f"The secret key file {path} is empty: delete it and start again.")
        time.sleep(0.01)
    return key
