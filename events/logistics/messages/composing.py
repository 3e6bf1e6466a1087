"""Composing a message from the facts of the event, in one language or several. Pure.

What is not known is left out or said to follow; nothing is guessed, and nothing is promised.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from events.logistics.messages.words import Words

BETWEEN = "\n\n* * *\n\n"  # between languages


class Kind(StrEnum):
    CHECK_IN = "check_in"
    TEE_TIMES = "tee_times"
    DELAY = "delay"
    THANKS = "thanks"


KIND_WORDS: Mapping[Kind, str] = {
    Kind.CHECK_IN: "Check-in notice",
    Kind.TEE_TIMES: "Tee sheet",
    Kind.DELAY: "Delay",
    Kind.THANKS: "Thanks",
}


@dataclass(frozen=True, slots=True)
class GroupStart:
    """A group of a published sheet. `names`: as they stand on the sheet, with their divisions."""

    number: int
    hole: str
    starts_at: datetime
    names: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TeeSheet:
    """A published sheet; `groups` in the order of their starts."""

    version: int
    published_at: datetime | None
    tee_times: bool
    groups: tuple[GroupStart, ...]


@dataclass(frozen=True, slots=True)
class Move:
    """A start that moved, with the one before."""

    group: int
    hole: str
    starts_at: datetime
    before: datetime


@dataclass(frozen=True, slots=True)
class Moved:
    round: int
    moves: tuple[Move, ...]


@dataclass(frozen=True, slots=True)
class FirstStart:
    """When the first group of these divisions starts; without divisions: of everybody. `before`: where it moved, else
    None."""

    round: int
    at: datetime
    divisions: tuple[str, ...] = ()
    before: datetime | None = None


@dataclass(frozen=True, slots=True)
class TypedDelay:
    """What was to come after `since` comes so many minutes later."""

    since: datetime
    minutes: int
    reason: str


@dataclass(frozen=True, slots=True)
class Stop:
    """The last stop of play. `restart`: not before; None: not known. `ended`: "", resumed, next_day or cancelled."""

    cause: str
    since: datetime
    where_to_go: str
    restart: datetime | None
    ended: str
    ended_at: datetime | None


@dataclass(frozen=True, slots=True)
class Facts:
    """What messages say. Moments are local to the event; None: not set. Figures come from the rulebook.

    `first_starts`: of the first round. `moved`: groups of published sheets; `planned`: rounds without one that moved.
    `players` and `rounds`: that were played; 0 is not said.
    """

    event: str
    place: str
    sign: str = ""
    checkin_opens: datetime | None = None
    checkin_closes: datetime | None = None
    first_starts: tuple[FirstStart, ...] = ()
    guardian_age: int | None = None
    round: int | None = None
    sheet: TeeSheet | None = None
    starter_minutes: int | None = None
    absence_throws: int | None = None
    stop: Stop | None = None
    moved: tuple[Moved, ...] = ()
    delays: tuple[TypedDelay, ...] = ()
    planned: tuple[FirstStart, ...] = ()
    players: int = 0
    rounds: int = 0
    claim_until: date | None = None
    found: int = 0


@dataclass(frozen=True, slots=True)
class Message:
    subject: str
    text: str


def compose(kind: Kind, facts: Facts, languages: Sequence[Words]) -> Message:
    """The message, one language after the other; the subject in all of them."""
    said = [_in_one(kind, facts, words) for words in languages]
    subjects = dict.fromkeys(message.subject for message in said)
    return Message(" / ".join(subjects), BETWEEN.join(message.text for message in said))


def _in_one(kind: Kind, facts: Facts, words: Words) -> Message:
    body = "\n".join(_BODIES[kind](facts, words))
    sign = (
        words.say("sign", sign=facts.sign, event=facts.event)
        if facts.sign
        else words.say("unsigned", event=facts.event)
    )
    of_none = "_of_none" if kind is Kind.TEE_TIMES and facts.round is None else ""
    subject = words.say(f"{kind}_subject{of_none}", event=facts.event, round=facts.round)
    return Message(subject, f"{words.say('hello')}\n\n{body}\n\n{sign}")


def _check_in(facts: Facts, words: Words) -> Iterator[str]:
    opens, closes = facts.checkin_opens, facts.checkin_closes
    if opens and closes:
        yield words.say("check_in_span", opens=words.moment(opens), closes=words.moment(closes))
    elif opens:
        yield words.say("check_in_opens", opens=words.moment(opens))
    else:
        yield words.say("check_in_unset")
    if facts.place:
        yield words.say("where", place=facts.place)
    if closes:
        yield words.say("check_in_missed")
    yield words.say("check_in_leave")
    if facts.guardian_age is not None:
        yield words.say("guardian", age=facts.guardian_age)
    if facts.first_starts:
        yield ""
    for start in facts.first_starts:
        key = "first_start_of" if start.divisions else "first_start"
        divisions = ", ".join(start.divisions)
        yield words.say(key, round=start.round, divisions=divisions, when=words.moment(start.at))


def _tee_times(facts: Facts, words: Words) -> Iterator[str]:
    sheet = facts.sheet
    if sheet is None:
        yield words.say("tee_times_none" if facts.round else "no_round", round=facts.round)
        return
    day = None
    for group in sheet.groups:
        if group.starts_at.date() != day:
            day = group.starts_at.date()
            yield words.day(day)
        yield words.say(
            "group",
            clock=f"{group.starts_at:%H:%M}",
            hole=group.hole,
            group=group.number,
            names=", ".join(group.names),
        )
    yield ""
    if facts.place:
        yield words.say("where", place=facts.place)
    if sheet.tee_times and facts.starter_minutes is not None:
        yield words.say("be_there", minutes=facts.starter_minutes)
    if facts.absence_throws is not None:
        yield words.say("absent", throws=facts.absence_throws)
    if sheet.published_at is not None:
        when = words.moment(sheet.published_at)
        yield words.say("tee_times_version", version=sheet.version, when=when)


def _delay(facts: Facts, words: Words) -> Iterator[str]:
    if facts.stop is None and not (facts.moved or facts.delays or facts.planned):
        yield words.say("delay_none")
        return
    if facts.stop is not None:
        yield from _stop(facts.stop, words)
    for delay in facts.delays:
        when = words.moment(delay.since)
        yield words.say("delayed", when=when, minutes=delay.minutes, reason=delay.reason)
    for start in facts.planned:
        before = f"{start.before:%H:%M}" if start.before else ""
        yield words.say("planned_moved", round=start.round, clock=f"{start.at:%H:%M}", before=before)
    for moved in facts.moved:
        yield ""
        yield words.say("moved", round=moved.round)
        for move in moved.moves:
            yield words.say(
                "moved_line",
                group=move.group,
                hole=move.hole,
                clock=f"{move.starts_at:%H:%M}",
                before=f"{move.before:%H:%M}",
            )
    yield ""
    yield words.say("authorities")


def _stop(stop: Stop, words: Words) -> Iterator[str]:
    yield words.say("stopped", when=words.moment(stop.since), cause=words.cause(stop.cause))
    if not stop.ended:
        yield words.say("stop_now")
        if stop.where_to_go:
            yield words.say("shelter", place=stop.where_to_go)
        yield (
            words.say("not_before", when=words.moment(stop.restart)) if stop.restart else words.say("follows")
        )
    elif stop.ended == "resumed" and stop.ended_at is not None:
        minutes = int((stop.ended_at - stop.since).total_seconds() // 60)
        yield words.say("went_on", when=words.moment(stop.ended_at), minutes=minutes)
    else:
        yield words.say("next_day" if stop.ended == "next_day" else "not_finished")


def _thanks(facts: Facts, words: Words) -> Iterator[str]:
    key = "thanks_played" if facts.players and facts.rounds else "thanks_plain"
    yield words.say(key, players=facts.players, rounds=facts.rounds)
    yield words.say("thanks_helpers")
    if facts.claim_until is not None:
        yield words.say("thanks_prizes", day=words.day(facts.claim_until))
    if facts.found:
        yield words.say("thanks_found", count=facts.found)


_BODIES: Mapping[Kind, Callable[[Facts, Words], Iterator[str]]] = {
    Kind.CHECK_IN: _check_in,
    Kind.TEE_TIMES: _tee_times,
    Kind.DELAY: _delay,
    Kind.THANKS: _thanks,
}
