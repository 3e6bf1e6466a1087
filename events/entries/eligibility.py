"""Who may enter which division, in plain words and with the rule behind each word.

Pure: plain facts in, a verdict out. What is not known makes a verdict "not known", never a yes or a no. An
approved exception (2.02) is the caller's: the verdict says what the rules say without it.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from events.rulebook.divisions import Division, UnknownDivision, codes, division
from events.rulebook.loader import Rulebook
from events.rulebook.values import TIER_WORDS

REFUSE, UNKNOWN, WARN, NOTE = "refuse", "unknown", "warn", "note"
CAPS = "division.pro_plays_am_caps"


@dataclass(frozen=True, slots=True)
class PersonFacts:
    """What is known of a player. `playing_class` is "pro", "am" or "unknown"; None means not known."""

    playing_class: str = "unknown"
    birth_year: int | None = None
    may_enter_f: bool | None = None
    rating: int | None = None


@dataclass(frozen=True, slots=True)
class EventFacts:
    """`year` is the calendar year of the first day; `offered` holds division codes, None: do not ask."""

    tier: str
    year: int
    offered: frozenset[str] | None = None
    points_series: bool = False


@dataclass(frozen=True, slots=True)
class Reason:
    """One sentence, the rule behind it, what would mend it. `severity`: refuse, unknown, warn or note."""

    text: str
    source: str
    severity: str
    mend: str = ""


@dataclass(frozen=True, slots=True)
class Verdict:
    """`eligible` is None where a fact is missing that decides."""

    code: str
    eligible: bool | None
    reasons: tuple[Reason, ...]

    @property
    def words(self) -> str:
        """The reasons that stand against entering, in one line; empty when there are none."""
        against = [r for r in self.reasons if r.severity in {REFUSE, UNKNOWN}]
        return " ".join(f"{r.text} {r.mend}".strip() for r in against)


@dataclass(frozen=True, slots=True)
class Choice:
    """A division that a player may enter (or may, as far as is known)."""

    code: str
    name: str
    verdict: Verdict


def competition_age(birth_year: int, event_year: int) -> int:
    """The age reached in the event's calendar year: it holds all year (2.02.A.2)."""
    return event_year - birth_year


def check(person: PersonFacts, code: str, event: EventFacts, rulebook: Rulebook) -> Verdict:
    """Whether the rules let this player enter this division at this event, with every reason."""
    try:
        wanted = division(rulebook, code)
    except UnknownDivision as error:
        reason = Reason(str(error), "The rulebook's list of divisions", REFUSE)
        return Verdict(code, False, (reason,))
    reasons = (
        *_offer(wanted, event),
        *_gender(person, wanted, rulebook),
        *_age(person, wanted, event),
        *_class(person, wanted, event, rulebook),
        *_rating_cap(person, wanted, event, rulebook),
        *_rating_floor(person, wanted, event, rulebook),
    )
    return Verdict(code, _decide(reasons), reasons)


def divisions_for(
    person: PersonFacts, event: EventFacts, rulebook: Rulebook, *, include_unknown: bool = False
) -> tuple[Choice, ...]:
    """Every division the player may enter, in published order.

    `include_unknown` adds those where a fact is missing that decides.
    """
    wanted = [code for code in codes(rulebook) if event.offered is None or code in event.offered]
    choices = (Choice(c, division(rulebook, c).name, check(person, c, event, rulebook)) for c in wanted)
    allowed = {True, None} if include_unknown else {True}
    return tuple(choice for choice in choices if choice.verdict.eligible in allowed)


def _decide(reasons: tuple[Reason, ...]) -> bool | None:
    severities = {reason.severity for reason in reasons}
    if REFUSE in severities:
        return False
    return None if UNKNOWN in severities else True


def _offer(wanted: Division, event: EventFacts) -> Iterator[Reason]:
    if event.offered is not None and wanted.code not in event.offered:
        yield Reason(f"{wanted.code} is not offered at this event.", "The event's own divisions", REFUSE)


def _gender(person: PersonFacts, wanted: Division, rulebook: Rulebook) -> Iterator[Reason]:
    """Mixed divisions are open to all; F divisions ask for eligibility (2.01.C, D; 2.02.I)."""
    source = rulebook.value("division.mixed_open_to_all").citation
    if wanted.gender != "f" or person.may_enter_f:
        return
    if person.may_enter_f is None:
        text = f"{wanted.name} is for players who may enter F divisions; that is not known of this player."
        yield Reason(text, source, UNKNOWN, "Ask the player and record it.")
    else:
        yield Reason(f"{wanted.name} is for players who may enter F divisions.", source, REFUSE)


def _age(person: PersonFacts, wanted: Division, event: EventFacts) -> Iterator[Reason]:
    if wanted.age is None:
        return
    bound = f"{wanted.age} or younger" if wanted.junior else f"{wanted.age} or older"
    if person.birth_year is None:
        text = f"{wanted.name} is for players of {bound} in {event.year}; the birth year is missing."
        yield Reason(text, wanted.source, UNKNOWN, "Ask for the birth year.")
        return
    age = competition_age(person.birth_year, event.year)
    if (age > wanted.age) if wanted.junior else (age < wanted.age):
        text = f"{wanted.name} is for players of {bound} in {event.year}; this player counts as {age}."
        yield Reason(text, wanted.source, REFUSE)


