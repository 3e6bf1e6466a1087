"""What a row of a list means for the entry: division, fee, money, add-ons, and whether a place is asked for."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from events.entries.import_answers import Answers
from events.entries.import_problems import Notes
from events.entries.import_reading import Reading
from events.entries.import_rows import Wanted, entry_values, lay_over, moment_of
from events.entries.models import Entry, EntryAddOn, Status
from events.entries.queries import with_money
from events.setup.models import AddOn, Division, Event
from events.sheets.cells import plain
from events.sheets.entrants import EntrantRow
from players.models import Person

_CLOCKS_APART = timedelta(days=1)  # a list may have been written in another zone
# Who left keeps the state, the division and the money that the desk gave them.
_STAYING = frozenset({Status.APPLIED, Status.CONFIRMED, Status.WAITLISTED})


@dataclass(frozen=True, slots=True)
class Standing:
    """What the event holds: entries by person, with `charged` and `paid`; add-ons by entry; add-ons by name."""

    entries: Mapping[int, Any]
    sold: Mapping[int, frozenset[int]]
    addons: Mapping[str, AddOn]

    @classmethod
    def of(cls, event: Event) -> "Standing":
        """3 queries."""
        entries = with_money(Entry.objects.filter(event=event)).select_related("division")
        sold: dict[int, set[int]] = {}
        pairs = EntryAddOn.objects.filter(entry__event=event).values_list("entry_id", "addon_id")
        for entry, addon in pairs:
            sold.setdefault(entry, set()).add(addon)
        return cls(
            entries={entry.person_id: entry for entry in entries},
            sold={entry: frozenset(addons) for entry, addons in sold.items()},
            addons={plain(addon.name): addon for addon in AddOn.objects.filter(event=event)},
        )


@dataclass(slots=True)
class EntryLaying:
    """Lays rows over entries. `now` is the moment of the import: when the money of the list is known."""

    event: Event
    reading: Reading
    answers: Answers
    standing: Standing
    notes: Notes
    now: datetime
    zone: Any = field(init=False)

    def __post_init__(self) -> None:
        self.zone = self.event.zone

    def new(self, wanted: Wanted, offered: Division) -> None:
        """An entry that is not there yet, with the rating that stood at entry."""
        row, person, entry = wanted.row, wanted.person, wanted.entry
        lay_over(entry, self.notes.fit(row, Entry, entry_values(row)))
        entry.division, entry.fee_cents = offered, offered.fee_cents
        entry.received_at = self._received(row)
        lay_over(entry, _snapshot(person))
        wanted.addons = self._ordered(row, frozenset())
        charged = entry.fee_cents + _extras(wanted.addons)
        entry.paid_elsewhere_cents = self._paid(row, charged, known=0)
        wanted.to_place = entry.paid_elsewhere_cents >= charged and not row.waitlist
        if row.waitlist:
            entry.status = Status.WAITLISTED

    def old(self, wanted: Wanted, standing: Any, offered: Division) -> None:
        """An entry that is there: what happened at the desk stays, blank cells wipe nothing."""
        row = wanted.row
        values = self.notes.fit(row, Entry, entry_values(row))
        if standing.status not in _STAYING:
            label = Status(standing.status).label
            self.notes.warning(
                row, "full_name", wanted.person.name, f"is {label} here and stays so", "reinstate at the desk"
            )
            wanted.entry_changes = lay_over(standing, values)
            return
        wanted.addons = self._ordered(row, self.standing.sold.get(standing.pk, frozenset()))
        moved = self._moves(wanted, standing, offered)
        before, status, charged = standing.division.code, standing.status, standing.charged
        if moved:
            charged += offered.fee_cents - standing.fee_cents
            values |= {"division": offered, "fee_cents": offered.fee_cents}
        charged += _extras(wanted.addons)
        values |= self._money(row, standing, charged)
        if standing.rating is None and wanted.person.rating is not None:
            values |= _snapshot(wanted.person)
        wanted.to_place = "received_at" in values or (moved and status != Status.APPLIED)
        wanted.entry_changes = lay_over(standing, values)
        if moved:
            wanted.entry_changes["division"] = (before, offered.code)

    def _received(self, row: EntrantRow) -> datetime:
        """When the row says; now where it says nothing or a day that is still to come."""
        moment = moment_of(row, self.zone)
        if moment is None:
            return self.now
        if moment - self.now > _CLOCKS_APART:
            problem = "is still to come, so it counts as now"
            value = moment.astimezone(self.zone).strftime("%Y-%m-%d %H:%M")
            self.notes.warning(row, "registered_at", value, problem, "correct the time of entry")
            return self.now
        return moment

    def _money(self, row: EntrantRow, standing: Any, charged: int) -> dict[str, Any]:
        """Paid elsewhere, and for an applied entry what follows: a place in the order of entry, or the list.

        Once the desk took money, the list's amount may hold it too: then the desk's own record stands.
        """
        elsewhere = standing.paid_elsewhere_cents
        at_desk = standing.paid - elsewhere
        applied = standing.status == Status.APPLIED
        if at_desk == 0 and (self.reading.has("paid") or applied):
            elsewhere = self._paid(row, charged, known=elsewhere)
        values: dict[str, Any] = {"paid_elsewhere_cents": elsewhere}
        if applied and row.waitlist:
            values["status"] = Status.WAITLISTED
        elif applied and elsewhere + at_desk >= charged:
            values["received_at"] = self.now  # the order of entry goes by the fee, not by the application
        return values

    def _paid(self, row: EntrantRow, charged: int, *, known: int) -> int:
        """Cents paid before as the list says; a blank cell says nothing, so `known` stays."""
        if self.reading.has("paid"):
            if row.paid_in_full is not None:
                return max(charged, known) if row.paid_in_full else known
            return known if row.paid is None else row.paid
        return known if self.answers.all_paid is False else max(charged, known)

    def _moves(self, wanted: Wanted, standing: Any, offered: Division) -> bool:
        if standing.division_id == offered.pk:
            return False
        if standing.checked_in_at is None:
            return True
        self.notes.warning(
            wanted.row,
            "division",
            offered.code,
            f"{wanted.person.name} is checked in already in {standing.division.code}, which stays",
            "change the division at the desk",
        )
        return False

    def _ordered(self, row: EntrantRow, sold: frozenset[int]) -> tuple[AddOn, ...]:
        """The add-ons that the row names and the entry does not have yet."""
        found: list[AddOn] = []
        for name in filter(None, map(str.strip, re.split(r"[,;+/\n]", row.add_ons or ""))):
            addon = self.standing.addons.get(plain(name))
            if addon is None:
                names = sorted(each.name for each in self.standing.addons.values())
                mend = f"write one of {', '.join(names)}" if names else "put the add-on on the plan first"
                problem = f"'{name}' is not an add-on of this event and is left out"
                self.notes.warning(row, "add_ons", name, problem, mend)
            elif addon.pk not in sold and addon not in found:
                found.append(addon)
        return tuple(found)


def _snapshot(person: Person) -> dict[str, Any]:
    """The rating as it stands at entry."""
    names = ("rating", "rating_date", "rated_rounds")
    return {name: getattr(person, name) for name in names}


def _extras(addons: tuple[AddOn, ...]) -> int:
    return sum(addon.fee_cents for addon in addons if not addon.included)
