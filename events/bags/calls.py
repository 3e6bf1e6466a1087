"""Calls of play about a disc that was thrown, and what they cost. The card gets the throws by `book`, from above."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from uuid import UUID

from django.db import transaction

from events.bags.above import Book
from events.bags.ladder import CalledBefore, Earlier, Figures, Proposal, propose
from events.bags.models import Call
from events.course.models import LayoutHole
from events.draw.models import Seat, Sheet
from events.entries.models import Entry, Status
from events.log.actions import Action
from events.log.services import Actor, record
from events.rulebook.loader import Rulebook
from events.setup.models import Event, Round
from events.setup.queries import is_over, rulebook_for
from players.models import Disc

RULES = {"unmarked": "discs.unmarked_throws", "illegal": "discs.illegal_throws"}
REPEAT_FROM = 2  # illegal discs thrown by one player that the director is shown: the text names no count

LONGEST_REASON = 200
WRITTEN_BEFORE = (
    "This page had written another call already, which stands: look at the list, and write this one again."
)


class CallRefused(Exception):
    """The call cannot be written; the message is a sentence."""


@dataclass(frozen=True, slots=True)
class CallIn:
    """A call as it was told. `kinds` in the order of the breaches; `throw` counts from 1 on the hole."""

    kinds: tuple[str, ...]
    hole_label: str
    throw: int | None
    what: str
    caller: str
    confirmer: str
    playoff: bool = False


def calls_of(event: Event, round: Round | None = None) -> list[Call]:
    """Calls of the event or of one round, newest first (1 query)."""
    calls = Call.objects.filter(round__event=event).select_related(
        "entry__person", "entry__division", "round", "disc"
    )
    return list((calls.filter(round=round) if round else calls).order_by("-pk"))


def repeated(calls: Sequence[Call]) -> dict[int, int]:
    """Entry → illegal discs thrown over the event, where there are several: for the director, who alone decides
    what follows."""
    counts: dict[int, int] = {}
    for call in calls:
        if call.rule == RULES["illegal"] and call.taken_back_at is None:
            counts[call.entry_id] = counts.get(call.entry_id, 0) + 1
    return {entry: count for entry, count in counts.items() if count >= REPEAT_FROM}


def figures_of(book: Rulebook) -> Figures:
    return Figures(
        book.int("discs.illegal_throws"),
        book.int("discs.unmarked_throws"),
        book.int("discs.unmarked_warnings"),
    )


def proposed(entry: Entry, round: Round, told: CallIn, book: Rulebook) -> Proposal:
    """What the call would come to (1 query). Raises CallRefused."""
    held = Call.objects.filter(entry=entry, round=round, playoff=told.playoff, taken_back_at=None)
    counted = {key: kind for kind, key in RULES.items()}
    earlier = [
        Earlier(counted[call.rule], call.warning, call.hole_label, call.throw) for call in held.order_by("pk")
    ]
    try:
        return propose(told.kinds, earlier, figures_of(book), hole=told.hole_label, throw=told.throw)
    except CalledBefore as before:
        raise CallRefused(str(before)) from before
    except ValueError as nothing:
        raise CallRefused("Choose what was thrown: an unmarked disc, an illegal disc, or both.") from nothing


def remarks_on(entry: Entry, round: Round, told: CallIn, proposal: Proposal) -> list[str]:
    """What the rules say of who may call and confirm; the director decides (3 queries)."""
    remarks = []
    own = _same(told.caller, entry.person.name)
    if proposal.throws and not told.confirmer and not own:
        remarks.append(
            "A call that costs throws needs a second player of the group or an official, unless it is one's own"
            " (Official Rules 2025, 801.02.E)."
        )
    held = Call.objects.filter(
        entry=entry, round=round, playoff=told.playoff, hole_label=told.hole_label, taken_back_at=None
    )
    if any(told.throw is None or throw is None for throw in held.values_list("throw", flat=True)):
        remarks.append(
            f"There is a call on hole {told.hole_label} already. If it was the same throw, one penalty is enough"
            " (801.02.I)."
        )
    playing = Entry.objects.filter(event=round.event, division=entry.division).exclude(pk=entry.pk)
    names = {each.person.name.casefold(): each for each in playing.select_related("person")}
    group = _company(entry, round)
    for who in filter(None, (told.caller, told.confirmer)):
        other = names.get(who.strip().casefold())
        if other is not None and other.pk not in group and not own:
            remarks.append(
                f"{who} plays in {entry.division.code} in another group: an official who plays does not act as one for"
                " the own division (801.02.G)."
            )
    return remarks


def _company(entry: Entry, round: Round) -> set[int]:
    seats = Seat.objects.filter(sheet__round=round, sheet__state=Sheet.State.PUBLISHED)
    own = seats.filter(entry=entry).values("group")
    return set(seats.filter(group__in=own).values_list("entry", flat=True))


def _same(one: str, other: str) -> bool:
    return one.strip().casefold() == other.strip().casefold()


@transaction.atomic
def record_call(
    *,
    entry: Entry,
    round: Round,
    disc: Disc | None,
    told: CallIn,
    submission: UUID,
    book: Book,
    actor: Actor,
    now: datetime,
) -> Call:
    """Write a call down and book what it costs. The same submission again is the call that is there.

    Raises CallRefused for who does not play, a hole that the player's layout lacks, a throw called already, a call
    without a caller, a submission that has written another call, and once the event is over.
    """
    told = replace(told, caller=told.caller.strip(), confirmer=told.confirmer.strip())
    # Locked before the look-up: sent twice at the same moment, one waits and finds what the other wrote.
    entry = (
        Entry.objects.select_for_update(of=("self",))
        .select_related("event", "person", "division")
        .get(pk=entry.pk)
    )
    held = Call.objects.filter(submission=submission).first()
    if held is not None:
        if (held.entry_id, held.round_id, held.disc, _as_told(held)) != (entry.pk, round.pk, disc, told):
            raise CallRefused(WRITTEN_BEFORE)
        return held
    _refuse(entry, round, disc, told)
    rulebook = rulebook_for(entry.event)
    proposal = proposed(entry, round, told, rulebook)
    remarks = remarks_on(entry, round, told, proposal)
    key = RULES[proposal.counted]
    call = Call.objects.create(
        entry=entry,
        round=round,
        playoff=told.playoff,
        hole_label=told.hole_label,
        throw=told.throw,
        disc=disc,
        kinds=list(told.kinds),
        what=told.what,
        caller=told.caller,
        confirmer=told.confirmer,
        warning=proposal.warning,
        throws=proposal.throws,
        rule=key,
        submission=submission,
        at=now,
        by=actor.name[:150],
    )
    _log(Action.CALL_RECORDED, call, " ".join([proposal.sentence, *remarks]), actor, now)
    if call.throws and not call.playoff:
        book(call, rulebook.value(key).source, actor, now)
    return call


def _as_told(call: Call) -> CallIn:
    facts = (call.hole_label, call.throw, call.what, call.caller, call.confirmer, call.playoff)
    return CallIn(tuple(call.kinds), *facts)


@transaction.atomic
def take_back_call(*, call: Call, reason: str, unbook: Book, actor: Actor, now: datetime) -> Call:
    """The call does not count any more; it stays to be read. Later calls keep what they came to: the page shows
    where the ladder would now say otherwise, and the director decides. Raises CallRefused without a reason."""
    call = (
        Call.objects.select_for_update(of=("self",))
        .select_related("entry__person", "round__event")
        .get(pk=call.pk)
    )
    _refuse_over(call.round.event)
    if not 0 < len(reason.strip()) <= LONGEST_REASON:
        raise CallRefused(f"Write why the call is taken back, in at most {LONGEST_REASON} letters.")
    if call.taken_back_at is None:
        call.taken_back_at, call.taken_back_by = now, actor.name[:150]
        call.taken_back_reason = reason.strip()
        call.save(update_fields=["taken_back_at", "taken_back_by", "taken_back_reason"])
        _log(Action.CALL_TAKEN_BACK, call, call.taken_back_reason, actor, now)
        unbook(call, call.taken_back_reason, actor, now)
    return call


def _refuse(entry: Entry, round: Round, disc: Disc | None, told: CallIn) -> None:
    _refuse_over(entry.event)
    if entry.status not in (Status.CONFIRMED, Status.DID_NOT_FINISH):
        raise CallRefused(f"{entry.person.name} is not playing.")
    if not told.caller:
        raise CallRefused("Write who made the call.")
    if disc is not None and disc.person_id != entry.person_id:
        raise CallRefused("That disc is from another player's box.")
    if told.playoff:
        return  # played on whatever hole the director chooses, and not on the card
    labels = holes_of(entry, round)
    if not labels:
        raise CallRefused(f"{entry.person.name} is in no group of the tee sheet of round {round.number}.")
    if told.hole_label not in labels:
        raise CallRefused(f"The layout of {entry.person.name} has no hole {told.hole_label or '(blank)'}.")


def holes_of(entry: Entry, round: Round) -> list[str]:
    """Hole labels of the layout that the player's group plays, in layout order; [] without a tee sheet."""
    layout = (
        Seat.objects.filter(sheet__round=round, sheet__state=Sheet.State.PUBLISHED, entry=entry)
        .values_list("group__layout", flat=True)
        .first()
    )
    holes = LayoutHole.objects.filter(layout=layout).order_by("position")
    return list(holes.values_list("label", flat=True)) if layout else []