def _class(person: PersonFacts, wanted: Division, event: EventFacts, rulebook: Rulebook) -> Iterator[Reason]:
    if wanted.professional:
        yield from _amateur_among_pros(person, event, rulebook)
        return
    tiers = rulebook.value("division.pro_plays_am_tiers")
    if person.playing_class == "unknown":
        text = "It is not known whether this player is a professional or an amateur."
        yield Reason(text, tiers.citation, UNKNOWN, "Record the class.")
    elif person.playing_class == "pro" and wanted.junior:
        yield Reason("Professionals never enter junior divisions.", wanted.source, REFUSE)
    elif person.playing_class == "pro" and event.tier not in rulebook.words(tiers.key):
        text = f"Professionals may not enter amateur divisions at this tier ({TIER_WORDS[event.tier]})."
        yield Reason(text, tiers.citation, REFUSE)
    elif person.playing_class == "pro":
        yield from _pro_among_amateurs(person, event, rulebook)


def _amateur_among_pros(person: PersonFacts, event: EventFacts, rulebook: Rulebook) -> Iterator[Reason]:
    if person.playing_class != "am":
        return
    trophy, cash = "division.trophy_only_tiers", "division.cash_makes_professional"
    if event.tier in rulebook.words(trophy):
        text = "An amateur who declines cash gets a trophy only here; the money goes to the next place."
        yield Reason(text, rulebook.value(trophy).citation, NOTE)
    elif event.tier != "league" and rulebook.flag(cash):
        text = "An amateur who takes cash here becomes a professional."
        yield Reason(text, rulebook.value(cash).citation, NOTE)


def _pro_among_amateurs(person: PersonFacts, event: EventFacts, rulebook: Rulebook) -> Iterator[Reason]:
    """Below a cap by competition age and by the player's own gender eligibility, whatever division it is."""
    source = rulebook.value(CAPS).citation
    caps = pro_caps(person, event.year, rulebook)
    lowest, highest = min(caps), max(caps)
    bound = str(lowest) if lowest == highest else f"{lowest} to {highest} (by age and gender)"
    text = f"A professional may enter an amateur division with a rating below {bound}"
    if person.rating is None:
        yield Reason(f"{text}; no rating is known.", source, UNKNOWN, "Look the rating up.")
        return
    text = f"{text}; this rating is {person.rating}."
    if person.rating >= highest:
        yield Reason(text, source, REFUSE)
    elif person.rating >= lowest:
        yield Reason(text, source, UNKNOWN, "Record the birth year and whether F divisions are open.")


def pro_caps(person: PersonFacts, event_year: int, rulebook: Rulebook) -> frozenset[int]:
    """The caps that may apply to a professional (5.02.B): one when age and gender are known, else several."""
    rows = sorted(rulebook.rows(CAPS), key=lambda row: _whole(row["age_from"]))
    if person.birth_year is not None:
        age = competition_age(person.birth_year, event_year)
        rows = [row for row in rows if _whole(row["age_from"]) <= age][-1:] or rows[:1]
    columns = {True: ("below_f",), False: ("below",), None: ("below", "below_f")}[person.may_enter_f]
    return frozenset(_whole(row[column]) for row in rows for column in columns)


def _rating_cap(
    person: PersonFacts, wanted: Division, event: EventFacts, rulebook: Rulebook
) -> Iterator[Reason]:
    if wanted.rule != "rating":
        return
    rule = rulebook.value(f"division.rating_below.{wanted.code}")
    cap = wanted.rating_below
    if cap is None:
        text = f"No rating cap is known for {wanted.name}."
        yield Reason(text, rule.citation, UNKNOWN, "Set the cap for this event in the rulebook.")
    elif person.rating is None:
        text = f"{wanted.name} is for ratings below {cap}; no rating is known."
        mend = "Look the rating up; without a member number the director may estimate it (2.02.N)."
        yield Reason(text, rule.citation, UNKNOWN, mend)
    elif person.rating >= cap:
        yield _over_cap(person.rating, cap, wanted, event, rulebook)


def _over_cap(rating: int, cap: int, wanted: Division, event: EventFacts, rulebook: Rulebook) -> Reason:
    """Over the cap: refused, unless a points series stretches it (2.03.B)."""
    rule = rulebook.value(f"division.rating_below.{wanted.code}")
    series = rulebook.value("division.series_exception_points")
    stretched = cap + rulebook.int(series.key)
    text = f"{wanted.name} is for ratings below {cap}; this rating is {rating}."
    if event.points_series and rating <= stretched:
        return Reason(f"{text} The points series admits up to {stretched}.", series.citation, WARN)
    return Reason(text, rule.citation, REFUSE)


def _rating_floor(
    person: PersonFacts, wanted: Division, event: EventFacts, rulebook: Rulebook
) -> Iterator[Reason]:
    """Majors and elite series ask for a rating in the open divisions (4.02.A)."""
    key = f"division.rating_at_least.{wanted.code}"
    if not rulebook.has(key) or event.tier not in rulebook.words("division.rating_at_least_tiers"):
        return
    rule, least = rulebook.value(key), rulebook.int(key)
    start = f"{wanted.name} asks for a rating of at least {least} at this tier ({TIER_WORDS[event.tier]})"
    if person.rating is None:
        yield Reason(f"{start}; no rating is known.", rule.citation, UNKNOWN, "Look the rating up.")
    elif person.rating < least:
        yield Reason(f"{start}; this rating is {person.rating}.", rule.citation, REFUSE)


def _whole(found: object) -> int:
    if not isinstance(found, int):
        raise TypeError(f"{found!r} is not a whole number")
    return found
