"""Lines of the day page: what one is, and those of a stop and of the weather."""

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class Line:
    """One thing that waits for somebody, with the place where it is done."""

    text: str
    url: str
    needs: bool = True
    when: str = ""
    until: datetime | None = None
