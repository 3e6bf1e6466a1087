"""The papers of bags, filled from what is known; their drawing is in `prints.py`."""

from events.bags.models import Weighing
from events.bags.overview import RoundStanding, Standing
from events.bags.pages import ROLE_WORDS
from events.bags.prints import (
    DeclarationSheet,
    DeskLine,
    KeepsakeGroup,
    PieceLine,
    WeighingLine,
)
from events.bags.queries import BagView, PieceView
from events.draw.models import Group, Sheet
from events.setup.models import Event, Round
from players.models import Disc


def declaration_of(event: Event, view: BagView, address: str) -> DeclarationSheet:
    """One player's bag as it is declared, with the address of the own page as a code (no query)."""
    declared = view.declared_at
    return DeclarationSheet(
        name=view.entry.person.name,
        division=view.entry.division.code,
        round=f"round {view.round.number}",
        declared=f"declared {event.local(declared):%a %H:%M}" if declared else "not declared yet",
        pieces=tuple(_piece(event, piece) for piece in view.pieces if piece.in_bag),
        out=tuple(str(disc) for disc in view.went_out),
        qr=address,
    )


def _piece(event: Event, piece: PieceView) -> PieceLine:
    disc = piece.disc
    change = f"late {event.local(piece.late_at):%H:%M}" if piece.late_at else piece.change
    return PieceLine(
        number=disc.number,
        model=f"{disc.maker} {disc.model}".strip(),
        looks=", ".join(filter(None, (disc.plastic, disc.colour))),
        role=ROLE_WORDS[disc.role] if disc.role != Disc.RoleInBag.UNKNOWN else "",
        stamped_g=disc.stamped_mass_g,
        mark=disc.mark or ("yes" if disc.marked else ""),
        change=change,
    )


def desk_lines(standing: RoundStanding) -> list[DeskLine]:
    """Everybody's line on the equipment desk's list (no query)."""
    return [_desk_line(row) for row in standing.rows]


def _desk_line(row: Standing) -> DeskLine:
    person = row.entry.person
    listed = f"{person.family_name}, {person.given_name}" if person.given_name else person.family_name
    return DeskLine(
        listed=listed,
        division=row.entry.division.code,
        code=row.entry.code,
        pieces=row.pieces,
        weighed=row.weighed,
        open=", ".join(row.open_words),
        drawn=row.drawn,
    )


def weighing_lines(event: Event, round: Round | None) -> list[WeighingLine]:
    """Every weighing in its order, of a round or of the event (1 query)."""
    rows = Weighing.objects.filter(entry__event=event)
    if round is not None:
        rows = rows.filter(round=round)
    found = rows.select_related("disc", "entry__person", "scale", "check_used", "list").order_by("pk")
    return [_weighing(event, row) for row in found]


def _weighing(event: Event, row: Weighing) -> WeighingLine:
    check = row.check_used
    return WeighingLine(
        at=f"{event.local(row.at):%a %H:%M}",
        player=row.entry.person.name,
        piece=f"{row.disc.number} {row.disc.maker} {row.disc.model}",
        reading=str(row.shown_g),
        limit="–" if row.limit_g is None else str(row.limit_g),
        formula="–" if row.formula_limit_g is None else str(row.formula_limit_g),
        decision=row.get_zone_display(),
        probability=row.probability_words,
        scale=row.scale.name,
        check="none valid"
        if check is None
        else f"{check.reference_g:.1f} showed {check.reading_g:.1f}, {event.local(check.at):%H:%M}",
        by=row.by,
        list=str(row.list) if row.list else "",
    )


def keepsake_groups(event: Event, round: Round) -> list[KeepsakeGroup]:
    """The groups of the published tee sheet, by number (2 queries)."""
    groups = Group.objects.filter(sheet__round=round, sheet__state=Sheet.State.PUBLISHED)
    groups = groups.select_related("start").prefetch_related("seats__entry__person").order_by("number")
    return [
        KeepsakeGroup(
            round=f"round {round.number}",
            group=group.number,
            start=f"{event.local(group.starts_at):%H:%M} from hole {group.start.label}",
            names=tuple(
                seat.entry.person.name for seat in sorted(group.seats.all(), key=lambda seat: seat.order)
            ),
        )
        for group in groups
    ]
