"""The version of the house, as pyproject.toml says it."""

import tomllib

from django.conf import settings


def _version() -> str:
    with (settings.BASE_DIR / "pyproject.toml").open("rb") as file:
        return str(tomllib.load(file)["project"]["version"])


VERSION = _version()
