"""Acts as pages send them: one form, or a phone's list of several that it kept while it had no connection."""

import json
from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.http import HttpRequest

from events.logistics.ready.services import MOST_ACTS, ReadyRefused, Said
from events.setup.asked import LONGEST, page_key, phone_moment, whole_number
from events.sheets.cells import clean

LONGEST_NAME = 60


def said_in(request: HttpRequest) -> list[Said]:
    """The acts of a request. Raises ReadyRefused for what is neither a form nor a list of acts."""
    if request.content_type != "application/json":
        return [_from_form(request)]
    try:
        rows = json.loads(request.body)["acts"]
        if not isinstance(rows, list) or len(rows) > MOST_ACTS:
            raise ValueError
        return [_act(row) for row in rows]
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
        raise ReadyRefused("The page sent something that is no list of acts. Load it again.") from None


def name_in(request: HttpRequest) -> str:
    """Who walks, as typed on the phone; empty where nobody said."""
    if request.content_type == "application/json":
        try:
            return clean(str(json.loads(request.body).get("by", "")))[:LONGEST_NAME].strip()
        except (ValueError, AttributeError, RecursionError):
            return ""
    return clean(request.POST.get("by", "") or request.GET.get("by", ""))[:LONGEST_NAME].strip()


def _act(row: Mapping[str, Any]) -> Said:
    hole, done = row["hole"], row["done"]
    if not isinstance(done, bool) or not isinstance(hole, int) or not 0 <= hole < 10**LONGEST:
        raise ValueError
    return Said(
        UUID(row["key"]),
        hole,
        clean(str(row["task"]))[:40],
        done,
        phone_moment(row.get("said_at")),
    )


def _from_form(request: HttpRequest) -> Said:
    hole = whole_number(request.POST.get("hole"))
    if hole is None:
        raise ReadyRefused("The page sent no hole. Load it again.")
    return Said(
        page_key(request.POST.get("key")),
        hole,
        clean(request.POST.get("task", ""))[:40],
        request.POST.get("done") == "1",
    )
