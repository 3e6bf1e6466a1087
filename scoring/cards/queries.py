"""Reading cards: a round's cards with who is on them, one card with its versions."""

from collections import Counter, defaultdict
from collections.abc import Sequence

from django.db.models import Max, QuerySet
from django.db.models.functions import Coalesce, Greatest

from events.course.queries import LayoutFacts, layouts_of
from events.draw.models import Group, Seat, Sheet
from events.setup.models import Round
from events.setup.queries import rulebook_for
from scoring.cards.arithmetic import due_at, line_total
from scoring.cards.counted import Counted
from scoring.cards.models import Card, CardLine, CardVersion, StandingLine
from scoring.cards.states import CardState, CardView, LineFacts, PlayerLine, VersionState

RETURN_MINUTES = "card.return_minutes"
ABSENCE_OVER_PAR = "play.absence_throws_over_par"


class NoSuchCard(Exception):
    """The published tee sheet of the round has no such group."""


def cards_of(round: Round, number: int | None = None) -> list[CardState]:
    """Every group of the round's published tee sheet with its card, by number (9 queries; no sheet: 1).

    `number`: that group alone, so that a phone of a large field does not read the cards of all others.
    """
    published = Group.objects.filter(sheet__round=round, sheet__state=Sheet.State.PUBLISHED)
    if number is not None:
        published = published.filter(number=number)
    groups = list(published.select_related("start").order_by("number"))
    if not groups:
        return []
    seats = _seats_of(groups)
    cards = {card.group_number: card for card in _cards(round)}
    bases, conflicts = _versions_of(round)
    standing = StandingLine.objects.filter(round=round)
    if number is not None:
        standing = standing.filter(entry__in=[seat.entry_id for group in seats.values() for seat in group])
    lines = {line.entry_id: line for line in standing}
    layouts = layouts_of(round.event)
    minutes = rulebook_for(round.event).int(RETURN_MINUTES)
    states = []
    for group in groups:
        card = cards.get(group.number) or Card(round=round, group_number=group.number)
        layout = layouts[group.layout_id]
        states.append(
            CardState(
                number=group.number,
                start_label=group.start.label,
                start_index=group.start.position - 1,
                starts_at=group.starts_at,
                second=group.second,
                layout=layout,
                players=tuple(_player(seat, layout, lines.get(seat.entry_id)) for seat in seats[group.pk]),
                finished_at=card.finished_at,
                returned_at=card.returned_at,
                return_noted=card.return_noted,
                due_at=due_at(card.finished_at, minutes) if card.finished_at else None,
                opened_by=card.opened_by,
                opened_at=card.opened_at,
                base=bases.get(group.number, 0),
                conflicts=conflicts[group.number],
                verified_at=card.verified_at,
                heard_at=getattr(card, "heard_at", None),
                open_holes=sum(
                    len(lines[seat.entry_id].differs) for seat in seats[group.pk] if seat.entry_id in lines
                ),
            )
        )
    return states


def _cards(round: Round) -> QuerySet[Card]:
    """The cards, each with `heard_at`: when a phone or the radio last said something of its group."""
    heard = Greatest(
        Coalesce(Max("devices__last_at"), Max("radio_calls__at")),
        Coalesce(Max("radio_calls__at"), Max("devices__last_at")),
    )
    return Card.objects.filter(round=round).annotate(heard_at=heard)


def _seats_of(groups: Sequence[Group]) -> dict[int, list[Seat]]:
    """Group id → its seats in throwing order (1 query)."""
    seats: dict[int, list[Seat]] = defaultdict(list)
    related = Seat.objects.select_related("entry__person", "entry__division")
    for seat in related.filter(group__in=groups).order_by("order"):
        seats[seat.group_id].append(seat)
    return seats


def _versions_of(round: Round) -> tuple[dict[int, int], Counter[int]]:
    """Group number → number of the current version, and → versions to be decided (1 query)."""
    bases: dict[int, int] = {}
    conflicts: Counter[int] = Counter()
    open_states = [CardVersion.State.CURRENT, CardVersion.State.DIFFERS]
    rows = CardVersion.objects.filter(card__round=round, state__in=open_states)
    for group, number, state in rows.values_list("card__group_number", "number", "state"):
        if state == CardVersion.State.CURRENT:
            bases[group] = number
        else:
            conflicts[group] += 1
    return bases, conflicts


def _player(seat: Seat, layout: LayoutFacts, line: StandingLine | None) -> PlayerLine:
    """A line that was written on a layout of another length says nothing about this one."""
    holes = len(layout.holes)
    if line is not None and len(line.throws) != holes:
        line = None
    throws = tuple(line.throws) if line else (None,) * holes
    counts = line.counted if line else Counted(throws, 0, "")
    person = seat.entry.person
    return PlayerLine(
        entry_id=seat.entry_id,
        name=person.name,
        family_name=person.family_name,
        member_number=person.member_number,
        division=seat.entry.division.code,
        status=seat.entry.status,
        status_label=seat.entry.get_status_display(),
        throws=throws,
        counts=counts.throws,
        penalties=_padded(line.penalties if line else (), holes),
        additional=line.additional if line else 0,
        additional_reason=line.additional_reason if line else "",
        written_total=line.written_total if line else None,
        sum=line_total(counts.throws, layout.pars, counts.additional),
    )


def _padded(penalties: Sequence[int | None], holes: int) -> tuple[int, ...]:
    return tuple(penalty or 0 for penalty in [*penalties, *[0] * holes][:holes])


def card(round: Round, group_number: int) -> CardView:
    """One card with its versions (11 queries). Raises NoSuchCard."""
    state = next(iter(cards_of(round, group_number)), None)
    if state is None:
        raise NoSuchCard(f"Group {group_number} is not on the tee sheet of round {round.number}.")
    return view_of(round, state)


def view_of(round: Round, state: CardState) -> CardView:
    """A card of `cards_of` with its versions (2 queries)."""
    rows = (
        CardVersion.objects.filter(card__round=round, card__group_number=state.number)
        .prefetch_related("lines")
        .order_by("-number")
    )
    return CardView(state, tuple(_version(round, row) for row in rows))


def _version(round: Round, row: CardVersion) -> VersionState:
    return VersionState(
        id=row.pk,
        number=row.number,
        base=row.base,
        state=row.state,
        state_label=row.get_state_display(),
        source=row.source,
        source_label=row.get_source_display(),
        at=row.at,
        by=row.by,
        reason=row.reason,
        lines=tuple(_line(round, row, line) for line in sorted(row.lines.all(), key=lambda line: line.order)),
    )


def _line(round: Round, version: CardVersion, line: CardLine) -> LineFacts:
    return LineFacts(
        round_id=round.pk,
        round_number=round.number,
        entry_id=line.entry_id,
        throws=tuple(line.throws),
        penalties=_padded(line.penalties, len(line.throws)),
        additional=line.additional,
        additional_reason=line.additional_reason,
        written_total=line.written_total,
        played=line.played,
        total=line.total,
        complete=line.complete,
        version=version.number,
        at=version.at,
    )
