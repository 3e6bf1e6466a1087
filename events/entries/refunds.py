"""What a player gets back, by the published table (1.03), with every choice that the director has. Pure.

How days are counted: calendar days at the event's place between the day on which the withdrawal arrives and
the event's first day, so that the hour of the mail never moves a player into another bracket: "15 to 29 days"
is every withdrawal that arrives on one of those dates. The 48 hours are exact hours before the start.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from events.rulebook.loader import Rulebook

_TEXT_FULL = "The whole fee"


class Cause(StrEnum):
    """Why money may go back."""

    WITHDRAWAL = "withdrawal"
    MISSED_CHECK_IN = "missed_check_in"
    NEVER_GOT_IN = "never_got_in"
    DIVISION_DROPPED = "division_dropped"
    EVENT_CANCELLED = "event_cancelled"
    EVENT_CANCELLED_DISASTER = "event_cancelled_disaster"
    EVENT_POSTPONED = "event_postponed"
    DISQUALIFIED = "disqualified"


# The words for the bracket, and the value under `refund.percent` that answers it.
_BRACKETS = {
    Cause.MISSED_CHECK_IN: ("check-in missed, place filled or not", "missed_check_in"),
    Cause.DISQUALIFIED: ("disqualified", "disqualified"),
    Cause.DIVISION_DROPPED: ("division dropped, move declined", "division_dropped"),
    Cause.EVENT_POSTPONED: ("event postponed, on request", "event_postponed"),
    Cause.EVENT_CANCELLED: ("event cancelled", "event_cancelled"),
    Cause.EVENT_CANCELLED_DISASTER: (
        "event cancelled after a disaster, with prior approval",
        "event_cancelled",
    ),
}


class HandlingFeeTooHigh(ValueError):
    """The handling fee is negative or above the published limit."""


@dataclass(frozen=True, slots=True)
class RefundOption:
    """Money in cents, a player pack, or both, with the words to show."""

    cents: int
    pack: bool
    text: str


@dataclass(frozen=True, slots=True)
class Refund:
    """All options the published table leaves; the director picks where there are two.

    `bracket` names the row of the table in words; `days` counts to the start, None where it does not matter.
    """

    options: tuple[RefundOption, ...]
    bracket: str
    source: str
    days: int | None = None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Case:
    """The facts of one withdrawal, and the rulebook."""

    fee_cents: int
    handling_cents: int
    start: datetime
    received: datetime
    closing: datetime | None
    filled: datetime | None
    pack: bool
    rules: Rulebook

    @property
    def days(self) -> int:
        received = self.received.astimezone(self.start.tzinfo)
        return (self.start.date() - received.date()).days

    @property
    def too_late(self) -> bool:
        """Within 48 hours of the start, or at or after the closing (which spares the earliest bracket)."""
        closed = self.closing is not None and self.received >= self.closing
        counts = self.days < self.rules.int("refund.closing_counts_below_days")
        return self.received >= self._last_moment or (closed and counts)

    @property
    def filled_in_time(self) -> bool:
        """Of a late withdrawal: filled more than 48 hours before the start all the same (1.03.F)."""
        return self.filled is not None and self.filled < self._last_moment

    @property
    def _last_moment(self) -> datetime:
        return self.start - timedelta(hours=self.rules.int("refund.none_within_hours"))


def refund(
    *,
    cause: Cause,
    fee_cents: int,
    rulebook: Rulebook,
    event_start: datetime,
    received_at: datetime | None = None,
    closing_at: datetime | None = None,
    filled_at: datetime | None = None,
    handling_fee_cents: int | None = None,
    pro_without_pack: bool = False,
    pack_exists: bool = True,
    pack_retail_cents: int | None = None,
    professional: bool = False,
    declared_non_refundable: bool = False,
) -> Refund:
    """The refund for one entry (or, for `NEVER_GOT_IN`, one waitlist fee), in cents of the event's currency.

    `event_start` is aware and in the event's time zone; `received_at` is when mail or call reached the
    director (needed for a withdrawal); `filled_at` when the place was given to somebody from the waitlist.
    `handling_fee_cents` None takes the published most. `pro_without_pack`: a professional without a pack
    worth the published part of the fee (`pack_can_stand_in`). `pack_retail_cents` and `professional` matter
    only for an event cancelled after a disaster. Raises HandlingFeeTooHigh; ValueError for a
    negative fee, for naive moments, for a place filled before it was free.
    """
    if fee_cents < 0:
        raise ValueError("a fee is never negative")
    handling = _handling(handling_fee_cents, rulebook)
    if cause is Cause.NEVER_GOT_IN:
        found = _waitlist_fee(fee_cents, handling, declared_non_refundable, rulebook)
    elif cause is not Cause.WITHDRAWAL:
        retail = None if professional else pack_retail_cents
        found = _whatever_the_day(cause, fee_cents, retail, rulebook)
    elif received_at is None:
        raise ValueError("a withdrawal needs the moment at which it was received")
    else:
        pack = pack_exists and not pro_without_pack
        case = _Case(fee_cents, handling, event_start, received_at, closing_at, filled_at, pack, rulebook)
        _refuse_impossible(case)
        found = _withdrawal(case)
    return _with_region(found, rulebook)


def pack_can_stand_in(
    *, professional: bool, pack_retail_cents: int, fee_cents: int, rulebook: Rulebook
) -> bool:
    """Whether a player pack may stand in for money: any for amateurs, one worth enough for professionals."""
    least = rulebook.int("refund.pro_pack_percent_at_least")
    return pack_retail_cents > 0 and (not professional or pack_retail_cents * 100 >= fee_cents * least)


def _withdrawal(case: _Case) -> Refund:
    rules = case.rules
    full, half = rules.int("refund.full_from_days"), rules.int("refund.half_from_days")
    if case.too_late:
        return _late(case)
    if case.days >= full:
        return _less_handling(case, f"{full} days or more before the start", "refund.full_from_days")
    if case.days >= half:
        bracket, key = f"{half} to {full - 1} days before the start", "refund.half_percent"
    else:
        bracket = f"{half - 1} days or less before the start, before the closing"
        key = "refund.quarter_percent"
    # A place filled at any later time counts: the text sets a limit only for withdrawals after the closing.
    if case.filled is not None:
        return _less_handling(case, f"{bracket}; place filled", key)
    return _part_or_pack(case, f"{bracket}; place not filled", key)


def _late(case: _Case) -> Refund:
    hours = case.rules.int("refund.none_within_hours")
    bracket = f"within {hours} hours of the start or after the closing"
    key = "refund.percent.late"
    if case.filled_in_time:
        bracket = f"after the closing, place filled more than {hours} hours before the start"
        key = "refund.percent.late_but_filled"
    option = _percent_option(case.fee_cents, case.rules.int(key))
    return Refund((option,), bracket, case.rules.value(key).citation, case.days)


def _less_handling(case: _Case, bracket: str, key: str) -> Refund:
    cents = max(0, case.fee_cents - case.handling_cents)
    text = "The whole fee less the handling fee" if case.handling_cents else _TEXT_FULL
    option = RefundOption(cents, False, text)
    return Refund((option,), bracket, case.rules.value(key).citation, case.days)


def _part_or_pack(case: _Case, bracket: str, key: str) -> Refund:
    percent = case.rules.int(key)
    options = [_percent_option(case.fee_cents, percent)]
    if case.pack:
        options.append(RefundOption(0, True, "The player pack; its postage may be deducted"))
    return Refund(tuple(options), bracket, case.rules.value(key).citation, case.days)


def _waitlist_fee(fee_cents: int, handling: int, non_refundable: bool, rules: Rulebook) -> Refund:
    """A waitlist fee of somebody who never got in (1.03.B); the text overlaps at exactly the limit."""
    limit = rules.int("refund.waitlist_small_fee_cents")
    included = rules.flag("refund.waitlist_small_fee_includes_limit")
    small = fee_cents <= limit if included else fee_cents < limit
    source = rules.value("refund.waitlist_small_fee_cents").citation
    if small and non_refundable:
        option = RefundOption(0, False, "Nothing: a small waitlist fee, declared non-refundable")
        return Refund((option,), "waitlist fee, small and declared non-refundable", source)
    if small:
        return Refund((RefundOption(fee_cents, False, _TEXT_FULL),), "waitlist fee, small", source)
    option = RefundOption(max(0, fee_cents - handling), False, "The whole fee less the handling fee")
    return Refund((option,), "waitlist fee, never got in", source)


def _whatever_the_day(cause: Cause, fee_cents: int, retail_cents: int | None, rules: Rulebook) -> Refund:
    """Causes whose answer does not hang on the day of the withdrawal."""
    bracket, name = _BRACKETS[cause]
    rule = rules.value(f"refund.percent.{name}")
    options = [_percent_option(fee_cents, rules.int(rule.key))]
    # Amateurs only; and not without knowing what the pack is worth.
    if cause is Cause.EVENT_CANCELLED_DISASTER and retail_cents:
        rest = max(0, fee_cents - retail_cents)
        options.append(RefundOption(rest, True, "The player pack and the fee less its retail value"))
    return Refund(tuple(options), bracket, rule.citation)


def _percent_option(fee_cents: int, percent: int) -> RefundOption:
    words = {0: "Nothing as of right", 100: _TEXT_FULL}
    return RefundOption(_part(fee_cents, percent), False, words.get(percent, f"{percent}% of the fee"))


def _handling(given: int | None, rules: Rulebook) -> int:
    most = rules.int("refund.handling_fee_cents_at_most")
    if given is None:
        return most
    if not 0 <= given <= most:
        raise HandlingFeeTooHigh(f"The handling fee lies between 0 and {most} cents, not {given}.")
    return given


def _refuse_impossible(case: _Case) -> None:
    moments = (case.start, case.received, case.closing, case.filled)
    if any(moment is not None and moment.tzinfo is None for moment in moments):
        raise ValueError("moments carry their time zone")
    if case.filled is not None and case.filled < case.received:
        raise ValueError("a place cannot be filled before it was free")


def _part(fee_cents: int, percent: int) -> int:
    """A part of a fee in whole cents, half a cent to the player."""
    return (fee_cents * percent * 2 + 100) // 200


def _with_region(found: Refund, rules: Rulebook) -> Refund:
    table = rules.value("refund.table_is_published")
    if rules.flag(table.key):
        return found
    note = f"Outside North America a local refund table may stand in place of this one ({table.citation})."
    return Refund(found.options, found.bracket, found.source, found.days, (*found.notes, note))
