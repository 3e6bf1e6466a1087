"""What the rulebook advises about a plan: warned of, never refused, each line with its source. Pure."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from events.rulebook.divisions import Division, division, mirrors_missing, required_missing
from events.rulebook.loader import Rulebook

TIER_WORDS = {
    "worlds": "a world championship",
    "major": "a major",
    "elite": "an elite series event",
    "A": "an A-tier",
    "B": "a B-tier",
    "C": "a C-tier",
    "league": "a league",
}


@dataclass(frozen=True, slots=True)
class RoundPlan:
    """`starts_at` is the first start at the venue; `holes` is by division code, where it has a layout."""

    number: int
    starts_at: datetime
    holes: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Outline:
    """A plan as plain data: what advice rests on. Moments are aware, money is in cents."""

    tier: str
    starts_on: date
    ends_on: date
    codes: tuple[str, ...]
    rounds: tuple[RoundPlan, ...]
    registration_opens_at: datetime | None = None
    registration_closes_at: datetime | None = None
    checkin_closes_at: datetime | None = None
    handling_fee_cents: int = 0


@dataclass(frozen=True, slots=True)
class Advice:
    """One sentence, the section of the plan it is about, and where it is written ("" for our own)."""

    about: str
    text: str
    source: str = ""


def advise(outline: Outline, book: Rulebook) -> list[Advice]:
    """Everything to be said about the plan, in the order of its page."""
    return [
        *_missing(outline),
        *_money_and_times(outline, book),
        *_mirrors(outline, book),
        *_required(outline, book),
        *_rounds(outline),
        *_holes(outline, book),
        *_holes_a_day(outline, book),
    ]


def _missing(outline: Outline) -> Iterator[Advice]:
    if outline.checkin_closes_at is None:
        yield Advice("event", "Check-in has no closing time yet.")
    if not outline.codes:
        yield Advice("divisions", "No division is offered yet.")
    if not outline.rounds:
        yield Advice("rounds", "No round is planned yet.")


def _money_and_times(outline: Outline, book: Rulebook) -> Iterator[Advice]:
    limit = book.value("refund.handling_fee_cents_at_most")
    if isinstance(limit.value, int) and outline.handling_fee_cents > limit.value:
        yield Advice(
            "event",
            f"A handling fee may be {_amount(limit.value)} at most in the event's currency.",
            limit.source,
        )
    opens, closes = outline.registration_opens_at, outline.registration_closes_at
    if opens and closes and closes < opens:
        yield Advice("event", "Registration closes before it opens.")
    first = outline.rounds[0].starts_at if outline.rounds else None
    if first and closes and closes > first:
        yield Advice("event", "Registration closes after the first start.")
    if first and outline.checkin_closes_at and outline.checkin_closes_at > first:
        yield Advice("event", "Check-in closes after the first start.")


def _amount(cents: int) -> str:
    return f"{cents // 100}" if cents % 100 == 0 else f"{cents / 100:.2f}"


def _mirrors(outline: Outline, book: Rulebook) -> Iterator[Advice]:
    days = book.value("division.mirror_days")
    for code in mirrors_missing(book, _published(outline, book)):
        text = f"M{code[1:]} is offered: {code} has to be open for the first {days.value} days too."
        yield Advice("divisions", text, days.source)


def _required(outline: Outline, book: Rulebook) -> Iterator[Advice]:
    offered = _published(outline, book)
    if outline.tier != "A" or not offered:
        return
    kind = kind_of_event([division(book, code) for code in sorted(offered)])
    for code in required_missing(book, kind, offered):
        source = book.value(f"tier.required_divisions.{kind}").source
        yield Advice("divisions", f"An A-tier of this kind offers {code}.", source)


def kind_of_event(offered: list[Division]) -> str:
    """The kind of event that these divisions make, by its name under `tier.required_divisions`.

    Juniors are left aside unless there is nobody else; women's and masters events offer nothing else.
    """
    grown = [found for found in offered if not found.junior]
    if not grown:
        return "juniors"
    pro = any(found.professional for found in grown)
    am = any(not found.professional for found in grown)
    of_class = "pro_am" if pro and am else "pro" if pro else "am"
    if all(found.gender == "f" for found in grown):
        return f"womens_{of_class}"
    if all(found.rule == "age" for found in grown):
        return f"{of_class}_masters"
    return of_class


def _rounds(outline: Outline) -> Iterator[Advice]:
    before: RoundPlan | None = None
    for played in outline.rounds:
        if not outline.starts_on <= played.starts_at.date() <= outline.ends_on:
            yield Advice("rounds", f"Round {played.number} is not on a day of the event.")
        if before and played.starts_at <= before.starts_at:
            yield Advice("rounds", f"Round {played.number} starts before round {before.number} does.")
        before = played


def _holes(outline: Outline, book: Rulebook) -> Iterator[Advice]:
    limit = book.value(f"tier.holes_at_least.{outline.tier}")
    if not isinstance(limit.value, int) or not outline.rounds:
        return
    short: dict[int, list[str]] = {}
    for code in outline.codes:
        if all(code in played.holes for played in outline.rounds):
            total = sum(played.holes[code] for played in outline.rounds)
            if total < limit.value:
                short.setdefault(total, []).append(code)
    for total, codes in short.items():
        least = f"{TIER_WORDS[outline.tier]} has at least {limit.value}"
        text = f"{', '.join(codes)}: {total} holes in all; {least}."
        yield Advice("rounds", text, limit.source)


def _holes_a_day(outline: Outline, book: Rulebook) -> Iterator[Advice]:
    for code in outline.codes:
        key = f"juniors.holes_a_day.{code}"
        limit = book.value(key) if book.has(key) else None
        if limit is None or not isinstance(limit.value, int):
            continue
        by_day: dict[date, int] = {}
        for played in outline.rounds:
            day = played.starts_at.date()
            by_day[day] = by_day.get(day, 0) + played.holes.get(code, 0)
        for day, holes in by_day.items():
            if holes > limit.value:
                text = f"{code} plays {holes} holes on {day.day} {day:%B}; {limit.value} at most are advised."
                yield Advice("rounds", text, limit.source)


def _published(outline: Outline, book: Rulebook) -> frozenset[str]:
    """The offered codes that the rulebook in force knows; an event moved to another year may have others."""
    return frozenset(code for code in outline.codes if book.has(f"division.code.{code}"))
