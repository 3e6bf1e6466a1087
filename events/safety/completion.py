"""When a round or an event cannot be finished: common holes, whether the event is official, and what can be chosen.

Plain data: players and holes are any hashable names. Who still belongs to a division (those who did not finish the
event do not) is decided by the caller.
"""

from collections.abc import Collection, Hashable, Iterable, Mapping
from dataclasses import dataclass

from events.rulebook.loader import Rulebook

FINISH_LATER, COMMON_HOLES, LAST_ROUND, NOT_OFFICIAL = (
    "finish_later",
    "common_holes",
    "last_round",
    "not_official",
)


@dataclass(frozen=True, slots=True)
class CompletionRule:
    """Holes and rounds that are needed, with their sources."""

    counts_from: int
    rated_from: int
    few_scheduled_to: int
    few_finished: int
    many_finished: int
    counts_source: str
    rated_source: str
    official_source: str


@dataclass(frozen=True, slots=True)
class PartialRound:
    """A round that was stopped, for one division. `common`: holes finished by all, in the layout's order."""

    common: tuple[Hashable, ...]
    counts: bool
    rated: bool
    sentence: str
    source: str


@dataclass(frozen=True, slots=True)
class Official:
    """Whether an event is official. `finished`: rounds finished by all; `needed`: how many it takes."""

    official: bool
    finished: int
    needed: int
    sentence: str
    source: str


@dataclass(frozen=True, slots=True)
class Option:
    """What the director may choose for a division, with what follows from it."""

    key: str
    words: str
    consequences: tuple[str, ...]
    needs_approval: bool
    source: str


def completion_rule(book: Rulebook) -> CompletionRule:
    at = "suspension.official_rounds"
    return CompletionRule(
        counts_from=book.int("suspension.common_holes_at_least"),
        rated_from=book.int("rating.holes_at_least"),
        few_scheduled_to=book.int(f"{at}.few_scheduled_to"),
        few_finished=book.int(f"{at}.few_finished"),
        many_finished=book.int(f"{at}.many_finished"),
        counts_source=book.value("suspension.common_holes_at_least").citation,
        rated_source=book.value("rating.holes_at_least").citation,
        official_source=book.value(f"{at}.few_finished").citation,
    )


def common_holes(
    layout: Iterable[Hashable], finished: Mapping[Hashable, Collection[Hashable]]
) -> tuple[Hashable, ...]:
    """The holes of the layout that every player has finished, in its order. Nobody playing: none are common."""
    if not finished:
        return ()
    return tuple(hole for hole in layout if all(hole in holes for holes in finished.values()))


def partial_round(
    layout: Iterable[Hashable], finished: Mapping[Hashable, Collection[Hashable]], rule: CompletionRule
) -> PartialRound:
    """8 common holes count for nothing, 9 count, 13 can be rated (published figures; ours come from the rulebook)."""
    common = common_holes(layout, finished)
    counts, rated = len(common) >= rule.counts_from, len(common) >= rule.rated_from
    holes = f"{len(common)} hole{'' if len(common) == 1 else 's'} finished by everyone"
    if not counts:
        sentence = f"{holes}: fewer than {rule.counts_from}, the round cannot count."
    elif not rated:
        sentence = f"{holes}: they can count, but are not rated below {rule.rated_from}."
    else:
        sentence = f"{holes}: they can count and be rated."
    source = f"{rule.counts_source}; {rule.rated_source}" if counts else rule.counts_source
    return PartialRound(common, counts, counts and rated, sentence, source)


def event_official(scheduled: int, finished: int, rule: CompletionRule) -> Official:
    """Official from one finished round of up to three scheduled, from two of four and more.

    `scheduled`: rounds planned without a final; `finished`: those that all players have finished.
    Raises ValueError without a scheduled round.
    """
    if scheduled < 1 or not 0 <= finished <= scheduled:
        raise ValueError(f"{finished} of {scheduled} rounds finished cannot be.")
    needed = rule.few_finished if scheduled <= rule.few_scheduled_to else rule.many_finished
    official = finished >= needed
    rounds = f"{finished} of {scheduled} rounds finished by all; {needed} needed"
    sentence = f"{rounds}: the event {'is' if official else 'is not'} official."
    return Official(official, finished, needed, sentence, rule.official_source)


def options(
    part: PartialRound, scheduled: int, finished: int, rule: CompletionRule, *, days_left: bool
) -> tuple[Option, ...]:
    """What can be chosen for a division whose round was stopped, the published order first.

    `finished` does not count the stopped round. `days_left`: a scheduled day is still to come.
    """
    before = event_official(scheduled, finished, rule)
    found = [_finish_later()] if days_left else []
    if part.counts:
        found.append(_common(part, scheduled, finished, rule))
    if finished:
        found.append(_last_round(before, finished))
    if not before.official:
        found.append(_not_official(before))
    return tuple(found)


def _finish_later() -> Option:
    return Option(
        FINISH_LATER,
        "Finish this round on a scheduled day",
        (
            "Partial scores are kept; play goes on from where each group stood.",
            "It comes before later rounds: those are dropped first if need be.",
        ),
        False,
        "Competition Manual 2025, 1.07.F, G, J",
    )


def _common(part: PartialRound, scheduled: int, finished: int, rule: CompletionRule) -> Option:
    after = event_official(scheduled, min(finished + 1, scheduled), rule)
    rated = "The round can be rated." if part.rated else f"Not rated: fewer than {rule.rated_from} holes."
    return Option(
        COMMON_HOLES,
        f"Count the {len(part.common)} holes that everyone has finished",
        (
            "All common holes count; scores on other holes do not.",
            rated,
            f"If this round is taken as finished: {after.sentence}",
        ),
        True,
        part.source,
    )


def _last_round(before: Official, finished: int) -> Option:
    return Option(
        LAST_ROUND,
        f"Results as they stood after round {finished}",
        ("The stopped round does not count.", before.sentence),
        True,
        "Competition Manual 2025, 1.07.K; approval: Mid-Event Suspension Policy, update notice of June 2023",
    )


def _not_official(before: Official) -> Option:
    return Option(
        NOT_OFFICIAL,
        "Reschedule, or refund",
        (
            before.sentence,
            "If no other day can be found: refund the fees, less player pack, per-player fee and related costs.",
        ),
        False,
        before.source,
    )
