"""The players of a division as they are ranked, from what was read (no query)."""

from collections.abc import Collection

from events.entries.models import Entry, Status
from events.setup.models import Round
from scoring.cards.arithmetic import from_start
from scoring.cards.radio import called_total
from scoring.standings.loading import Facts
from scoring.standings.playing import Called, PlayerLine, PlayerStatus, RoundLine, RoundStatus

CARD_WAITS = "card in, not typed yet"
NOT_SEATED = "not on the tee sheet"

_STATUSES = {
    Status.CONFIRMED: PlayerStatus.IN,
    Status.DID_NOT_FINISH: PlayerStatus.DNF,
    Status.DISQUALIFIED: PlayerStatus.DQ,
    Status.WITHDRAWN: PlayerStatus.WITHDRAWN,
    Status.DID_NOT_PLAY: PlayerStatus.DNS,
}


def players_of(facts: Facts, latest: int, members: list[Entry]) -> list[PlayerLine]:
    """The entries of one division; `latest` is the number of its latest round with a score, 0 before any."""
    written = {
        (round.pk, place.group)
        for round in facts.rounds
        for entry in members
        if (place := facts.places.get((round.pk, entry.pk))) and (round.pk, entry.pk) in facts.lines
    }
    typed = facts.returned & written
    return [_player(facts, entry, latest, typed) for entry in members]


def _player(facts: Facts, entry: Entry, latest: int, typed: Collection[tuple[int, int]]) -> PlayerLine:
    counting = facts.rounds_of(entry.division_id)
    lines = tuple(_round_line(facts, round, entry, latest, typed) for round in counting)
    person = entry.person
    return PlayerLine(
        key=str(entry.pk),
        name=person.name,
        sort_name=person.sort_name,
        member_number=person.member_number,
        division=entry.division.code,
        rounds=lines,
        status=_STATUSES[Status(entry.status)],
        starts=_starts(facts, entry),
    )


def _round_line(
    facts: Facts, round: Round, entry: Entry, latest: int, typed: Collection[tuple[int, int]]
) -> RoundLine:
    line = facts.line_of(round.pk, entry)
    throws, pars = facts.counts_of(round.pk, entry)
    return RoundLine(
        round=round.number,
        throws=throws,
        pars=pars,
        additional=line.additional if line else 0,
        status=_status(facts, round, entry, latest, typed),
        called=_called(facts, round, entry),
        undecided=facts.open_of(round.pk, entry) is not None,
    )


def _called(facts: Facts, round: Round, entry: Entry) -> Called | None:
    """The last radio call as throws, counted in the order in which the player's group plays the holes, with what
    rulings put on the round's total. None where only common holes count: which of them a call holds is not known."""
    if facts.common_of(round.pk, entry) is not None:
        return None
    line, layout = facts.line_of(round.pk, entry), facts.layout_for(round.pk, entry)
    place = facts.places.get((round.pk, entry.pk))
    if line is None or layout is None or not 0 < line.called[0] <= len(layout.holes):
        return None
    through, to_par = line.called
    order = from_start(len(layout.holes), place.start_index if place else 0)
    total = called_total([layout.pars[index] for index in order], through, to_par)
    return Called(through, total + line.additional, to_par + line.additional)


def _status(
    facts: Facts, round: Round, entry: Entry, latest: int, typed: Collection[tuple[int, int]]
) -> RoundStatus:
    """Over once the division has begun a later round, the group's card is in and typed, it was chosen what counts of
    a stopped round, or the event is over; to come until the division has begun it."""
    if facts.common_of(round.pk, entry) is not None:
        return RoundStatus.OVER
    place = facts.places.get((round.pk, entry.pk))
    if facts.event.over_at is not None or round.number < latest:
        return RoundStatus.OVER
    if place is not None and (round.pk, place.group) in typed:
        return RoundStatus.OVER
    return RoundStatus.IN_PLAY if round.number == latest else RoundStatus.TO_COME


def _starts(facts: Facts, entry: Entry) -> str:
    """What to say of the first round that the player has not begun: "starts 09:00"."""
    counting = facts.rounds_of(entry.division_id)
    begun = [
        index
        for index, round in enumerate(counting)
        if (line := facts.line_of(round.pk, entry)) is not None and line.begun
    ]
    ahead = counting[(begun[-1] + 1 if begun else 0) :]
    if not ahead:
        return ""
    place = facts.places.get((ahead[0].pk, entry.pk))
    if place is None:
        published = any(round_id == ahead[0].pk for round_id, _ in facts.places)
        return NOT_SEATED if published else ""
    if (ahead[0].pk, place.group) in facts.returned:
        return CARD_WAITS
    local = facts.event.local(place.starts_at)
    one_day = facts.event.starts_on == facts.event.ends_on
    return f"starts {local:%H:%M}" if one_day or local.date() == facts.today else f"starts {local:%a %H:%M}"
