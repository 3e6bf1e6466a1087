"""The time zone of the machine, as a first guess of the venue's."""

import os
from pathlib import Path
from zoneinfo import available_timezones


def local_zone() -> str:
    """The name of this machine's time zone; UTC where it does not tell."""
    named = os.environ.get("TZ", "").lstrip(":")
    if named in available_timezones():
        return named
    parts = Path("/etc/localtime").resolve().parts
    name = "/".join(parts[parts.index("zoneinfo") + 1 :]) if "zoneinfo" in parts else ""
    return name if name in available_timezones() else "UTC"
