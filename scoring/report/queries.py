"""What is missing before the event can be declared over, and the rows of the workbook's sheets."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from events.draw.models import Seat, Sheet
from events.entries.models import Entry, Status
from events.log.models import Act
from events.setup.models import Event, Round
from scoring.cards.models import CardVersion, Ruling
from scoring.standings.loading import Facts, load
from scoring.standings.queries import DivisionStandings, standings_of
from scoring.standings.ranking import Group

Cells = list[str | int | datetime | None]
DRAW_HEAD: Cells = [
    "round", "version", "drawn", "seed", "pool", "group", "start", "hole", "layout", "order", "player", "division",
]  # fmt: skip
LOG_HEAD: Cells = ["no.", "when", "who", "what", "of what", "reason", "hash"]


@dataclass(frozen=True, slots=True)
class Missing:
    """One thing that is not there; `round` and `group` say on which card it would be, else None."""

    text: str
    round: int | None = None
    group: int | None = None


@dataclass(frozen=True, slots=True)
class Closing:
    """How the event stands before it is closed. `notes` are no gap, but somebody has to see to them."""

    divisions: tuple[DivisionStandings, ...]
    missing: tuple[Missing, ...]
    notes: tuple[str, ...]
    complete: int
    expected: int


def closing_of(event: Event) -> Closing:
    """Everything the closing page shows (11 queries)."""
    facts = load(event)
    divisions = tuple(standings_of(facts))
    expected = [
        (round, entry)
        for entry in facts.entries
        if _expected(entry)
        for round in facts.rounds_of(entry.division_id)
    ]
    complete = sum(_complete(facts, round, entry) for round, entry in expected)
    missing = [*_undecided(event), *_unstarted(facts), *_cards(facts), *_without_group(facts)]
    notes = [*_ties(divisions), *_unasked(event)]
    return Closing(divisions, tuple(missing), tuple(notes), complete, len(expected))


def _expected(entry: Entry) -> bool:
    """Who is still to hand in cards: not who left, by whatever word."""
    return entry.status == Status.CONFIRMED


def _complete(facts: Facts, round: Round, entry: Entry) -> bool:
    """A card of a round that counts, with a score on each hole that counts."""
    if round not in facts.rounds_of(entry.division_id):
        return True
    throws, _ = facts.counts_of(round.pk, entry)
    return throws is not None and None not in throws


def _undecided(event: Event) -> Iterable[Missing]:
    """Second cards that nobody has decided on (1 query)."""
    rows = CardVersion.objects.filter(card__round__event=event, state=CardVersion.State.DIFFERS)
    for number, group in (
        rows.values_list("card__round__number", "card__group_number")
        .distinct()
        .order_by("card__round__number", "card__group_number")
    ):
        yield Missing(f"Round {number}, group {group}: two cards differ, to be decided", number, group)


def _unstarted(facts: Facts) -> Iterable[Missing]:
    published = {round_id for round_id, _ in facts.places}
    played = {round.pk for division in facts.divisions for round in facts.rounds_of(division.pk)}
    for round in facts.rounds:
        if round.pk not in published and (round.pk in played or not facts.divisions):
            yield Missing(f"Round {round.number}: no tee sheet is published", round.number)


def _cards(facts: Facts) -> Iterable[Missing]:
    """Cards with a player whose round is not complete, by group."""
    for round in facts.rounds:
        groups: dict[int, list[str]] = defaultdict(list)
        for entry in facts.entries:
            place = facts.places.get((round.pk, entry.pk))
            if place is not None and _expected(entry) and not _complete(facts, round, entry):
                groups[place.group].append(entry.person.name)
        for group, names in sorted(groups.items()):
            in_hand = (round.pk, group) in facts.returned
            what = "not complete" if in_hand else "not in"
            yield Missing(
                f"Round {round.number}, group {group}: card {what} for {', '.join(names)}",
                round.number,
                group,
            )


def _without_group(facts: Facts) -> Iterable[Missing]:
    """Players who are in the event, stand on no published sheet of a round and have no card of it."""
    published = {round_id for round_id, _ in facts.places}
    for round in facts.rounds:
        if round.pk not in published:
            continue
        names = [
            entry.person.name
            for entry in facts.entries
            if _expected(entry)
            and (round.pk, entry.pk) not in facts.places
            and not _complete(facts, round, entry)
        ]
        if names:
            yield Missing(f"Round {round.number}: in no group and without a card: {', '.join(names)}")


def _ties(divisions: Iterable[DivisionStandings]) -> Iterable[str]:
    """Ties for first place, which only a playoff breaks (Competition Manual 2025, 1.09.B)."""
    for division in divisions:
        first = [row.standing.name for row in division.rows if row.standing.place == 1]
        if division.finished and len(first) > 1:
            yield f"{division.code}: {', '.join(first)} are tied for first place; a playoff decides (1.09.B)."


def _unasked(event: Event) -> Iterable[str]:
    """Rulings of which nobody has said whether the written score has them: they would count twice (1 query)."""
    rulings = Ruling.objects.filter(round__event=event, in_card=None, taken_back_at=None)
    named = rulings.select_related("round", "entry__person").order_by("round__number", "pk")
    for ruling in named:
        where = f"hole {ruling.hole_label}" if ruling.hole_label else "the total"
        throws = f"{ruling.throws:+d}".replace("-", "\N{MINUS SIGN}")
        yield (
            f"Round {ruling.round.number}, {ruling.entry.person.name}: {throws} on {where} by ruling counts on top of"
            " the card; nobody has said whether the group wrote it already."
        )


def left_out(division: DivisionStandings) -> int:
    """Disqualified players: counted in the payout, not in the report (Competition Manual 2025, 5.06.D)."""
    return sum(row.standing.group is Group.DQ for row in division.rows)


def draw_rows(event: Event) -> list[Cells]:
    """Every seat of every published sheet, by round and group, in card order; headings first (1 query)."""
    seats = (
        Seat.objects.filter(sheet__round__event=event, sheet__state=Sheet.State.PUBLISHED)
        .select_related(
            "sheet__round", "group__pool", "group__layout", "group__start", "entry__person", "entry__division"
        )
        .order_by("sheet__round__number", "group__number", "order")
    )
    return [DRAW_HEAD, *(_seat(event, seat) for seat in seats)]


def _seat(event: Event, seat: Seat) -> Cells:
    sheet, group = seat.sheet, seat.group
    return [
        sheet.round.number,
        sheet.version,
        sheet.get_method_display(),
        sheet.seed,
        group.pool.label,
        group.number,
        _wall(event, group.starts_at),
        group.start.label,
        group.layout.name,
        seat.order,
        seat.entry.person.name,
        seat.entry.division.code,
    ]


def log_rows(event: Event) -> list[Cells]:
    """Every act with its hash, so that the sheet can be held against the log; headings first (1 query).

    Old and new values stay in the log: they hold what people gave to the desk alone.
    """
    acts = Act.objects.filter(chain_id=event.slug).order_by("number")
    return [LOG_HEAD, *(_act(event, act) for act in acts)]


def _act(event: Event, act: Act) -> Cells:
    what = act.action_words
    return [act.number, _wall(event, act.at), act.actor, what, act.subject, act.reason, act.hash]


def _wall(event: Event, moment: datetime) -> datetime:
    """The clock at the venue: workbooks hold no offsets."""
    return event.local(moment).replace(tzinfo=None, microsecond=0)