def out_of_step(calls: Sequence[Call], book: Rulebook) -> set[int]:
    """Calls that the ladder would now answer otherwise, since an earlier one was taken back (no query)."""
    figures = figures_of(book)
    warned: dict[tuple[int, int, bool], int] = {}
    odd = set()
    for call in sorted(calls, key=lambda each: each.pk):
        if call.taken_back_at is not None or call.rule != RULES["unmarked"]:
            continue
        at = (call.entry_id, call.round_id, call.playoff)
        should_warn = warned.get(at, 0) < figures.warnings
        if should_warn != call.warning:
            odd.add(call.pk)
        warned[at] = warned.get(at, 0) + call.warning
    return odd


def _refuse_over(event: Event) -> None:
    if is_over(event):
        raise CallRefused("The event is over: cards and calls stay as they are.")


def _log(action: Action, call: Call, words: str, actor: Actor, now: datetime) -> None:
    detail = {
        "round": call.round.number,
        "hole": call.hole_label,
        "throw": call.throw,
        "disc": str(call.disc) if call.disc else call.what,
        "kinds": call.kinds,
        "throws": call.throws,
        "caller": call.caller,
        "confirmer": call.confirmer,
        "words": words,
    }
    record(
        chain=call.round.event.slug,
        action=action,
        subject=call.entry.person.name,
        actor=actor,
        now=now,
        detail=detail,
    )
