"""What every player is due, what was handed out, and what is open: read from places, posted payout and hand-overs."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from events.entries.models import Entry
from events.rulebook.deadlines import business_days_after, claimed_until
from events.rulebook.loader import Rulebook
from events.setup.models import Event, Tier
from players.models import Person, PlayingClass
from scoring.playoffs.outcomes import trophy_winners
from scoring.playoffs.queries import Placed, places_of
from scoring.playoffs.trophies import Sharing, sharing
from scoring.prizes.awarding import Award, Awarded, Runner, award
from scoring.prizes.models import Forfeit, HandOver, PrizeAnswer
from scoring.prizes.planning import EventPurse, purse_of
from scoring.prizes.posting import Base, base_of, bases_in, changed_since
from scoring.prizes.taking import Answer, DivisionFacts, Kind, PlayerFacts
from scoring.prizes.too_early import too_early
from scoring.standings.queries import standings


@dataclass(frozen=True, slots=True)
class Due:
    """One player's prize with what was handed out of it. `open`: cents still to hand out, below zero if too much was;
    `answer`: what was said for the player; `forfeit`: that it was not claimed in time."""

    award: Award
    division: str
    handed: tuple[HandOver, ...]
    answer: Answer
    amateur: bool | None
    forfeit: Forfeit | None = None

    @property
    def handed_cents(self) -> int:
        return sum(row.cents for row in self.handed)

    @property
    def forfeited_cents(self) -> int:
        """As much of the rest as was not claimed in time."""
        rest = max(0, self.award.cents - self.handed_cents)
        return 0 if self.forfeit is None else min(rest, self.forfeit.cents)

    @property
    def open(self) -> int:
        return self.award.cents - self.handed_cents - self.forfeited_cents

    @property
    def owes_trophy(self) -> bool:
        """A trophy without money; one with money goes with it."""
        return self.award.trophy and not self.award.cents and not self.handed and self.forfeit is None

    @property
    def waits(self) -> bool:
        return self.open > 0 or self.owes_trophy


@dataclass(frozen=True, slots=True)
class TrophiesShort:
    """More players share a place than trophies are left for it, and nothing is decided among them."""

    place: int
    trophies: int
    entries: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class DivisionAwards:
    awarded: Awarded
    dues: tuple[Due, ...]
    trophies_short: TrophiesShort | None = None

    @property
    def code(self) -> str:
        return self.awarded.base.code

    @property
    def asked(self) -> tuple[Due, ...]:
        return tuple(due for due in self.dues if due.award.asked)


@dataclass(frozen=True, slots=True)
class EventAwards:
    """Everything about the prizes of an event.

    `without`: divisions that have no ladder, planned or posted; `changed`: those whose plan is not what is posted;
    `not_yet`: those whose places are not final, with the reason; `forfeited_after`: the last day on which a prize is
    claimed; `pay_until`: of an electronic payment.
    """

    purse: EventPurse
    divisions: tuple[DivisionAwards, ...]
    without: tuple[str, ...]
    changed: tuple[str, ...]
    forfeited_after: date
    pay_until: date
    not_yet: Mapping[str, str] = field(default_factory=dict)

    def lapsed(self, due: Due, today: date) -> bool:
        """The prize waits, and the days to claim it are over."""
        return due.waits and today > self.forfeited_after

    def early(self, due: Due) -> str:
        """Why it is too early to hand this one out; "": it is not."""
        return self.not_yet.get(due.division, "")

    def due_of(self, entry_id: int) -> Due | None:
        return next(
            (due for each in self.divisions for due in each.dues if due.award.entry_id == entry_id), None
        )

    @property
    def dues(self) -> tuple[Due, ...]:
        return tuple(due for each in self.divisions for due in each.dues)


def awards_of(event: Event, *, places: Mapping[str, Sequence[Placed]] | None = None) -> EventAwards:
    """Awards of every division that has a ladder (10 queries, 2 more where there are trophies, and 1 more and those of
    the standings unless `places` are given)."""
    purse = purse_of(event)
    found = standings(event) if places is None else []
    placed = places_of(found) if places is None else places
    entries = _entries(event)
    answers, handed, forfeits = _answers(event), _handed(event), _forfeits(event)
    planned = [base for each in purse.divisions if (base := base_of(each)) is not None]
    posted = bases_in(purse.posted.content) if purse.posted is not None else {}
    # What hangs on the wall is paid, also where the plan has no way to pay any more.
    by_code = {base.code: base for base in planned} | posted
    bases = [by_code[each.code] for each in purse.divisions if each.code in by_code]
    winners = trophy_winners(event) if any(base.trophies for base in bases) else {}
    divisions = tuple(
        _division(
            event,
            base,
            placed.get(base.code, ()),
            winners.get(base.code, {}),
            entries,
            answers,
            handed,
            forfeits,
            purse.book,
        )
        for base in bases
    )
    return EventAwards(
        purse=purse,
        divisions=divisions,
        without=tuple(each.code for each in purse.divisions if each.code not in by_code),
        changed=tuple(changed_since(posted, planned)) if purse.posted is not None else (),
        forfeited_after=claimed_until(event.ends_on, purse.book.int("prize.claimed_days")),
        pay_until=business_days_after(
            event.ends_on, purse.book.int("prize.electronic_days"), off=event.holidays
        ),
        not_yet=too_early(event, found) if found else {},
    )


def _entries(event: Event) -> dict[int, tuple[str, Person]]:
    """Entry → division code and person (1 query)."""
    rows = Entry.objects.filter(event=event).select_related("person", "division")
    return {row.pk: (row.division.code, row.person) for row in rows}


def _answers(event: Event) -> dict[int, Answer]:
    """The newest answer of each entry (1 query)."""
    rows = PrizeAnswer.objects.filter(entry__event=event).order_by("at", "pk")
    return {row.entry_id: Answer(row.said) for row in rows}


def _handed(event: Event) -> Mapping[int, list[HandOver]]:
    """Hand-overs that were not taken back, by entry, first to last (1 query)."""
    found: dict[int, list[HandOver]] = defaultdict(list)
    for row in HandOver.objects.filter(entry__event=event, taken_back_at=None).order_by("at", "pk"):
        found[row.entry_id].append(row)
    return found


def _forfeits(event: Event) -> dict[int, Forfeit]:
    """Prizes that nobody claimed in time, by entry (1 query)."""
    rows = Forfeit.objects.filter(entry__event=event, taken_back_at=None)
    return {row.entry_id: row for row in rows}


def _division(
    event: Event,
    base: Base,
    placed: Sequence[Placed],
    winners: Mapping[int, int],
    entries: Mapping[int, tuple[str, Person]],
    answers: Mapping[int, Answer],
    handed: Mapping[int, list[HandOver]],
    forfeits: Mapping[int, Forfeit],
    book: Rulebook,
) -> DivisionAwards:
    shared = _shared(placed, winners)
    won = {entry: trophy for each in shared.values() for entry, trophy in each.won.items()}
    runners = [
        Runner(
            entry_id=each.entry_id,
            name=each.name,
            place=each.place,
            facts=_facts(entries[each.entry_id][1], answers.get(each.entry_id, Answer.NONE)),
            trophy=won.get(each.entry_id),
        )
        for each in placed
    ]
    awarded = award(base, runners, _rules(event, base, book))
    awards = [*awarded.awards, *_no_longer(base.code, awarded, entries, handed)]
    dues = tuple(
        Due(
            award=each,
            division=base.code,
            handed=tuple(handed.get(each.entry_id, ())),
            answer=answers.get(each.entry_id, Answer.NONE),
            amateur=_amateur(entries[each.entry_id][1]),
            forfeit=forfeits.get(each.entry_id),
        )
        for each in awards
    )
    return DivisionAwards(awarded, dues, _short(base, shared))


def _shared(placed: Sequence[Placed], winners: Mapping[int, int]) -> dict[int, Sharing]:
    """Place below first that several share → what is decided about its trophies. `winners`: trophy → entry id."""
    tied: dict[int, list[int]] = defaultdict(list)
    for each in placed:
        if each.place > 1:
            tied[each.place].append(each.entry_id)
    return {place: sharing(place, own, winners) for place, own in tied.items() if len(own) > 1}


def _short(base: Base, shared: Mapping[int, Sharing]) -> TrophiesShort | None:
    """Where a tie reaches beyond the last trophy: there is one at most."""
    for place, each in shared.items():
        if each.following is None or each.following > base.trophies:
            continue
        trophies = base.trophies - each.following + 1
        if trophies < len(each.left):
            return TrophiesShort(place, trophies, each.left)
    return None


def _no_longer(
    code: str,
    awarded: Awarded,
    entries: Mapping[int, tuple[str, Person]],
    handed: Mapping[int, list[HandOver]],
) -> list[Award]:
    """Players of the division who hold a prize that is not due to them any more."""
    due = {each.entry_id for each in awarded.awards}
    return [
        Award(pk, entries[pk][1].name, rows[-1].place, 1, 0, Kind(rows[-1].kind), trophy=False)
        for pk, rows in handed.items()
        if pk not in due and entries[pk][0] == code
    ]


def _rules(event: Event, base: Base, book: Rulebook) -> DivisionFacts:
    return DivisionFacts(
        professional=base.professional,
        league=event.tier == Tier.LEAGUE,
        merchandise_for_amateurs=event.tier not in book.words("division.trophy_only_tiers"),
        amateur_kind=Kind(base.amateur_kind),
    )


def _amateur(person: Person) -> bool | None:
    known = {PlayingClass.PRO.value: False, PlayingClass.AM.value: True}
    return known.get(person.playing_class)


def _facts(person: Person, answer: Answer) -> PlayerFacts:
    return PlayerFacts(member_number=person.member_number, amateur=_amateur(person), answer=answer)
