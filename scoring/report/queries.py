"""How the event stands before it is closed: read from every room, each once."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from events.entries.models import Entry, Status
from events.log.services import verify
from events.logistics.queries import open_found, taken_waiting
from events.rulebook.loader import Rulebook
from events.setup.models import Event, Round
from events.setup.queries import rulebook_for
from scoring.cards.models import Card, CardVersion, GroupMessage, Ruling
from scoring.games.queries import open_games
from scoring.money.queries import statement
from scoring.penalties.lost_discs import given_back
from scoring.playoffs.queries import ties_of
from scoring.prizes.queries import open_prizes
from scoring.report.checklist import Due, Kind, Line, Point, Room, lines_of
from scoring.standings.cutting import CutState
from scoring.standings.going_on import DECLINED
from scoring.standings.loading import Facts, load
from scoring.standings.queries import DivisionStandings, standings_of
from scoring.standings.tallying import Group

RULE_TIERS = "Competition Manual 2025, 5.05"


@dataclass(frozen=True, slots=True)
class Closing:
    """How the event stands before it is closed. `dues` are owed after it."""

    divisions: tuple[DivisionStandings, ...]
    points: tuple[Point, ...]
    dues: tuple[Due, ...]
    complete: int
    expected: int

    @property
    def before(self) -> tuple[Line, ...]:
        return lines_of(list(self.points), before=True)

    @property
    def after(self) -> tuple[Line, ...]:
        return lines_of(list(self.points), before=False)

    @property
    def missing(self) -> tuple[Point, ...]:
        """What is open and cannot be mended once the event is over."""
        return tuple(point for line in self.before for point in line.points)


def closing_of(event: Event, now: datetime) -> Closing:
    """Everything the closing page shows: a fixed number of queries, whatever the field."""
    facts, book = load(event), rulebook_for(event)
    divisions = tuple(standings_of(facts))
    counting = _counting(facts, last_rounds(divisions))
    expected = [(round, entry) for round, entry in counting if _expected(entry)]
    needed = _needed(facts, counting)
    points = [
        *_undecided(event, needed),
        *_differing(facts, counting),
        *_unstarted(facts),
        *_cards(facts, expected),
        *_unverified(facts, needed),
        *(Point(Kind.TIES, text, Room.PLAYOFFS) for text in ties_of(divisions)),
        *_unasked(event, counting),
        *_taken(event, book),
        *_questions(event),
        *(Point(Kind.LOG, fault.text.capitalize(), Room.LOG) for fault in verify(event.slug)[1]),
        *_afterwards(event, now),
    ]
    complete = sum(_complete(facts, round, entry) for round, entry in expected)
    return Closing(divisions, tuple(points), dues_of(event, book, now), complete, len(expected))


def _taken(event: Event, book: Rulebook) -> Iterable[Point]:
    waiting = taken_waiting(event, book, given_back)
    return (Point(Kind.RULINGS, each.text, Room.FOUND) for each in waiting)


def _afterwards(event: Event, now: datetime) -> Iterable[Point]:
    """Prizes, side games, money, found things. What a game asks for stands with the games, not twice."""
    games = open_games(event)
    yield from (Point(Kind.PRIZES, text, Room.PRIZES) for text in open_prizes(event, now=now))
    yield from (Point(Kind.GAMES, text, Room.GAMES) for text in games)
    money = [text for text in statement(event).open if text not in games]
    yield from (Point(Kind.MONEY, text, Room.MONEY) for text in money)
    yield from (Point(Kind.FOUND, text, Room.FOUND) for text in open_found(event))


def _counting(facts: Facts, last: Mapping[int, int]) -> list[tuple[Round, Entry]]:
    """Rounds that count for a player: not those after a cut that the player did not make, nor what a stop left out."""
    return [
        (round, entry)
        for entry in facts.entries
        for round in facts.rounds_of(entry.division_id)
        if round.number <= last.get(entry.pk, round.number)
    ]


def _needed(facts: Facts, counting: Iterable[tuple[Round, Entry]]) -> set[tuple[int, int]]:
    """Cards, by round id and group, on which something counts: somebody owes a score there or has one."""
    return {
        (round.pk, place.group)
        for round, entry in counting
        if (place := facts.places.get((round.pk, entry.pk))) is not None
        and (_expected(entry) or facts.line_of(round.pk, entry) is not None)
    }


def _expected(entry: Entry) -> bool:
    """Who is still to hand in cards: not who left, by whatever word."""
    return entry.status == Status.CONFIRMED


def last_rounds(divisions: Iterable[DivisionStandings]) -> dict[int, int]:
    """Entry → the last round that counts for a player who does not go on after a cut (1.08.D, E)."""
    found: dict[int, int] = {}
    for division in divisions:
        made = [cut for cut in division.cuts if cut.state is CutState.MADE]
        for row in division.rows:
            declined = row.standing.words == DECLINED
            ends = [cut.after_round for cut in made if declined or row.standing.key not in cut.through]
            if ends:
                found[row.entry_id] = max(ends) if declined else min(ends)
    return found


def _complete(facts: Facts, round: Round, entry: Entry) -> bool:
    """A card of a round that counts, with a score on each hole that counts."""
    if round not in facts.rounds_of(entry.division_id):
        return True
    throws, _ = facts.counts_of(round.pk, entry)
    return throws is not None and None not in throws


def _undecided(event: Event, needed: Collection[tuple[int, int]]) -> Iterable[Point]:
    """Second cards that nobody has decided on (1 query)."""
    rows = CardVersion.objects.filter(card__round__event=event, state=CardVersion.State.DIFFERS)
    for round_id, number, group in (
        rows.values_list("card__round_id", "card__round__number", "card__group_number")
        .distinct()
        .order_by("card__round__number", "card__group_number")
    ):
        if (round_id, group) in needed:
            text = f"Round {number}, group {group}: two cards differ, to be decided"
            yield Point(Kind.CARDS, text, Room.CARDS, number, group)


def _differing(facts: Facts, counting: Iterable[tuple[Round, Entry]]) -> Iterable[Point]:
    """Holes on which phones, or a phone and the typed card, say different figures, by card."""
    found: dict[tuple[int, int], list[str]] = defaultdict(list)
    for round, entry in counting:
        line, place = facts.line_of(round.pk, entry), facts.places.get((round.pk, entry.pk))
        if line is not None and line.differs and place is not None:
            holes = f"{'hole' if len(line.differs) == 1 else 'holes'} {', '.join(line.differs)}"
            found[round.number, place.group].append(f"{entry.person.name} on {holes}")
    for (number, group), said in sorted(found.items()):
        text = f"Round {number}, group {group}: two figures for {'; '.join(said)}, to be decided"
        yield Point(Kind.CARDS, text, Room.CARDS, number, group)


def _unstarted(facts: Facts) -> Iterable[Point]:
    published = {round_id for round_id, _ in facts.places}
    played = {round.pk for division in facts.divisions for round in facts.rounds_of(division.pk)}
    for round in facts.rounds:
        if round.pk not in published and (round.pk in played or not facts.divisions):
            yield Point(
                Kind.CARDS, f"Round {round.number}: no tee sheet is published", Room.DRAW, round.number
            )


def _cards(facts: Facts, expected: Iterable[tuple[Round, Entry]]) -> Iterable[Point]:
    """Cards with a player whose round is not complete, by group; and players who stand in no group."""
    published = {round_id for round_id, _ in facts.places}
    groups: dict[tuple[int, int], list[str]] = defaultdict(list)
    nowhere: dict[int, list[str]] = defaultdict(list)
    numbers = {round.pk: round.number for round in facts.rounds}
    for round, entry in expected:
        if _complete(facts, round, entry):
            continue
        place = facts.places.get((round.pk, entry.pk))
        if place is not None:
            groups[round.pk, place.group].append(entry.person.name)
        elif round.pk in published:
            nowhere[round.pk].append(entry.person.name)
    for (round_id, group), names in sorted(
        groups.items(), key=lambda each: (numbers[each[0][0]], each[0][1])
    ):
        what = "not complete" if (round_id, group) in facts.returned else "not in"
        number = numbers[round_id]
        text = f"Round {number}, group {group}: card {what} for {', '.join(names)}"
        yield Point(Kind.CARDS, text, Room.CARDS, number, group)
    for round_id, names in sorted(nowhere.items(), key=lambda each: numbers[each[0]]):
        text = f"Round {numbers[round_id]}: in no group and without a card: {', '.join(names)}"
        yield Point(Kind.CARDS, text, Room.DRAW, numbers[round_id])


def _unverified(facts: Facts, needed: Collection[tuple[int, int]]) -> Iterable[Point]:
    """Groups whose card nobody has verified, a line for each round (1 query)."""
    verified = Card.objects.filter(round__event=facts.event, verified_at__isnull=False)
    left = set(needed) - set(verified.values_list("round_id", "group_number"))
    for round in facts.rounds:
        groups = sorted(group for round_id, group in left if round_id == round.pk)
        if groups:
            named = ", ".join(map(str, groups[:12])) + (" …" if len(groups) > 12 else "")
            text = f"Round {round.number}: not verified: {'card' if len(groups) == 1 else 'cards'} {named}"
            yield Point(Kind.CARDS, text, Room.CARDS, round.number, groups[0])


def _unasked(event: Event, counting: Iterable[tuple[Round, Entry]]) -> Iterable[Point]:
    """Rulings of which nobody has said whether the written score has them: they would count twice (1 query)."""
    counts = {(round.pk, entry.pk) for round, entry in counting}
    rulings = Ruling.objects.filter(round__event=event, in_card=None, taken_back_at=None)
    named = rulings.select_related("round", "entry__person").order_by("round__number", "pk")
    for ruling in named:
        if (ruling.round_id, ruling.entry_id) not in counts:
            continue
        where = f"hole {ruling.hole_label}" if ruling.hole_label else "the total"
        throws = f"{ruling.throws:+d}".replace("-", "\N{MINUS SIGN}")
        text = (
            f"Round {ruling.round.number}, {ruling.entry.person.name}: {throws} on {where} by ruling counts on top of"
            " the card; nobody has said whether the group wrote it already"
        )
        yield Point(Kind.RULINGS, text, Room.CARDS, ruling.round.number)


def _questions(event: Event) -> Iterable[Point]:
    """What groups asked from the course and nobody has answered (1 query)."""
    asked = GroupMessage.objects.filter(card__round__event=event, answered_at=None)
    for each in asked.select_related("card__round").order_by("card__round__number", "pk"):
        number, group = each.card.round.number, each.card.group_number
        text = f"Round {number}, group {group} {each.get_kind_display()}: {each.text}"
        yield Point(Kind.QUESTIONS, text, Room.CARDS, number, group)


def dues_of(event: Event, book: Rulebook, now: datetime) -> tuple[Due, ...]:
    """When scores, report and fees are due by the tier of the event (no query). The report's hours are counted from
    the declaration that the event is over, before it from the end of the last day: the manual says "after the event".
    """
    tier, due = event.tier, []
    ended = event.over_at or event.at(event.ends_on + timedelta(days=1), datetime.min.time())
    if book.has(key := f"tier.scores_due.{tier}"):
        due.append(Due("Scores uploaded", book.value(key).citation, words=book.text(key)))
    if book.has(key := f"tier.report_due_hours.{tier}"):
        at = event.local(ended) + timedelta(hours=book.int(key))
        due.append(Due("Report", book.value(key).citation, at=at, late=now > at))
    else:
        due.append(Due("Report", RULE_TIERS, words="no published value for this tier and region"))
    if book.has(key := f"tier.fees_due_days.{tier}"):
        on = event.ends_on + timedelta(days=book.int(key))
        due.append(Due("Fees", book.value(key).citation, on=on, late=event.local(now).date() > on))
    else:
        due.append(Due("Fees", RULE_TIERS, words="no published value for this tier and region"))
    return tuple(due)


def left_out(division: DivisionStandings) -> int:
    """Disqualified players: counted in the payout, not in the report (Competition Manual 2025, 5.06.D)."""
    return sum(row.standing.group is Group.DQ for row in division.rows)
