"""Finding the Chromium that the browser tests drive."""

import os
import shutil

from desk.boot.errors import StartError

PATH_VARIABLE = "STARTHORN_CHROMIUM"
REQUIRED_VARIABLE = "STARTHORN_REQUIRE_BROWSER"
_NAMES = ("chromium", "chromium-browser", "google-chrome")


def find() -> str | None:
    """Return the path of a Chromium, from `STARTHORN_CHROMIUM` or the search path, else None.

    Raises `StartError` when the variable names something that cannot be run.
    """
    named = os.environ.get(PATH_VARIABLE)
    if named:
        if shutil.which(named) is None:
            raise StartError(f"{PATH_VARIABLE}={named} is not a program that can be run.")
        return named
    return next(filter(None, map(shutil.which, _NAMES)), None)


def is_required() -> bool:
    """Tell whether a missing Chromium is a failure, as it is in CI."""
    return os.environ.get(REQUIRED_VARIABLE, "") not in {"", "0"}
