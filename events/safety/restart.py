"""The restart clock, which each new event resets, and the horn: what to sound, when, and what is due next."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from events.rulebook.loader import Rulebook
from events.safety.lightning import Counted, Evidence, LightningSet, Strike, judged

STOP, STOP_AGAIN, TWO_MINUTES, RESUME = "stop", "stop_again", "two_minutes", "resume"


@dataclass(frozen=True, slots=True)
class RestartRule:
    """Minutes, seconds and blasts of a stop, with their sources. The last blast of all is a long one."""

    stop_minutes: int
    stop_blasts: int
    repeat_seconds: int
    warning_seconds: int
    warning_blasts: int
    resume_blasts: int
    clock_source: str
    stop_source: str
    resume_source: str


@dataclass(frozen=True, slots=True)
class Clock:
    """`earliest`: no restart before it. `last`: the event that it rests on, None where it rests on the signal."""

    signal: datetime
    earliest: datetime
    warning: datetime
    last: Evidence | None
    counted: tuple[Counted, ...]
    sentence: str
    sources: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class HornCall:
    """One signal: `signal` is stop, stop_again, two_minutes or resume; `words` are for the marshal."""

    signal: str
    due: datetime
    blasts: int
    long: bool
    words: str
    source: str


def restart_rule(book: Rulebook) -> RestartRule:
    warning, resume = (int(word) for word in book.words("suspension.resume_blasts"))
    return RestartRule(
        stop_minutes=book.int("suspension.resume_after_minutes"),
        stop_blasts=book.int("suspension.blasts"),
        repeat_seconds=book.int("suspension.repeat_seconds"),
        warning_seconds=book.int("start.two_minute_seconds"),
        warning_blasts=warning,
        resume_blasts=resume,
        clock_source=book.value("suspension.resume_after_minutes").citation,
        stop_source=book.value("suspension.blasts").citation,
        resume_source=book.value("suspension.resume_blasts").citation,
    )


def restart_clock(
    signal: datetime, evidence: Iterable[Evidence], limits: LightningSet | None, rule: RestartRule
) -> Clock:
    """The later of signal + 30 minutes and the last counted event + 30 minutes.

    Without `limits` (play stopped for another cause) the clock rests on the signal alone. Evidence from before the
    signal counts like any other. All times carry their zone; the answer is in the signal's.
    """
    found = sorted(evidence, key=_order)
    counted = tuple(judged(each, limits, stopped=True) for each in found) if limits is not None else ()
    # Counted in UTC: between two times of one zone Python counts wall-clock hours, also over a clock change.
    earliest = signal.astimezone(UTC) + timedelta(minutes=rule.stop_minutes)
    last: Evidence | None = None
    sentence = f"{rule.stop_minutes} minutes after the signal at {signal:%H:%M}"
    wait = limits.wait_minutes if limits is not None else 0
    for each in counted:
        until = each.evidence.at.astimezone(UTC) + timedelta(minutes=wait)
        if each.counts and until > earliest:
            earliest, last = until, each.evidence
            at = each.evidence.at.astimezone(signal.tzinfo)
            sentence = f"{wait} minutes after the last event that counts: {each.why}, at {at:%H:%M}"
    return Clock(
        signal=signal,
        earliest=earliest.astimezone(signal.tzinfo),
        warning=_before(earliest.astimezone(signal.tzinfo), rule.warning_seconds),
        last=last,
        counted=counted,
        sentence=sentence,
        sources=(rule.clock_source, limits.source) if limits is not None else (rule.clock_source,),
    )


def _order(evidence: Evidence) -> tuple[datetime, bool, float, str]:
    """By time; within one moment thunder first, then the nearer, so that the same evidence has one order."""
    strike = isinstance(evidence, Strike)
    far = evidence.distance_m if isinstance(evidence, Strike) else evidence.seconds
    return evidence.at.astimezone(UTC), strike, -1.0 if far is None else float(far), evidence.source


def _after(moment: datetime, seconds: int) -> datetime:
    """So many seconds on, in the moment's own zone, also over a clock change."""
    return (moment.astimezone(UTC) + timedelta(seconds=seconds)).astimezone(moment.tzinfo)


def _before(moment: datetime, seconds: int) -> datetime:
    return _after(moment, -seconds)


def stop_calls(signal: datetime, rule: RestartRule) -> tuple[HornCall, ...]:
    """Three blasts, and three again after 60 seconds."""
    again = _after(signal, rule.repeat_seconds)
    blasts = _blasts(rule.stop_blasts)
    return (
        HornCall(STOP, signal, rule.stop_blasts, False, f"Stop play: {blasts}.", rule.stop_source),
        HornCall(
            STOP_AGAIN, again, rule.stop_blasts, False, f"Stop play, again: {blasts}.", rule.stop_source
        ),
    )


def resume_calls(restart: datetime, rule: RestartRule) -> tuple[HornCall, ...]:
    """Two blasts two minutes before the restart, one long blast at it."""
    warning = _before(restart, rule.warning_seconds)
    ready = f"Two minutes: {_blasts(rule.warning_blasts)}."
    go = f"Resume play: {_blasts(rule.resume_blasts, 'long ')}."
    return (
        HornCall(TWO_MINUTES, warning, rule.warning_blasts, False, ready, rule.resume_source),
        HornCall(RESUME, restart, rule.resume_blasts, True, go, rule.resume_source),
    )


def next_call(calls: Iterable[HornCall], sounded: Collection[str]) -> HornCall | None:
    """The first signal that was not sounded yet; None when all were.

    A later signal that was sounded stands for the earlier ones: nobody is told to stop again after the restart.
    """
    ordered = sorted(calls, key=lambda call: call.due.astimezone(UTC))
    done = max((place for place, call in enumerate(ordered) if call.signal in sounded), default=-1)
    return ordered[done + 1] if done + 1 < len(ordered) else None


def _blasts(count: int, kind: str = "") -> str:
    words = {1: "one", 2: "two", 3: "three", 4: "four"}
    return f"{words.get(count, str(count))} {kind}blast{'' if count == 1 else 's'}"
