"""A name for the static files as they are shipped, so that a browser may keep each for as long as it likes."""

import hashlib
from collections.abc import Iterable
from pathlib import Path


def static_version(folder: Path, others: Iterable[Path]) -> str:
    """Ten letters and digits that change whenever a file below `folder`, or one of `others`, does.

    `others` are the files that pin what packages ship beside our own.
    """
    digest = hashlib.sha256()
    for path in [*sorted(folder.rglob("*")), *others]:
        if path.is_file():
            digest.update(path.name.encode() + b"\0" + hashlib.sha256(path.read_bytes()).digest())
    return digest.hexdigest()[:10]
