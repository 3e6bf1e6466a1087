"""The restart clock, which each new event resets, and the horn: what to sound, when, and what is due next."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

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
    counted = tuple(
        judged(each, limits, stopped=True)
        for each in sorted(evidence, key=lambda e: (e.at, isinstance(e, Strike)))
        if limits is not None
    )
    earliest, last = signal + timedelta(minutes=rule.stop_minutes), None
    sources = [rule.clock_source]
    sentence = f"{rule.stop_minutes} minutes after the signal at {signal:%H:%M}"
    if limits is not None:
        sources.append(limits.source)
        for each in counted:
            until = each.evidence.at.astimezone(signal.tzinfo) + timedelta(minutes=limits.wait_minutes)
            if each.counts and until > earliest:
                earliest, last = until, each.evidence
                at = each.evidence.at.astimezone(signal.tzinfo)
                sentence = f"{limits.wait_minutes} minutes after the last event that counts: {each.why}, at {at:%H:%M}"
    return Clock(
        signal=signal,
        earliest=earliest,
        warning=earliest - timedelta(seconds=rule.warning_seconds),
        last=last,
        counted=counted,
        sentence=sentence,
        sources=tuple(sources),
    )


def stop_calls(signal: datetime, rule: RestartRule) -> tuple[HornCall, ...]:
    """Three blasts, and three again after 60 seconds."""
    again = signal + timedelta(seconds=rule.repeat_seconds)
    blasts = _blasts(rule.stop_blasts)
    return (
        HornCall(STOP, signal, rule.stop_blasts, False, f"Stop play: {blasts}.", rule.stop_source),
        HornCall(
            STOP_AGAIN, again, rule.stop_blasts, False, f"Stop play, again: {blasts}.", rule.stop_source
        ),
    )


def resume_calls(restart: datetime, rule: RestartRule) -> tuple[HornCall, ...]:
    """Two blasts two minutes before the restart, one long blast at it."""
    warning = restart - timedelta(seconds=rule.warning_seconds)
    ready = f"Two minutes: {_blasts(rule.warning_blasts)}."
    go = f"Play on: {_blasts(rule.resume_blasts, 'long ')}."
    return (
        HornCall(TWO_MINUTES, warning, rule.warning_blasts, False, ready, rule.resume_source),
        HornCall(RESUME, restart, rule.resume_blasts, True, go, rule.resume_source),
    )


def next_call(calls: Iterable[HornCall], sounded: Collection[str]) -> HornCall | None:
    """The first signal that was not sounded yet; None when all were.

    A later signal that was sounded stands for the earlier ones: nobody is told to stop again after the restart.
    """
    ordered = sorted(calls, key=lambda call: call.due)
    done = max((place for place, call in enumerate(ordered) if call.signal in sounded), default=-1)
    return ordered[done + 1] if done + 1 < len(ordered) else None


def _blasts(count: int, kind: str = "") -> str:
    words = {1: "one", 2: "two", 3: "three", 4: "four"}
    return f"{words.get(count, str(count))} {kind}blast{'' if count == 1 else 's'}"
