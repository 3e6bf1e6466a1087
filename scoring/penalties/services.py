"""Writing what the director decides: rulings beside the card, warnings, holes that were not played."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID, uuid5

from django.db import transaction

from events.entries.models import IN_THE_FIELD, Entry
from events.log.actions import Action
from events.log.services import Actor
from events.setup.models import Event, Round
from events.setup.queries import rulebook_for
from scoring.cards.models import Ruling
from scoring.cards.rulings import RulingRefused, StandsAlready, make_ruling, say_in_card, written_before
from scoring.penalties.catalogue import HOLE, Penalty, catalogue
from scoring.penalties.counting import Part, Proposal, propose
from scoring.penalties.models import Warning
from scoring.penalties.queries import Where, earlier, where
from scoring.penalties.questions import MOST_WAYS, Found, NoSuchWay, walk
from scoring.penalties.refusals import ComesToSomethingElse, PenaltyRefused, WrittenAlready, refuse_over
from scoring.penalties.situations import SITUATIONS
from scoring.penalties.warning_acts import log


@dataclass(frozen=True, slots=True)
class Told:
    """What the director was told. `ways`: through the questions, in the order in which one throw broke the rules;
    `also`: others of the group who did the same; `in_card`: whether the written score has it, None: not known; `twice`:
    write it although the same ruling stands."""

    ways: tuple[str, ...]
    hole: str
    what: str = ""
    caller: str = ""
    confirmer: str = ""
    also: tuple[int, ...] = ()
    in_card: bool | None = None
    twice: bool = True


@dataclass(frozen=True, slots=True)
class Written:
    rulings: tuple[Ruling, ...]
    warnings: tuple[Warning, ...]


def proposal_of(entry: Entry, round: Round, told: Told, place: Where | None) -> Proposal:
    """What the answers come to for a player (3 queries: rulebook, warnings, rulings). Raises PenaltyRefused."""
    found = [_found(way) for way in told.ways]
    rows = catalogue(rulebook_for(entry.event), entry.event.tier)
    missing = [key for each in found for key in each.keys if key not in rows]
    if missing:
        raise PenaltyRefused("The rules of this event have no such penalty: it holds at other tiers only.")
    try:
        proposal = propose(
            found,
            rows,
            earlier(entry, round, rows.values()),
            hole=told.hole,
            start_hole=place.start if place else "",
        )
    except ValueError as wrong:
        raise PenaltyRefused(str(wrong)) from wrong
    return proposal


def _found(way: str) -> Found:
    try:
        node = walk(way, SITUATIONS).node
    except NoSuchWay:
        raise PenaltyRefused("Answer the questions again: one of the answers is none.") from None
    if not isinstance(node, Found):
        raise PenaltyRefused("Answer the questions to their end.")
    return node


@transaction.atomic
def write_penalty(
    *,
    entry: Entry,
    round: Round,
    told: Told,
    expected: tuple[int, bool] | None = None,
    submission: UUID,
    actor: Actor,
    now: datetime,
) -> Written:
    """Write what the answers come to: throws as rulings, the first breach of some rules as a warning.

    For the others of `told.also` each by what was said to them before. `expected` is (throws, warning) as the page
    showed it. The same submission again is what is there. Raises PenaltyRefused for who does not play, a hole that the
    layout lacks, no caller, nothing to write, and once the event is over; ComesToSomethingElse; WrittenAlready.
    """
    round = _claim(round)
    key = uuid5(submission, f"entry {entry.pk}")
    repeated = _repeated(key, told, entry, round)
    if repeated is not None:
        return repeated
    place = where(entry, round)
    _refuse(entry, round, told, place)
    proposal = proposal_of(entry, round, told, place)
    if proposal.nothing:
        raise PenaltyRefused(f"{entry.person.name}: {proposal.parts[0].why}. There is nothing to write.")
    if expected is not None and expected != (proposal.throws, proposal.warning):
        raise ComesToSomethingElse(
            "Something else was written meanwhile, so this now comes to something else: look again."
        )
    written = _write(entry, round, told, proposal, key, actor, now)
    for other in _others(entry, told, place):
        key = uuid5(submission, f"entry {other.pk}")
        proposal = proposal_of(other, round, told, place)
        if not proposal.nothing:
            more = _write(other, round, told, proposal, key, actor, now)
            written = Written(written.rulings + more.rulings, written.warnings + more.warnings)
    return written


@transaction.atomic
def warn_instead(
    *, entry: Entry, round: Round, told: Told, submission: UUID, actor: Actor, now: datetime
) -> Warning:
    """A warning although the answers come to throws: the director decides. Raises PenaltyRefused, also for a rule
    that knows no warning."""
    round = _claim(round)
    key = uuid5(uuid5(submission, f"entry {entry.pk}"), "0")
    held = Warning.objects.filter(submission=key).first()
    if held is not None:
        return _same_warning(held, entry, round, told)
    place = where(entry, round)
    _refuse(entry, round, told, place)
    parts = proposal_of(entry, round, told, place).parts
    part = next((each for each in parts if each.penalty.warnings), parts[0])
    if not part.penalty.warnings:
        raise PenaltyRefused(f"{part.penalty.name}: this rule knows no warning.")
    return _warn(entry, round, told, part, key, actor, now)


def _claim(round: Round) -> Round:
    """The round, locked as a ruling locks it: two calls on one player are counted one after the other."""
    return Round.objects.select_for_update(of=("self",)).select_related("event").get(pk=round.pk)


def _repeated(key: UUID, told: Told, entry: Entry, round: Round) -> Written | None:
    """What this page has written already, None if nothing. Raises PenaltyRefused where that was something else."""
    keys = [uuid5(key, str(number)) for number in range(MOST_WAYS)]  # no answer leads to more rows
    rulings = tuple(Ruling.objects.filter(origin__in=[_origin(each) for each in keys]).order_by("pk"))
    warnings = tuple(Warning.objects.filter(submission__in=keys))
    if not rulings and not warnings:
        return None
    for held in warnings:
        _same_warning(held, entry, round, told)
    rows = _rows(round.event, told)
    for ruling in rulings:
        row = next((each for each in rows if _what(each, told) == ruling.what), None)
        said = (ruling.entry_id, ruling.round_id, ruling.caller, ruling.confirmer)
        moved = row is not None and row.booked == HOLE and ruling.hole_label != told.hole
        if row is None or moved or said != (entry.pk, round.pk, told.caller, told.confirmer):
            raise PenaltyRefused(written_before("ruling"))
    return Written(rulings, warnings)


def _rows(event: Event, told: Told) -> list[Penalty]:
    """The rows of the catalogue that the answers lead to."""
    rows = catalogue(rulebook_for(event), event.tier)
    return [rows[key] for way in told.ways for key in _found(way).keys if key in rows]


def _what(row: Penalty, told: Told) -> str:
    return ": ".join(filter(None, (row.name, told.what)))[:200]


def _same_warning(held: Warning, entry: Entry, round: Round, told: Told) -> Warning:
    said = (entry.pk, round.pk, told.what, told.caller, told.confirmer)
    if (held.entry_id, held.round_id, held.what, held.caller, held.confirmer) != said:
        raise PenaltyRefused(written_before("warning"))
    return held


def _origin(key: UUID) -> str:
    return f"by hand {key}"  # as the card's own page writes them, so that it can take them back


def _refuse(entry: Entry, round: Round, told: Told, place: Where | None) -> None:
    refuse_over(round.event)
    if entry.status not in IN_THE_FIELD:
        raise PenaltyRefused(f"{entry.person.name} is not playing.")
    if not told.caller:
        raise PenaltyRefused("Write who made the call.")
    if place is None:
        raise PenaltyRefused(f"{entry.person.name} is in no group of the tee sheet of round {round.number}.")
    if told.hole and told.hole not in place.labels:
        raise PenaltyRefused(f"The layout of {entry.person.name} has no hole {told.hole[:10]}.")
    if not told.hole and any(row.booked == HOLE for row in _rows(round.event, told)):
        raise PenaltyRefused("Choose the hole on which it happened.")


def _others(entry: Entry, told: Told, place: Where | None) -> list[Entry]:
    company = {pk for pk, _ in place.company} if place else set()
    chosen = [pk for pk in told.also if pk in company]
    if len(chosen) != len(told.also):
        raise PenaltyRefused(f"One of the others is not in the group of {entry.person.name}.")
    others = Entry.objects.filter(pk__in=chosen).select_related("event", "person", "division")
    return [other for other in others.order_by("pk") if other.status in IN_THE_FIELD]


def _write(
    entry: Entry, round: Round, told: Told, proposal: Proposal, key: UUID, actor: Actor, now: datetime
) -> Written:
    rulings: list[Ruling] = []
    warnings: list[Warning] = []
    for number, part in enumerate(proposal.parts):
        own = uuid5(key, str(number))
        if part.warning:
            warnings.append(_warn(entry, round, told, part, own, actor, now))
        elif part.throws:
            rulings.append(_rule(entry, round, told, part, own, actor, now))
    return Written(tuple(rulings), tuple(warnings))


def _rule(
    entry: Entry, round: Round, told: Told, part: Part, key: UUID, actor: Actor, now: datetime
) -> Ruling:
    try:
        ruling = make_ruling(
            entry=entry,
            round=round,
            hole_label=part.hole,
            throws=part.throws,
            rule=part.penalty.source,
            what=_what(part.penalty, told),
            caller=told.caller,
            confirmer=told.confirmer,
            origin=_origin(key),
            actor=actor,
            now=now,
            twice=told.twice,
        )
        if told.in_card is not None:
            ruling = say_in_card(ruling=ruling, in_card=told.in_card, actor=actor, now=now)
    except StandsAlready as refused:
        raise WrittenAlready(str(refused)) from refused
    except RulingRefused as refused:
        raise PenaltyRefused(str(refused)) from refused
    return ruling


def _warn(
    entry: Entry, round: Round, told: Told, part: Part, key: UUID, actor: Actor, now: datetime
) -> Warning:
    warning = Warning.objects.create(
        entry=entry,
        round=round,
        rule=part.penalty.key,
        hole_label=told.hole,
        what=told.what[:200],
        caller=told.caller[:120],
        confirmer=told.confirmer[:120],
        submission=key,
        at=now,
        by=actor.name[:150],
    )
    log(Action.WARNING_GIVEN, warning, entry.event, actor, now)
    return warning
