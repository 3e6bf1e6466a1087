"""The money of one entry, line by line: what was charged, what came in, what went back."""

from dataclasses import dataclass
from datetime import datetime

from events.entries.models import Entry, EntryAddOn, Payment


@dataclass(frozen=True, slots=True)
class Line:
    """`charged` or `paid` in cents, negative for money that went back; None: not of this kind."""

    words: str
    charged: int | None = None
    paid: int | None = None
    at: datetime | None = None
    by: str = ""


@dataclass(frozen=True, slots=True)
class Ledger:
    lines: tuple[Line, ...]

    @property
    def charged(self) -> int:
        return sum(line.charged or 0 for line in self.lines)

    @property
    def paid(self) -> int:
        return sum(line.paid or 0 for line in self.lines)

    @property
    def owed(self) -> int:
        """Below zero: more was paid than is charged."""
        return self.charged - self.paid


def ledger_of(entry: Entry) -> Ledger:
    """Fee, add-ons on top, what the imported list says was paid, every payment in its order (2 queries)."""
    sold = EntryAddOn.objects.filter(entry=entry).select_related("addon").order_by("addon__name")
    lines = [Line(f"entry fee {entry.division.code}", charged=entry.fee_cents)]
    for each in sold:
        inside = each.addon.included
        words = f"{each.addon.name}, part of the fee" if inside else each.addon.name
        lines.append(Line(words, charged=0 if inside else each.addon.fee_cents))
    if entry.paid_elsewhere_cents:
        lines.append(Line("paid before, as the list says", paid=entry.paid_elsewhere_cents))
    payments = Payment.objects.filter(entry=entry).order_by("at", "pk")
    lines += [Line(_words(each), paid=each.amount_cents, at=each.at, by=each.by) for each in payments]
    return Ledger(tuple(lines))


def _words(payment: Payment) -> str:
    method = Payment.Method(payment.method).label
    if payment.undoes_id is not None:
        return f"undone, {method}"
    what = "taken" if payment.amount_cents > 0 else "paid back"
    return f"{what}, {method}" + (f" ({payment.note})" if payment.note else "")
