"""What playoffs and contests that were written come to."""

from collections.abc import Mapping, Sequence

from events.setup.models import Event
from scoring.playoffs.contest import Contest, Outcome, play
from scoring.playoffs.models import Playoff, PlayoffVersion, TrophyContest


def contest_of(
    playoff: Playoff, figures: Sequence[Mapping[str, int]], declined: Mapping[str, int]
) -> Contest:
    """The playoff as the pure module takes it."""
    return Contest(
        players=tuple(playoff.players),
        places=playoff.places,
        aggregate=playoff.aggregate,
        holes=tuple({int(key): figure for key, figure in line.items()} for line in figures),
        declined={int(key): after for key, after in declined.items()},
    )


def outcome_of(playoff: Playoff, version: PlayoffVersion) -> Outcome:
    """The holes of a version, followed one after the other."""
    return play(contest_of(playoff, version.figures, version.declined))


def trophy_winners(event: Event) -> dict[str, dict[int, int]]:
    """Division code → trophy → entry id of who won it, by playoff or by contest (2 queries)."""
    versions = PlayoffVersion.objects.filter(
        playoff__division__event=event, playoff__dropped_at=None, playoff__trophy__gt=0
    )
    newest: dict[int, PlayoffVersion] = {}
    for version in versions.select_related("playoff__division").order_by("number"):
        newest[version.playoff_id] = version
    contests = TrophyContest.objects.filter(division__event=event, taken_back_at=None)
    rows = list(contests.select_related("division").order_by("pk"))
    return winners_of([(version.playoff, version) for version in newest.values()], rows)


def winners_of(
    playoffs: Sequence[tuple[Playoff, PlayoffVersion]], contests: Sequence[TrophyContest]
) -> dict[str, dict[int, int]]:
    """As `trophy_winners`, from rows that were read already, each with its division (no query)."""
    found: dict[str, dict[int, int]] = {}
    for row in contests:
        found.setdefault(row.division.code, {})[row.trophy] = row.winner_id
    for playoff, version in playoffs:
        outcome = outcome_of(playoff, version)
        if playoff.trophy and outcome.through:
            found.setdefault(playoff.division.code, {})[playoff.trophy] = outcome.through[0]
    return found
