"""Acts as pages send them: a form of one, or a phone's list of several that it kept while it had no connection."""

import json
from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID, uuid4

from django.http import HttpRequest, JsonResponse
from django.template.loader import render_to_string

from events.bags.models import BagAct
from events.bags.services import MOST_ACTS, ActIn, Applied, BagRefused
from events.setup.asked import phone_moment
from events.sheets.cells import clean

SAID = ("model", "plastic", "colour", "stamped_mass_g", "mark", "marked", "signed", "wear", "role", "note")
_CHECKBOXES = ("signed",)


def acts_in(request: HttpRequest) -> list[ActIn]:
    """The acts of a request, JSON `{"acts": […]}` or one form. Raises BagRefused for what is neither."""
    if request.content_type == "application/json":
        return _from_json(request.body)
    return [_from_form(request.POST.dict())]


def acts_answered(request: HttpRequest, answers: Sequence[Applied], bag: Mapping[str, Any]) -> JsonResponse:
    """What became of each act, and the bag as it stands now, for the page to show. `bag`: what bags/bag.html needs."""
    html = render_to_string("bags/bag.html", dict(bag), request)
    answered = [{"key": str(answer.key), "refused": answer.refused} for answer in answers]
    return JsonResponse({"answers": answered, "html": html})


def acts_refused(why: BagRefused) -> JsonResponse:
    """Nothing of the request was done, nor will be when it is sent again."""
    return JsonResponse({"error": str(why)}, status=422)


def _from_json(body: bytes) -> list[ActIn]:
    try:
        sent = json.loads(body)
        rows = sent["acts"]
        if not isinstance(rows, list) or len(rows) > MOST_ACTS:
            raise ValueError
        return [_act(row) for row in rows]
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
        raise BagRefused("The page sent something that is no list of acts. Load it again.") from None


def _act(row: Mapping[str, Any]) -> ActIn:
    fields = row.get("fields") or {}
    if not isinstance(fields, dict) or any(isinstance(value, list | dict) for value in fields.values()):
        raise ValueError
    return ActIn(
        UUID(row["key"]),
        clean(str(row["kind"])),
        UUID(row["disc"]) if row.get("disc") else None,
        _round(row.get("round")),
        {clean(name): value for name, value in fields.items()},
        phone_moment(row.get("said_at")),
    )


def _round(value: Any) -> int | None:
    """A round's number; anything else is none, and an act that needs one says so."""
    text = str(value or "")
    return int(text) if text.isdecimal() and text.isascii() and len(text) <= 3 else None


def _from_form(post: Mapping[str, str]) -> ActIn:
    kind = post.get("kind", "")
    fields: dict[str, Any] = {name: post[name] for name in SAID if name in post}
    if kind in (BagAct.Kind.ADD, BagAct.Kind.CHANGE):
        # A form sends nothing for a box that is not ticked.
        fields |= {name: post.get(name, "") for name in _CHECKBOXES}
    try:
        key = UUID(post["act"]) if post.get("act") else uuid4()
        disc = UUID(post["disc"]) if post.get("disc") else (uuid4() if kind == BagAct.Kind.ADD else None)
    except ValueError:
        raise BagRefused("The page sent a key that is none. Load it again.") from None
    return ActIn(key, kind, disc, _round(post.get("round")), fields)
