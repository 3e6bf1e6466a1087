"""What the page of cuts and ties shows, division by division."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from events.rulebook.divisions import division as published_division
from events.rulebook.loader import Rulebook
from events.setup.models import Division, Event
from events.setup.queries import rulebook_for
from scoring.playoffs.models import Playoff, PlayoffVersion, TrophyContest
from scoring.playoffs.outcomes import outcome_of, winners_of
from scoring.playoffs.queries import listed
from scoring.playoffs.ties import (
    SharedPlace,
    Tie,
    shared_places,
    tie_for_trophy,
    tie_of,
    tied_for_first,
    ties_in,
)
from scoring.standings.cutting import CutResult, CutState, percent_of, tighter_than_paid
from scoring.standings.going_on import DECLINED
from scoring.standings.loading import load
from scoring.standings.models import Cut, Placing
from scoring.standings.queries import DivisionStandings, standings_of


@dataclass(frozen=True, slots=True)
class CutShown:
    """A cut in words. `may_decline`: entry id, name and whether the player declined already."""

    pk: int
    after_round: int
    rule: str
    state: str
    needs: bool
    ready: bool
    posted_at: datetime | None
    reason: str
    differs: str
    pay_line: str
    may_decline: tuple[tuple[int, str, bool], ...]


@dataclass(frozen=True, slots=True)
class TieShown:
    after_round: int
    what: str
    names: str


@dataclass(frozen=True, slots=True)
class PlayoffShown:
    pk: int
    what: str
    state: str
    needs: bool


@dataclass(frozen=True, slots=True)
class TrophyShown:
    """A trophy of a shared place that somebody has; `undo` is the contest that decided it, None: something else."""

    trophy: int
    name: str
    how: str
    undo: int | None


@dataclass(frozen=True, slots=True)
class SharedShown:
    """A place that several share. `following`: the trophy that may be decided next, None when there is none."""

    place: int
    names: str
    trophies: tuple[TrophyShown, ...]
    following: int | None
    running: bool


@dataclass(frozen=True, slots=True)
class DivisionShown:
    code: str
    name: str
    cuts: tuple[CutShown, ...]
    ties: tuple[TieShown, ...]
    playoffs: tuple[PlayoffShown, ...]
    shared: tuple[SharedShown, ...]
    co_winners: str
    co_reason: str
    first_place_open: bool

    @property
    def trophies_decided(self) -> bool:
        return any(each.trophies for each in self.shared)


@dataclass(frozen=True, slots=True)
class _Written:
    """What was written of playoffs, contests and cuts of the event."""

    cuts: tuple[Cut, ...]
    playoffs: tuple[tuple[Playoff, PlayoffVersion], ...]
    contests: tuple[TrophyContest, ...]
    reasons: Mapping[int, str]
    winners: Mapping[str, Mapping[int, int]]


def divisions_shown(event: Event) -> list[DivisionShown]:
    """Every division with players (17 queries)."""
    facts = load(event)
    book = rulebook_for(event)
    paid = places_paid(event)
    playoffs, contests = _playoffs(event), _contests(event)
    written = _Written(
        cuts=tuple(facts.cuts),
        playoffs=tuple(playoffs),
        contests=tuple(contests),
        reasons={row.entry_id: row.reason for row in facts.placings if row.how == Placing.How.CO_WINNERS},
        winners=winners_of(playoffs, contests),
    )
    return [
        _division(division, written, _paid(event, division, book, paid)) for division in standings_of(facts)
    ]


def _contests(event: Event) -> list[TrophyContest]:
    """Those that were not taken back (1 query)."""
    found = TrophyContest.objects.filter(division__event=event, taken_back_at=None)
    return list(found.select_related("division").order_by("trophy"))


def _playoffs(event: Event) -> list[tuple[Playoff, PlayoffVersion]]:
    """Those that count, each with its newest version (2 queries)."""
    playoffs = Playoff.objects.filter(division__event=event, dropped_at=None)
    newest: dict[int, PlayoffVersion] = {}
    for version in PlayoffVersion.objects.filter(playoff__in=playoffs).order_by("number"):
        newest[version.playoff_id] = version
    found = playoffs.select_related("division").order_by("after_round", "trophy", "pk")
    return [(each, newest[each.pk]) for each in found if each.pk in newest]


def places_paid(event: Event) -> dict[str, int]:
    """Division code → places paid, where somebody settled them (1 query).

    The prizes belong to the floor above: they are reached by the name of the relation, so nothing is imported.
    """
    settled = Division.objects.filter(event=event).values_list("code", "prize_plan__places")
    return {code: places for code, places in settled if places is not None}


def _paid(event: Event, division: DivisionStandings, book: Rulebook, paid: Mapping[str, int]) -> int | None:
    """Places paid as settled, else at least by the rulebook; None where neither says anything."""
    if division.code in paid:
        return paid[division.code]
    kind = "pro" if published_division(book, division.code).professional else "am"
    key = f"prize.{kind}_depth_percent.{event.tier}"
    return percent_of(book.int(key), len(division.rows)) if book.has(key) else None


def _division(division: DivisionStandings, written: _Written, paid: int | None) -> DivisionShown:
    results = {each.after_round: each for each in division.cuts}
    own = [(each, version) for each, version in written.playoffs if each.division.code == division.code]
    begun = {each.after_round for each, _ in own if not each.trophy}
    winners = written.winners.get(division.code, {})
    co_winners = [
        row for row in division.rows if row.standing.decided == "co-winners" and row.standing.place == 1
    ]
    return DivisionShown(
        code=division.code,
        name=division.name,
        cuts=tuple(
            _cut(cut, results[cut.after_round], division, paid)
            for cut in written.cuts
            if cut.division.code == division.code and cut.after_round in results
        ),
        ties=tuple(_tie(tie) for tie in ties_in(division) if tie.after_round not in begun),
        playoffs=tuple(_playoff(each, version, division, winners) for each, version in own),
        shared=tuple(
            _shared(each, written.contests, {each.trophy for each, _ in own if each.trophy}, division.code)
            for each in shared_places(division, winners)
        ),
        co_winners=listed([row.standing.name for row in co_winners]),
        co_reason=written.reasons.get(co_winners[0].entry_id, "") if co_winners else "",
        first_place_open=bool(tied_for_first(division)),
    )


def _tie(tie: Tie) -> TieShown:
    return TieShown(tie.after_round, tie.what, listed([row.standing.name for row in tie.rows]))


def _shared(
    shared: SharedPlace, contests: Iterable[TrophyContest], played: Collection[int], code: str
) -> SharedShown:
    names = {row.entry_id: row.standing.name for row in shared.rows}
    held = {each.trophy: each for each in contests if each.division.code == code}
    trophies = []
    for entry, trophy in sorted(shared.trophies.won.items(), key=lambda pair: pair[1]):
        contest, how = held.get(trophy), "the last of them"
        if contest is not None and contest.winner_id == entry:
            how = " · ".join(filter(None, (contest.what, contest.result)))
        elif trophy in played:
            contest, how = None, "playoff"
        else:
            contest = None
        trophies.append(TrophyShown(trophy, names[entry], how, contest.pk if contest else None))
    following = shared.trophies.following
    return SharedShown(
        shared.place, listed(list(names.values())), tuple(trophies), following, following in played
    )


def _cut(cut: Cut, result: CutResult, division: DivisionStandings, paid: int | None) -> CutShown:
    names = {row.standing.key: row.standing.name for row in division.rows}
    share = f" ({cut.percent} %)" if cut.percent else ""
    ties = "all tied go on" if cut.ties == Cut.Ties.ALL else "ties by playoff"
    tight = tighter_than_paid(result.size, paid)
    through = [row for row in division.rows if row.standing.key in result.through]
    made = result.state is CutState.MADE
    return CutShown(
        pk=cut.pk,
        after_round=cut.after_round,
        rule=f"{result.size} of {len(division.rows)}{share} play on after round {cut.after_round}, {ties}",
        state=state_of(result),
        needs=bool(result.differs),
        ready=made and cut.posted is None,
        posted_at=cut.posted_at,
        reason=cut.reason,
        differs=listed([names[key] for key in result.differs if key in names]),
        pay_line=f"{paid} places are paid, and fewer go on: the cut may not be tighter (1.08.C)."
        if tight
        else "",
        may_decline=tuple(
            (row.entry_id, row.standing.name, row.standing.words == DECLINED) for row in through
        )
        if made
        else (),
    )


def state_of(cut: CutResult) -> str:
    """ "projected at +3, 4 on the line for 2 places", "made: 18 play on"."""
    if cut.state is CutState.MADE:
        return f"made: {len(cut.through)} play on"
    places = "1 place" if cut.places == 1 else f"{cut.places} places"
    level = f"{len(cut.level)} tied for {places}" if cut.level else ""
    if cut.state is CutState.TIED:
        return f"{level}: a playoff decides"
    if cut.line is None:
        return "no scores yet"
    return " · ".join(filter(None, ["projected while cards are out", level]))


def _playoff(
    playoff: Playoff, version: PlayoffVersion, division: DivisionStandings, winners: Mapping[int, int]
) -> PlayoffShown:
    outcome = outcome_of(playoff, version)
    names = {row.entry_id: row.standing.name for row in division.rows}
    stray = not fits(playoff, division, winners)
    if stray:
        state = "its players are no longer those who are tied: look, and drop it with a reason"
    elif outcome.decided:
        verb = "plays on" if playoff.after_round else "wins"
        who = listed([names.get(key, "somebody") for key in outcome.through])
        state = f"{who} {verb if len(outcome.through) == 1 else 'play on'}"
    else:
        holes = len(version.figures)
        state = f"after {holes} {'hole' if holes == 1 else 'holes'}: {len(outcome.playing)} still in it"
    return PlayoffShown(playoff.pk, playoff.what, state, stray or not outcome.decided)


def fits(playoff: Playoff, division: DivisionStandings, winners: Mapping[int, int]) -> bool:
    """Whether the players of a playoff are those who are, or without it were, tied. `winners`: trophy → entry id."""
    own = set(playoff.players)
    if playoff.trophy:
        trophy_tie = tie_for_trophy(division, playoff.trophy, winners)
        return trophy_tie is not None and own == {row.entry_id for row in trophy_tie.rows}
    tie = tie_of(division, playoff.after_round)
    if tie is not None:
        return own == {row.entry_id for row in tie.rows}
    if playoff.after_round:
        return any(
            cut.after_round == playoff.after_round and cut.state is CutState.MADE for cut in division.cuts
        )
    return own == {row.entry_id for row in division.rows if row.standing.decided}
