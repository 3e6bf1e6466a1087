"""Histories of rated rounds: brought in for the entrants, compared with the ratings that were entered, adopted."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from events.entries.models import IN_THE_FIELD, Entry, RatingSource, Status
from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.models import Event
from events.setup.over import hold_open
from events.setup.queries import rulebook_for
from events.sheets.cells import plain
from events.sheets.dates import DateOrder
from events.sheets.problems import Problem
from events.sheets.reading import read_table
from scoring.ratings.history_csv import EXPECTED, HistoryRow, read_history
from scoring.ratings.models import History, PastRound
from scoring.ratings.player import Past, PlayerRating, rate_player
from scoring.ratings.rules import player_rules_from

EXPECTED_IN = (*IN_THE_FIELD, Status.APPLIED, Status.WAITLISTED)  # whose rating may still matter


class HistoryRefused(Exception):
    """Nothing was brought in: each of `problems` names row, column and mend."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        super().__init__(f"Nothing was brought in: {len(problems)} to mend.")
        self.problems = tuple(problems)


class AdoptionRefused(Exception):
    """The rating cannot be taken over; the message is a sentence."""


@dataclass(frozen=True, slots=True)
class Brought:
    """What an import did; `strangers` are members or names that are not entered, whose rounds were left out."""

    rounds: int
    players: int
    strangers: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Compared:
    """An entrant with the rating that was entered and the one that the history gives (None: no history).

    `differs` is the sentence to show where the two are far apart, or where one could be taken over; "" else.
    """

    entry: Entry
    estimate: PlayerRating | None
    differs: str

    @property
    def gap(self) -> int | None:
        """Points by which the estimate is above the entered rating."""
        if self.entry.rating is None or self.estimate is None or self.estimate.rating is None:
            return None
        return self.estimate.rating - self.entry.rating


@transaction.atomic
def bring_in_history(
    *, event: Event, name: str, data: bytes, actor: Actor, now: datetime, order: DateOrder | None = None
) -> Brought:
    """Keep the rounds of everybody who is entered; an older list of theirs is kept beside it and no longer counts.

    Raises Refused for a file that cannot be read, HistoryRefused with every problem.
    """
    rows, problems = read_history(read_table(name, data, expected=EXPECTED), order=order)
    today = event.local(now).date()
    entries = list(Entry.objects.filter(event=event).select_related("person"))
    found, strangers, unclear = _matched(rows, entries)
    problems += unclear + [_ahead(row) for row in rows if row.past.played_on > today]
    if not problems and not found:
        problems = [Problem(None, "", "", "no round belongs to anybody who is entered", _WHO)]
    if problems:
        raise HistoryRefused(problems)
    history = History.objects.create(event=event, name=name[:200], at=now, by=actor.name[:150])
    PastRound.objects.bulk_create(
        PastRound(
            history=history,
            person_id=entry.person_id,
            played_on=row.past.played_on,
            order=at,
            rating=row.past.rating,
            event_name=row.past.name,
        )
        for at, (row, entry) in enumerate(_in_order(found))
    )
    outcome = Brought(len(found), len({entry.pk for _, entry in found}), tuple(sorted(strangers)))
    record(
        chain=event.slug,
        action=Action.RATING_HISTORY,
        subject=name,
        actor=actor,
        now=now,
        detail={"rounds": outcome.rounds, "players": outcome.players, "left_out": len(strangers)},
    )
    return outcome


_WHO = "give each row the member number or the name as it is entered"


def _ahead(row: HistoryRow) -> Problem:
    day = row.past.played_on.isoformat()
    return Problem(row.row, "date", day, "lies ahead of today", "correct the date")


def _in_order(found: list[tuple[HistoryRow, Entry]]) -> list[tuple[HistoryRow, Entry]]:
    """Rounds of one day in the order of their numbers, else as they are listed."""
    return sorted(found, key=lambda pair: (pair[1].pk, pair[0].past.played_on, pair[0].past.order))


def _matched(
    rows: Sequence[HistoryRow], entries: Sequence[Entry]
) -> tuple[list[tuple[HistoryRow, Entry]], set[str], list[Problem]]:
    """Rows with their entrants by member number, else by name; who is not entered; and rows that say nobody."""
    by_member = {each.person.member_number: each for each in entries if each.person.member_number}
    by_name: dict[str, list[Entry]] = defaultdict(list)
    for each in entries:
        by_name[plain(each.person.name)].append(each)
    found: list[tuple[HistoryRow, Entry]] = []
    strangers: set[str] = set()
    problems: list[Problem] = []
    for row in rows:
        same = by_name.get(plain(row.player), [])
        entry: Entry | None
        if row.member is not None:
            entry = by_member.get(row.member)
            strangers |= set() if entry else {f"#{row.member}"}
        elif not row.player:
            problems.append(Problem(row.row, "player", "", "does not say whose round it is", _WHO))
            continue
        elif len(same) > 1:
            problem = "is the name of several entrants"
            problems.append(Problem(row.row, "player", row.player, problem, "give the member number"))
            continue
        else:
            entry = same[0] if same else None
            strangers |= set() if entry else {row.player}
        if entry is not None:
            found.append((row, entry))
    return found, strangers, problems


