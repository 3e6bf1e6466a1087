"""When a tee sheet is due (Competition Manual 2025, 1.06.K). Pure."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta


@dataclass(frozen=True, slots=True)
class Due:
    """When the sheet is due; None while the round before is still going on for every division that waits.

    `division` is the one whose time it is; `waits_for` are those whose round before has not ended.
    """

    at: datetime | None
    division: str
    waits_for: tuple[str, ...]


def sheet_due(
    first_starts: Mapping[str, datetime],
    ended: Mapping[str, datetime | None] | None,
    *,
    hours: int,
    minutes: int,
) -> Due | None:
    """The earliest moment at which some division must know its tee times.

    For each division the later of `hours` before its first tee time and `minutes` after its round before.
    `first_starts`: division -> first tee time; `ended`: division -> end of the round before, None while it
    lasts; no mapping at all for the first round. None when nobody has a tee time.
    """
    if not first_starts:
        return None
    due: dict[str, datetime] = {}
    waits: list[str] = []
    for code, first in first_starts.items():
        before_start = first - timedelta(hours=hours)
        if ended is None or code not in ended:
            due[code] = before_start
            continue
        end = ended[code]
        if end is None:
            waits.append(code)
        else:
            due[code] = max(before_start, end + timedelta(minutes=minutes))
    code = min(due, key=lambda code: (due[code], code), default="")
    return Due(due.get(code), code, tuple(sorted(waits)))
