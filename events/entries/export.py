"""The entries as a workbook or as separated text, for whoever keeps the day in spreadsheets."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.http import Http404, HttpResponse
from django.utils import timezone

from events.entries.models import EntryAddOn, Status
from events.entries.queries import entries_of
from events.setup.access import AT_WORK, EventRequest, staff
from events.setup.models import Event, Role
from events.sheets.cells import Cell
from events.sheets.safe import write_csv, write_xlsx
from players.models import Contact, Membership, PlayingClass

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
# Headings that the import knows: an export can be brought in again.
HEADINGS = (
    "Given name", "Family name", "Member number", "Division", "Rating", "Rating date", "Rated rounds",
    "Gender eligibility", "Professional or amateur", "Membership status", "Membership expires", "Town", "Club",
    "Country", "Pack size", "Add-ons", "Paid amount", "Owed", "Status", "Registered at", "Checked in", "Code",
)  # fmt: skip
CONTACT_HEADINGS = ("E-mail", "Phone", "Emergency contact", "Emergency phone")
PRIVATE_HEADINGS = ("Birth year", "Guardian", "Notes", *CONTACT_HEADINGS)
WITH_PRIVATE = frozenset({Role.DIRECTOR, Role.DESK})


@dataclass(frozen=True, slots=True)
class _Beside:
    """What stands in other tables, by entry and by person."""

    addons: dict[int, list[str]]
    contacts: dict[int, Contact]


def export_rows(event: Event, *, private: bool) -> list[list[Cell]]:
    """Headings and one row an entry, by surname (3 queries, 2 without what is private)."""
    sold: dict[int, list[str]] = {}
    pairs = EntryAddOn.objects.filter(entry__event=event).order_by("addon__name")
    for pk, name in pairs.values_list("entry_id", "addon__name"):
        sold.setdefault(pk, []).append(name)
    found = Contact.objects.filter(person__entries__event=event) if private else ()
    beside = _Beside(sold, {contact.person_id: contact for contact in found})
    rows: list[list[Cell]] = [[*HEADINGS, *(PRIVATE_HEADINGS if private else ())]]
    for entry in entries_of(event):
        rows.append([*_entry(event, entry, beside), *(_private(entry, beside) if private else ())])
    return rows


def _entry(event: Event, entry: Any, beside: _Beside) -> Iterator[Cell]:
    person = entry.person
    yield from (person.given_name, person.family_name, person.member_number)
    # An estimate of ours stays here: in a list it would be taken for a rating.
    rating = (entry.rating, entry.rating_date, entry.rated_rounds)
    yield from (entry.division.code, *((None, None, None) if entry.rating_is_estimated else rating))
    yield {True: "F", False: "M", None: None}[person.may_enter_f]
    yield None if person.playing_class == PlayingClass.UNKNOWN else person.playing_class
    yield {Membership.CURRENT: "current", Membership.UNKNOWN: None}.get(person.membership, "expired")
    yield person.membership_expires
    yield from (person.town, person.club, person.country, entry.pack)
    yield ", ".join(beside.addons.get(entry.pk, ())) or None
    yield from (_amount(entry.paid), _amount(entry.owed))
    yield Status(entry.status).label
    yield event.local(entry.received_at).replace(tzinfo=None, microsecond=0)
    yield event.local(entry.checked_in_at).strftime("%Y-%m-%d %H:%M") if entry.checked_in_at else None
    yield entry.code


def _private(entry: Any, beside: _Beside) -> Iterator[Cell]:
    yield from (entry.person.birth_year, entry.guardian, entry.note or None)
    found = beside.contacts.get(entry.person_id)
    if found is None:
        yield from (None,) * len(CONTACT_HEADINGS)
    else:
        yield from (found.email, found.phone, found.emergency_name, found.emergency_phone)


def _amount(cents: int) -> Decimal:
    return Decimal(cents) / 100


@staff(*AT_WORK, write=())
def export(request: EventRequest, slug: str, kind: str) -> HttpResponse:
    """A file to keep: xlsx or csv. What is private only for the director and the desk."""
    if kind not in ("xlsx", "csv"):
        raise Http404("Entries are exported as xlsx or csv.")
    rows = export_rows(request.event, private=request.role in WITH_PRIVATE)
    data = write_xlsx({"Entries": rows}) if kind == "xlsx" else write_csv(rows)
    response = HttpResponse(data, content_type=XLSX if kind == "xlsx" else "text/csv; charset=utf-8")
    name = f"{slug}-entries-{timezone.localtime():%Y%m%d-%H%M}.{kind}"
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response