def estimates_of(event: Event) -> dict[int, PlayerRating]:
    """Person id → rating by the newest list that has them; nobody else (2 queries)."""
    rules = player_rules_from(rulebook_for(event))
    newest: dict[int, int] = {}
    rounds: dict[int, list[Past]] = {}
    rows = PastRound.objects.filter(person__entries__event=event).order_by("history_id", "order")
    for row in rows:
        if newest.get(row.person_id) != row.history_id:
            newest[row.person_id], rounds[row.person_id] = row.history_id, []
        rounds[row.person_id].append(Past(row.played_on, row.order, row.rating, row.event_name))
    return {person: rate_player(history, rules) for person, history in rounds.items()}


def compared(event: Event) -> list[Compared]:
    """Every entrant whose rating may matter, those to look at first (4 queries)."""
    estimates = estimates_of(event)
    bound = rulebook_for(event).int("rating.player.differs")
    entries = Entry.objects.filter(event=event, status__in=EXPECTED_IN).select_related("person", "division")
    rows = [_compared(entry, estimates.get(entry.person_id), bound) for entry in entries]
    return sorted(
        rows,
        key=lambda row: (not row.differs, row.estimate is None, row.entry.person.sort_name, row.entry.pk),
    )


def _compared(entry: Entry, estimate: PlayerRating | None, bound: int) -> Compared:
    if estimate is None or estimate.rating is None:
        return Compared(entry, estimate, "")
    if entry.rating is None:
        return Compared(entry, estimate, "no rating is entered")
    gap = estimate.rating - entry.rating
    if abs(gap) < bound:
        return Compared(entry, estimate, "")
    side = "above" if gap > 0 else "below"
    return Compared(entry, estimate, f"{abs(gap)} points {side} what is entered")


@transaction.atomic
def adopt_rating(*, entry: Entry, rating: int, actor: Actor, now: datetime) -> Entry:
    """Enter the estimate as the player's rating at this event, with its date and rounds: the director's own act.

    `rating` is the figure that the director saw. It stays marked as estimated, so that no average rests on it. Raises
    AdoptionRefused where the history gives another by now, and once the event is over.
    """
    hold_open(entry.event, AdoptionRefused)
    entry = Entry.objects.select_for_update(of=("self",)).select_related("person", "event").get(pk=entry.pk)
    estimate = estimates_of(entry.event).get(entry.person_id)
    if estimate is None or estimate.rating != rating:
        raise AdoptionRefused(f"The history of {entry.person.name} says something else by now: look again.")
    return _enter(entry, estimate, actor, now)


@transaction.atomic
def adopt_missing(*, event: Event, actor: Actor, now: datetime) -> int:
    """Enter the estimate for everybody who has a history and no rating, for seeding; how many that were.

    Raises AdoptionRefused once the event is over.
    """
    hold_open(event, AdoptionRefused)
    estimates = estimates_of(event)
    missing = Entry.objects.filter(event=event, rating__isnull=True, status__in=EXPECTED_IN)
    adopted = 0
    for entry in missing.select_for_update(of=("self",)).select_related("person", "event").order_by("pk"):
        estimate = estimates.get(entry.person_id)
        if estimate is not None and estimate.rating is not None:
            _enter(entry, estimate, actor, now)
            adopted += 1
    return adopted


def _enter(entry: Entry, estimate: PlayerRating, actor: Actor, now: datetime) -> Entry:
    before = {"rating": entry.rating, "date": _iso(entry.rating_date), "rounds": entry.rated_rounds}
    entry.rating, entry.rating_date, entry.rated_rounds = estimate.rating, estimate.until, estimate.counted
    entry.rating_source = RatingSource.ESTIMATED
    entry.version += 1
    entry.save(update_fields=["rating", "rating_date", "rated_rounds", "rating_source", "version"])
    after = {"rating": entry.rating, "date": _iso(entry.rating_date), "rounds": entry.rated_rounds}
    record(
        chain=entry.event.slug,
        action=Action.RATING_ADOPTED,
        subject=entry.person.name,
        actor=actor,
        now=now,
        detail={"entry": entry.pk, "old": before, "new": after, "estimated": True},
    )
    return entry


def _iso(day: date | None) -> str | None:
    return day.isoformat() if day else None
