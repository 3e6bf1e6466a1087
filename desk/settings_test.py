"""Settings for the tests: the same house, a data folder of its own, a fast password hash."""

import os
import tempfile

os.environ.setdefault("STARTHORN_DATA", tempfile.mkdtemp(prefix="starthorn-test-"))

from desk.settings import *  # noqa: F403
from desk.settings import DATABASES, TEMPLATES

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
AXES_ENABLED = False
DATABASES["default"]["CONN_MAX_AGE"] = 0
STATIC_URL = "static/"


class UndefinedVariable(str):
    """An undefined template variable fails the test instead of printing nothing."""

    def __contains__(self, item: object) -> bool:
        return item == "%s"

    def __mod__(self, name: object) -> str:
        raise AssertionError(f"undefined template variable: {name}")


STRICT_TEMPLATES = UndefinedVariable("%s")
TEMPLATES[0]["OPTIONS"]["string_if_invalid"] = STRICT_TEMPLATES  # type: ignore[index]
