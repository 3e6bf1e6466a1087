"""What was set and decided of cuts and ties, as the pure modules take it (no query)."""

from collections.abc import Iterable

from events.entries.models import Entry
from scoring.standings.cutting import CutRule
from scoring.standings.first_place import Said
from scoring.standings.going_on import Decided
from scoring.standings.loading import Facts
from scoring.standings.models import AFTER_LAST_ROUND, Cut, Placing


def rules_of(facts: Facts, division: int) -> list[CutRule]:
    """The cuts of a division by the round that they follow."""
    return [rule_of(cut) for cut in facts.cuts if cut.division_id == division]


def rule_of(cut: Cut) -> CutRule:
    return CutRule(
        after_round=cut.after_round,
        players=cut.players,
        percent=cut.percent,
        all_tied=cut.ties == Cut.Ties.ALL,
        posted=None if cut.posted is None else frozenset(str(key) for key in cut.posted),
    )


def decided_of(facts: Facts, members: Iterable[Entry]) -> Decided:
    """Ranks of playoffs at cuts and who declined to play on, among these entries."""
    own = {entry.pk for entry in members}
    ranks: dict[int, dict[str, int]] = {}
    declined: dict[int, set[str]] = {}
    for row in facts.placings:
        if row.entry_id not in own or row.after_round == AFTER_LAST_ROUND:
            continue
        if row.how == Placing.How.DECLINED:
            declined.setdefault(row.after_round, set()).add(str(row.entry_id))
        else:
            ranks.setdefault(row.after_round, {})[str(row.entry_id)] = row.rank
    return Decided(ranks, {number: frozenset(keys) for number, keys in declined.items()})


def said_of(facts: Facts, members: Iterable[Entry]) -> dict[str, Said]:
    """What was decided of a tie for first place, by key of the player."""
    own = {entry.pk for entry in members}
    return {
        str(row.entry_id): Said(row.rank, row.how)
        for row in facts.placings
        if row.after_round == AFTER_LAST_ROUND and row.entry_id in own
    }
