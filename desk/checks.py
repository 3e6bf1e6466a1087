"""System checks: what would lose data or open doors is refused at the start, with the mend."""

from typing import Any

from django.conf import settings
from django.core.checks import CheckMessage, Error, register


@register()
def sqlite_writes_in_turn(**kwargs: Any) -> list[CheckMessage]:
    database = settings.DATABASES["default"]
    if database["ENGINE"] != "django.db.backends.sqlite3":
        return []
    if database.get("OPTIONS", {}).get("transaction_mode") == "IMMEDIATE":
        return []
    return [
        Error(
            "SQLite is not set to IMMEDIATE transactions: two desks writing at once would fail.",
            hint='Set DATABASES["default"]["OPTIONS"]["transaction_mode"] = "IMMEDIATE".',
            id="starthorn.E001",
        )
    ]
