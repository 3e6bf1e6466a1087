"""Reading the standings: divisions with their rows, and totals for the next draw."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from events.course.queries import LayoutFacts
from events.entries.models import IN_THE_FIELD, Entry
from events.rulebook.loader import in_force
from events.safety.models import Completion
from events.setup.models import Division, Event, Round
from events.setup.queries import division_names
from scoring.cards.models import StandingLine
from scoring.standings.cutting import CutResult
from scoring.standings.deciding import decided_of, rules_of, said_of
from scoring.standings.first_place import decide_first
from scoring.standings.going_on import after_cuts
from scoring.standings.lines import players_of
from scoring.standings.loading import Facts, Open, load
from scoring.standings.moving import moved
from scoring.standings.playing import PlayerLine
from scoring.standings.ranking import Standing, rank_division
from scoring.standings.tallying import WAITING, RoundResult
from scoring.standings.tallying import Group as Block


@dataclass(frozen=True, slots=True)
class DivisionRound:
    """A round as one division plays it. `layout` is None while none is chosen; `begun`: a score is in."""

    number: int
    layout: LayoutFacts | None
    begun: bool


@dataclass(frozen=True, slots=True)
class PlayerRound:
    """One round of one player: `throws` in layout order, None without a card; `start_index` from 0. `common`: labels of
    the holes that alone count, None: all; `open`: what nobody has decided yet of the card."""

    number: int
    layout: LayoutFacts | None
    start_index: int
    throws: tuple[int | None, ...] | None
    additional: int
    additional_reason: str
    result: RoundResult
    common: frozenset[str] | None = None
    open: Open | None = None


@dataclass(frozen=True, slots=True)
class Row:
    """One player in the standings of a division; `rounds` holds every round of the division in order. `moved` is
    how many places better than before the round in play, None without a place then or now; `line` is what the place
    was worked out from."""

    entry_id: int
    standing: Standing
    town: str
    rounds: tuple[PlayerRound, ...]
    line: PlayerLine
    moved: int | None = None

    @property
    def decided(self) -> str:
        """What broke the tie for first place: "playoff", "co-winners" or ""."""
        return self.standing.decided


@dataclass(frozen=True, slots=True)
class DivisionStandings:
    """A division's standings in their order; `rounds` are those asked for, with their layouts. `remarks` say what
    counts of rounds that were not finished; `cuts` are those of the division, projected or made, by round."""

    code: str
    name: str
    rounds: tuple[DivisionRound, ...]
    rows: tuple[Row, ...]
    remarks: tuple[str, ...] = ()
    cuts: tuple[CutResult, ...] = ()

    @property
    def current(self) -> DivisionRound | None:
        """The latest round with a score, else the first; None: the event has no rounds."""
        begun = [each for each in self.rounds if each.begun]
        return begun[-1] if begun else next(iter(self.rounds), None)

    @property
    def begun(self) -> bool:
        return any(each.begun for each in self.rounds)

    @property
    def by_total(self) -> bool:
        """Everybody with a place has complete cards of every round that was begun: totals can be compared."""
        ranked = [row.standing for row in self.rows if row.standing.group is Block.RANKED]
        return bool(ranked) and all(standing.complete for standing in ranked)

    @property
    def undecided(self) -> int:
        """Cards on which what was written differs and nobody has decided yet; those of who left do not matter here."""
        left = (Block.DNF, Block.DQ)
        return len(
            {
                (each.number, each.open.group, row.entry_id if each.open.group is None else None)
                for row in self.rows
                for each in row.rounds
                if each.open is not None and row.standing.group not in left
            }
        )

    @property
    def waiting(self) -> tuple[Row, ...]:
        """Who is still in it without a place: not started, or a needed card or hole is missing."""
        return tuple(row for row in self.rows if row.standing.group in WAITING)

    @property
    def settled(self) -> bool:
        """Complete, nobody waited for, and nothing to be decided."""
        return self.by_total and not self.waiting and not self.undecided

    @property
    def finished(self) -> bool:
        """Settled, and no round is still to come."""
        return self.settled and all(each.begun for each in self.rounds)


def standings(
    event: Event,
    *,
    divisions: Collection[str] | None = None,
    through_round: int | None = None,
    now: datetime | None = None,
) -> list[DivisionStandings]:
    """Standings of every division that has players, in the order of the plan (12 queries).

    `divisions` are codes to be shown, None: all; `through_round` leaves later rounds out, `now` the
    weekday of today's starts. Players who did not play are left out; those who withdrew stand in it only with
    a score.
    """
    facts = load(event, through_round=through_round, divisions=divisions, now=now)
    return standings_of(facts, divisions=divisions)


def standings_of(facts: Facts, *, divisions: Collection[str] | None = None) -> list[DivisionStandings]:
    """As `standings`, from facts that were read already (no query)."""
    names = division_names(in_force(facts.event.starts_on, facts.event.region))
    found = []
    for division in facts.divisions:
        if divisions is not None and division.code not in divisions:
            continue
        members = [entry for entry in facts.entries if entry.division_id == division.pk]
        rounds = division_rounds(facts, division, members)
        rows, cuts = _rows(facts, division, rounds, members)
        if rows:
            name, remarks = names.get(division.code, ""), _remarks(facts, division.pk)
            found.append(DivisionStandings(division.code, name, rounds, rows, remarks, cuts))
    return found


def _remarks(facts: Facts, division: int) -> tuple[str, ...]:
    """What was chosen for rounds that were not finished, in words."""
    words = []
    for round in facts.rounds:
        row = facts.chosen.get((round.pk, division))
        if row is None:
            continue
        if row.option == Completion.Option.COMMON_HOLES:
            words.append(f"round {round.number}: the {len(row.common)} holes that everyone finished count")
        elif row.option == Completion.Option.LAST_ROUND:
            words.append(f"round {round.number} does not count")
        else:
            words.append(f"round {round.number}: {row.get_option_display()}")
    return tuple(words)


def division_rounds(facts: Facts, division: Division, members: list[Entry]) -> tuple[DivisionRound, ...]:
    """The rounds that count for a division of these members (no query)."""
    counting = facts.rounds_of(division.pk)
    return tuple(_division_round(facts, round, division.pk, members) for round in counting)


def latest_of(rounds: Iterable[DivisionRound]) -> int:
    """The number of the latest round with a score, 0 before any."""
    return max((each.number for each in rounds if each.begun), default=0)


def _division_round(facts: Facts, round: Round, division: int, members: list[Entry]) -> DivisionRound:
    use = facts.uses.get((round.pk, division))
    layout = facts.layouts.get(use) if use is not None else None
    if layout is None:
        seated = (facts.layout_for(round.pk, entry) for entry in members)
        layout = next((found for found in seated if found is not None), None)
    lines = (facts.line_of(round.pk, entry) for entry in members)
    return DivisionRound(round.number, layout, any(line is not None and line.begun for line in lines))


def _rows(
    facts: Facts, division: Division, rounds: tuple[DivisionRound, ...], members: list[Entry]
) -> tuple[tuple[Row, ...], tuple[CutResult, ...]]:
    """The rows in their order, and the cuts that they went through or are heading for."""
    players = players_of(facts, latest_of(rounds), members)
    after, cuts = after_cuts(players, rules_of(facts, division.pk), decided_of(facts, members))
    entries, lines = {str(entry.pk): entry for entry in members}, {line.key: line for line in after}
    standings = decide_first(rank_division(after), said_of(facts, members))
    moves = moved(after, standings)
    return tuple(_row(facts, entries[each.key], each, lines[each.key], moves) for each in standings), cuts


def _row(facts: Facts, entry: Entry, standing: Standing, player: PlayerLine, moves: Mapping[str, int]) -> Row:
    rounds = []
    for round, result in zip(facts.rounds_of(entry.division_id), standing.rounds, strict=True):
        line, place = facts.line_of(round.pk, entry), facts.places.get((round.pk, entry.pk))
        rounds.append(
            PlayerRound(
                number=round.number,
                layout=facts.layout_for(round.pk, entry),
                start_index=place.start_index if place else 0,
                throws=line.throws if line else None,
                additional=line.additional if line else 0,
                additional_reason=line.additional_reason if line else "",
                result=result,
                common=facts.common_of(round.pk, entry),
                open=facts.open_of(round.pk, entry) if player.counts(round.number) else None,
            )
        )
    return Row(entry.pk, standing, entry.person.town, tuple(rounds), player, moves.get(standing.key))


def totals_before(round: Round) -> dict[int, tuple[int | None, ...]]:
    """Entry id → totals of the rounds before this one, oldest first (4 queries; 12 more where only common holes count).

    For everybody who is still in the event; None for a round without a complete card.
    """
    earlier = list(
        Round.objects.filter(event=round.event_id, number__lt=round.number)
        .order_by("number")
        .values_list("pk", flat=True)
    )
    lines = StandingLine.objects.filter(round__in=earlier, complete=True)
    totals = {
        (entry, round_id): total for entry, round_id, total in lines.values_list("entry", "round", "total")
    }
    totals |= _common_totals(round, earlier)
    entries = Entry.objects.filter(event=round.event_id, status__in=IN_THE_FIELD)
    return {
        entry: tuple(totals.get((entry, round_id)) for round_id in earlier)
        for entry in entries.order_by("pk").values_list("pk", flat=True)
    }


def _common_totals(round: Round, earlier: list[int]) -> dict[tuple[int, int], int | None]:
    """(entry id, round id) → total on the holes that alone count of a stopped round; None: one of them is blank."""
    common = Completion.objects.filter(round__in=earlier, option=Completion.Option.COMMON_HOLES)
    if not common.exists():
        return {}
    facts = load(round.event, through_round=round.number - 1)
    found: dict[tuple[int, int], int | None] = {}
    for before in facts.rounds:
        for entry in facts.entries:
            line = facts.line_of(before.pk, entry)
            if line is None or facts.common_of(before.pk, entry) is None:
                continue
            throws, _ = facts.counts_of(before.pk, entry)
            scored = [each for each in throws or () if each is not None]
            whole = throws is not None and len(scored) == len(throws)
            found[entry.pk, before.pk] = sum(scored) + line.additional if whole else None
    return found
