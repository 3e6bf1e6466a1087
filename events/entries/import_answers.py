"""What the director decided about a list on its way in. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from events.sheets.values import DateOrder

NEW = "new"


@dataclass(frozen=True, slots=True)
class Answers:
    """Decisions about one file; a row is named by its number in the file.

    `all_paid`: for a list without a column of amounts; None: not asked yet. `others_amateur`: for a list without
    a class column. `persons`: row → the id of the person meant, or None for somebody new. `apart`: rows that are
    not the same person as the row they resemble. `approvals`: row → why a refused division is allowed.
    """

    date_order: DateOrder | None = None
    all_paid: bool | None = None
    others_amateur: bool = False
    leave_out: frozenset[int] = frozenset()
    persons: Mapping[int, int | None] = field(default_factory=dict)
    apart: frozenset[int] = frozenset()
    approvals: Mapping[int, str] = field(default_factory=dict)

    @classmethod
    def from_json(cls, held: Mapping[str, Any]) -> "Answers":
        """As `as_json` wrote it; what is missing counts as not answered."""
        order = held.get("date_order")
        persons = held.get("persons", {})
        return cls(
            date_order=order if order in ("dmy", "mdy") else None,
            all_paid=held.get("all_paid"),
            others_amateur=bool(held.get("others_amateur")),
            leave_out=frozenset(held.get("leave_out", ())),
            persons={int(row): None if who == NEW else int(who) for row, who in persons.items()},
            apart=frozenset(held.get("apart", ())),
            approvals={int(row): text for row, text in held.get("approvals", {}).items()},
        )

    def as_json(self) -> dict[str, Any]:
        return {
            "date_order": self.date_order,
            "all_paid": self.all_paid,
            "others_amateur": self.others_amateur,
            "leave_out": sorted(self.leave_out),
            "persons": {str(row): NEW if who is None else who for row, who in self.persons.items()},
            "apart": sorted(self.apart),
            "approvals": {str(row): text for row, text in self.approvals.items()},
        }
