"""What safety may not look up or write itself: where groups stand, penalties on cards, what is unfinished."""

from collections.abc import Hashable
from datetime import datetime, time, timedelta

from django.db.models import Min

from events.draw.models import Group, Sheet
from events.entries.models import Entry, Status
from events.log.services import Actor
from events.safety.above import (
    FINISHED,
    PLAYING,
    WAITING,
    AboveSafety,
    Booked,
    DivisionPlay,
    GroupStands,
    Penalty,
    PenaltyRefused,
)
from events.safety.models import Suspension
from events.setup.models import Event, Round
from scoring.cards.models import Ruling
from scoring.cards.queries import cards_of
from scoring.cards.rulings import RulingRefused, make_ruling, take_back_ruling
from scoring.cards.states import CardState
from scoring.standings.loading import Facts, load


def groups(event: Event, now: datetime) -> list[GroupStands]:
    """The groups of every published sheet that begins today or earlier and is not over (2 queries, 9 a round)."""
    midnight = event.at(event.local(now).date() + timedelta(days=1), time(0))
    published = Group.objects.filter(sheet__round__event=event, sheet__state=Sheet.State.PUBLISHED)
    firsts = published.values("sheet__round").annotate(first=Min("starts_at")).filter(first__lt=midnight)
    begun = [row["sheet__round"] for row in firsts]
    rounds = Round.objects.filter(pk__in=begun).select_related("event").order_by("number")
    found: list[GroupStands] = []
    for round_ in rounds:
        cards = cards_of(round_)
        if not all(_finished(card) for card in cards):
            found += [_stands(round_, card, now) for card in cards]
    return found


def _finished(card: CardState) -> bool:
    return card.complete or card.finished_at is not None or card.returned_at is not None


def _stands(round_: Round, card: CardState, now: datetime) -> GroupStands:
    started = card.starts_at <= now or card.holes_played > 0
    state = FINISHED if _finished(card) else PLAYING if started else WAITING
    return GroupStands(
        round=round_,
        number=card.number,
        who=card.short_name,
        state=state,
        starts_at=card.starts_at,
        hole_label=(card.next_label or "") if state == PLAYING else "",
        holes_played=card.holes_played,
        holes=tuple(hole.label for _, hole in card.holes),
        players=tuple((player.entry_id, player.name) for player in card.players if player.playing),
    )


def _origin(penalty: Penalty) -> str:
    return f"suspension {penalty.suspension.pk}, entry {penalty.entry.pk}, {penalty.what.split(':')[0][:12]}"


def book(penalty: Penalty, actor: Actor, now: datetime) -> None:
    """A ruling beside the player's card. Raises PenaltyRefused."""
    if Ruling.objects.filter(origin=_origin(penalty)).exists():
        raise PenaltyRefused(f"{penalty.entry.person.name} was given this penalty for this stop already.")
    try:
        make_ruling(
            entry=penalty.entry,
            round=penalty.round,
            hole_label=penalty.hole_label,
            throws=penalty.throws,
            rule=penalty.rule,
            what=penalty.what,
            caller=actor.name,
            confirmer=penalty.evidence,
            origin=_origin(penalty),
            actor=actor,
            now=now,
        )
    except RulingRefused as refused:
        raise PenaltyRefused(str(refused)) from refused


def _rulings(suspension: Suspension) -> list[Ruling]:
    rows = Ruling.objects.filter(origin__startswith=f"suspension {suspension.pk},")
    return list(rows.select_related("round", "entry__person").order_by("pk"))


def booked(suspension: Suspension) -> list[Booked]:
    """1 query."""
    return [
        Booked(
            id=row.pk,
            name=row.entry.person.name,
            round_number=row.round.number,
            where=f"hole {row.hole_label}" if row.hole_label else "round total",
            throws=row.throws,
            what=row.what,
            taken_back=row.taken_back_at is not None,
        )
        for row in _rulings(suspension)
    ]


def unbook(suspension: Suspension, pk: int, reason: str, actor: Actor, now: datetime) -> None:
    """The penalty counts no longer. Raises PenaltyRefused."""
    ruling = next((row for row in _rulings(suspension) if row.pk == pk), None)
    if ruling is None:
        raise PenaltyRefused("There is no such penalty.")
    try:
        take_back_ruling(ruling=ruling, reason=reason, actor=actor, now=now)
    except RulingRefused as refused:
        raise PenaltyRefused(str(refused)) from refused


def unfinished(event: Event) -> list[DivisionPlay]:
    """Each division whose latest begun round has a player without a whole card (12 queries)."""
    facts = load(event)
    found = []
    for division in facts.divisions:
        play = _division_play(facts, division.pk, division.code)
        if play is not None:
            found.append(play)
    return found


def _division_play(facts: Facts, division: int, code: str) -> DivisionPlay | None:
    """Who still belongs to the division: whoever did not finish the event is no bar to it."""
    members = [e for e in facts.entries if e.division_id == division and e.status == Status.CONFIRMED]
    begun = [r for r in facts.rounds if any((r.pk, e.pk) in facts.places for e in members)]
    begun = [r for r in begun if any(_holes(facts, r, e) for e in members)]
    if not members or not begun:
        return None
    round_ = begun[-1]
    layouts = [facts.layout_for(round_.pk, entry) for entry in members]
    layout = next((each for each in layouts if each is not None), None)
    if layout is None:
        return None
    labels = tuple(hole.label for hole in layout.holes)
    finished: dict[Hashable, frozenset[str]] = {entry.pk: _holes(facts, round_, entry) for entry in members}
    if all(len(holes) == len(labels) for holes in finished.values()):
        return None
    before = [each for each in facts.rounds if each.number < round_.number]
    return DivisionPlay(
        division_id=division,
        code=code,
        round=round_,
        layout=labels,
        finished=finished,
        rounds_scheduled=len(facts.rounds),
        rounds_finished=sum(1 for each in before if _whole(facts, each, members)),
    )


def _holes(facts: Facts, round_: Round, entry: Entry) -> frozenset[str]:
    layout, line = facts.layout_for(round_.pk, entry), facts.line_of(round_.pk, entry)
    if layout is None or line is None:
        return frozenset()
    return frozenset(
        hole.label for hole, throws in zip(layout.holes, line.throws, strict=True) if throws is not None
    )


def _whole(facts: Facts, round_: Round, members: list[Entry]) -> bool:
    return all(
        (layout := facts.layout_for(round_.pk, entry)) is not None
        and len(_holes(facts, round_, entry)) == len(layout.holes)
        for entry in members
    )


ABOVE_SAFETY = AboveSafety(groups=groups, book=book, booked=booked, unbook=unbook, unfinished=unfinished)
