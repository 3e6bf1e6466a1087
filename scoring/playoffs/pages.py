"""What the page of cuts and ties shows, division by division."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from events.rulebook.divisions import division as published_division
from events.rulebook.loader import Rulebook
from events.setup.models import Division, Event
from events.setup.queries import rulebook_for
from scoring.playoffs.models import Playoff, PlayoffVersion
from scoring.playoffs.queries import listed
from scoring.playoffs.services import outcome_of
from scoring.playoffs.ties import Tie, tie_of, tied_for_first, ties_in
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
    after_round: int
    what: str
    state: str
    needs: bool


@dataclass(frozen=True, slots=True)
class DivisionShown:
    code: str
    name: str
    cuts: tuple[CutShown, ...]
    ties: tuple[TieShown, ...]
    playoffs: tuple[PlayoffShown, ...]
    co_winners: str
    co_reason: str
    first_place_open: bool


def divisions_shown(event: Event) -> list[DivisionShown]:
    """Every division with players (16 queries)."""
    facts = load(event)
    book = rulebook_for(event)
    paid = places_paid(event)
    playoffs = _playoffs(event)
    reasons = {row.entry_id: row.reason for row in facts.placings if row.how == Placing.How.CO_WINNERS}
    return [
        _division(division, list(facts.cuts), playoffs, reasons, _paid(event, division, book, paid))
        for division in standings_of(facts)
    ]


def _playoffs(event: Event) -> list[tuple[Playoff, PlayoffVersion]]:
    """Those that count, each with its newest version (2 queries)."""
    playoffs = Playoff.objects.filter(division__event=event, dropped_at=None)
    newest: dict[int, PlayoffVersion] = {}
    for version in PlayoffVersion.objects.filter(playoff__in=playoffs).order_by("number"):
        newest[version.playoff_id] = version
    found = playoffs.select_related("division").order_by("after_round", "pk")
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


def _division(
    division: DivisionStandings,
    rows: Iterable[Cut],
    playoffs: Iterable[tuple[Playoff, PlayoffVersion]],
    reasons: Mapping[int, str],
    paid: int | None,
) -> DivisionShown:
    results = {each.after_round: each for each in division.cuts}
    own = [(each, version) for each, version in playoffs if each.division.code == division.code]
    begun = {each.after_round for each, _ in own}
    co_winners = [
        row for row in division.rows if row.standing.decided == "co-winners" and row.standing.place == 1
    ]
    return DivisionShown(
        code=division.code,
        name=division.name,
        cuts=tuple(
            _cut(cut, results[cut.after_round], division, paid)
            for cut in rows
            if cut.division.code == division.code and cut.after_round in results
        ),
        ties=tuple(_tie(tie) for tie in ties_in(division) if tie.after_round not in begun),
        playoffs=tuple(_playoff(each, version, division) for each, version in own),
        co_winners=listed([row.standing.name for row in co_winners]),
        co_reason=reasons.get(co_winners[0].entry_id, "") if co_winners else "",
        first_place_open=bool(tied_for_first(division)),
    )


def _tie(tie: Tie) -> TieShown:
    return TieShown(tie.after_round, tie.what, listed([row.standing.name for row in tie.rows]))


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


def _playoff(playoff: Playoff, version: PlayoffVersion, division: DivisionStandings) -> PlayoffShown:
    outcome = outcome_of(playoff, version)
    names = {row.entry_id: row.standing.name for row in division.rows}
    what = f"cut after round {playoff.after_round}" if playoff.after_round else "first place"
    stray = not fits(playoff, division)
    if stray:
        state = "its players are no longer those who are tied: look, and drop it with a reason"
    elif outcome.decided:
        verb = "plays on" if playoff.after_round else "wins"
        who = listed([names.get(key, "somebody") for key in outcome.through])
        state = f"{who} {verb if len(outcome.through) == 1 else 'play on'}"
    else:
        holes = len(version.figures)
        state = f"after {holes} {'hole' if holes == 1 else 'holes'}: {len(outcome.playing)} still in it"
    return PlayoffShown(playoff.pk, playoff.after_round, what, state, stray or not outcome.decided)


def fits(playoff: Playoff, division: DivisionStandings) -> bool:
    """Whether the players of a playoff are those who are, or without it were, tied."""
    own = set(playoff.players)
    tie = tie_of(division, playoff.after_round)
    if tie is not None:
        return own == {row.entry_id for row in tie.rows}
    if playoff.after_round:
        return any(
            cut.after_round == playoff.after_round and cut.state is CutState.MADE for cut in division.cuts
        )
    return own == {row.entry_id for row in division.rows if row.standing.decided}
