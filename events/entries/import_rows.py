"""One row of a list laid over what is known: the person, the contact and the entry as they will be saved."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from events.entries.models import Entry
from events.setup.models import AddOn
from events.sheets.entrants import EntrantRow
from players.models import Contact, Membership, Person, PlayingClass

Changes = dict[str, tuple[Any, Any]]

# Field of the row → field of the person, the contact or the entry: a blank cell never wipes what is known.
_PERSON = (
    "member_number", "birth_year", "rating", "rating_date", "rated_rounds", "membership_expires", "town", "club",
    "country",
)  # fmt: skip
_CONTACT = ("email", "phone", "emergency_name", "emergency_phone")
_PRIVATE = frozenset({"birth_year", "guardian", "note"})
_ENTRY = {"pack_size": "pack", "guardian": "guardian", "notes": "note"}


@dataclass(slots=True)
class Wanted:
    """What one row leads to. `person`, `contact` and `entry` carry the new values; new ones have no id yet.

    `changes` are old and new values of what was there already. Of what is private (contacts, guardian, note, birth
    year) only the names of what changes are among them: the log is read by more people than the contacts are.
    """

    row: EntrantRow
    person: Person
    entry: Entry
    contact: Contact | None = None
    addons: tuple[AddOn, ...] = ()
    person_changes: Changes = field(default_factory=dict)
    contact_changes: tuple[str, ...] = ()
    entry_changes: Changes = field(default_factory=dict)
    contact_is_new: bool = False
    is_new: bool = True
    to_place: bool = False

    @property
    def is_changed(self) -> bool:
        return bool(self.person_changes or self.contact_changes or self.entry_changes or self.addons)

    @property
    def changes(self) -> dict[str, Any]:
        """For the log: compact and plain JSON."""
        known = self.person_changes | self.entry_changes
        found: dict[str, Any] = {
            name: [_plain(old), _plain(new)] for name, (old, new) in known.items() if name not in _PRIVATE
        }
        private = [*self.contact_changes, *(name for name in known if name in _PRIVATE)]
        if private:
            found["private"] = private
        if self.addons:
            found["add-ons"] = [addon.name for addon in self.addons]
        return found


def person_values(row: EntrantRow, person: Person) -> dict[str, Any]:
    """The person's fields that the row fills."""
    values = {name: found for name in _PERSON if (found := getattr(row, name)) is not None}
    if row.gender is not None:
        values["may_enter_f"] = row.gender == "F"
    if row.class_of_play is not None:
        values["playing_class"] = PlayingClass(row.class_of_play)
    if row.membership_current is not None:
        values["membership"] = _membership(row, person)
    return values


def _membership(row: EntrantRow, person: Person) -> Membership:
    """A list says only whether it is current: without a number there never was one."""
    if row.membership_current:
        return Membership.CURRENT
    never = person.membership == Membership.NONE or (row.member_number or person.member_number) is None
    return Membership.NONE if never else Membership.EXPIRED


def contact_values(row: EntrantRow) -> dict[str, str]:
    """The contact's fields that the row fills; "name, phone" in one cell is taken apart."""
    values = {name: found for name in _CONTACT if (found := getattr(row, name)) is not None}
    name, comma, phone = values.get("emergency_name", "").rpartition(",")
    if comma and "emergency_phone" not in values and sum(c.isdigit() for c in phone) >= 5:
        values |= {"emergency_name": name.strip(), "emergency_phone": phone.strip()}
    return values


def entry_values(row: EntrantRow) -> dict[str, str]:
    return {name: found for key, name in _ENTRY.items() if (found := getattr(row, key)) is not None}


def new_person(row: EntrantRow) -> Person:
    """A single name is the family name: lists are sorted by it."""
    return Person(given_name=row.given if row.family else "", family_name=row.family or row.given)


def lay_over(target: Any, values: Mapping[str, Any]) -> Changes:
    """Set the values on a model instance and answer what differs: field → (old, new)."""
    changes: Changes = {}
    for name, new in values.items():
        old = getattr(target, name)
        if old != new:
            changes[name] = (old, new)
            setattr(target, name, new)
    return changes


def _plain(value: Any) -> Any:
    if value is None or isinstance(value, bool | int | str):
        return value
    return value.isoformat() if hasattr(value, "isoformat") else str(value)


def moment_of(row: EntrantRow, zone: Any) -> datetime | None:
    """When the row says that it was entered; a time without a zone is the venue's."""
    if row.registered_at is None:
        return None
    return row.registered_at if row.registered_at.tzinfo else row.registered_at.replace(tzinfo=zone)
