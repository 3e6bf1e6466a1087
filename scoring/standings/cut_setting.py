"""Setting a cut, putting up who goes on, and who qualified but does not play on."""

from collections.abc import Iterable
from datetime import datetime

from django.db import transaction

from events.entries.models import Entry
from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.models import Division, Event, Round
from events.setup.queries import is_over
from scoring.standings.cutting import CutResult, CutState
from scoring.standings.going_on import CUT
from scoring.standings.loading import load
from scoring.standings.models import Cut, Placing
from scoring.standings.queries import standings_of

LATE = (
    "Registration is open: a cut should have been made known before (Competition Manual 2025, 1.08.A)."
    " Write why it is set or changed now."
)


class CutRefused(Exception):
    """The cut cannot be; the message is a sentence."""


def comes_late(event: Event, now: datetime) -> bool:
    """Whether registration is open already, or, without a moment for it, somebody is entered (at most 1 query)."""
    if event.registration_opens_at is not None:
        return now >= event.registration_opens_at
    return Entry.objects.filter(event=event).exists()


@transaction.atomic
def set_cut(
    *,
    division: Division,
    after_round: int,
    players: int | None,
    percent: int | None,
    ties: str,
    reason: str,
    actor: Actor,
    now: datetime,
) -> Cut:
    """Set the cut of a division after a round, or change it. Raises CutRefused.

    After registration has opened a reason is needed. A list that is up must come down first.
    """
    division = _claim(division)
    _refuse_size(division, after_round, players, percent)
    reason = reason.strip()[:200]
    if comes_late(division.event, now) and not reason:
        raise CutRefused(LATE)
    before = Cut.objects.filter(division=division, after_round=after_round).first()
    if before is not None and before.posted is not None:
        raise CutRefused("Who goes on is posted already: take the list down before the cut changes.")
    facts = {"players": players, "percent": percent, "ties": Cut.Ties(ties).value, "reason": reason}
    cut, _ = Cut.objects.update_or_create(
        division=division,
        after_round=after_round,
        defaults={**facts, "set_at": now, "set_by": actor.name[:150]},
    )
    old = {name: getattr(before, name) for name in facts} if before else None
    _log(Action.CUT_SET, cut, actor, now, {"new": facts, "old": old}, reason)
    return cut


def _refuse_size(division: Division, after_round: int, players: int | None, percent: int | None) -> None:
    last = (
        Round.objects.filter(event=division.event).order_by("number").values_list("number", flat=True).last()
    )
    if not Round.objects.filter(event=division.event, number=after_round).exists():
        raise CutRefused(f"There is no round {after_round}.")
    if after_round == last:
        raise CutRefused(
            f"Round {after_round} is the last: nobody plays on after it. Choose an earlier round."
        )
    if (players is None) == (percent is None):
        raise CutRefused("Give a number of players or a percentage, one of the two.")
    if players is not None and players < 1:
        raise CutRefused("At least 1 player goes on.")
    if percent is not None and not 1 <= percent <= 99:
        raise CutRefused("A percentage is 1 to 99.")


@transaction.atomic
def remove_cut(*, cut: Cut, reason: str, actor: Actor, now: datetime) -> None:
    """Take a cut out of the plan. Raises CutRefused without a reason once registration is open."""
    division = _claim(cut.division)
    reason = reason.strip()[:200]
    if comes_late(division.event, now) and not reason:
        raise CutRefused("Registration is open: write why the cut is taken out.")
    _log(Action.CUT_REMOVED, cut, actor, now, {"players": cut.players, "percent": cut.percent}, reason)
    Placing.objects.filter(
        entry__division=division, after_round=cut.after_round, how=Placing.How.DECLINED
    ).delete()
    cut.delete()


@transaction.atomic
def post_cut(*, cut: Cut, reason: str, actor: Actor, now: datetime) -> Cut:
    """Put up the list of who goes on, as the cards and the playoff say now: from then on it stands.

    Raises CutRefused while cards are missing or a tie is not decided, and without a reason for another list.
    """
    division = _claim(cut.division)
    cut = Cut.objects.select_related("division__event").get(pk=cut.pk)
    again = cut.posted is not None
    if again and not reason.strip():
        raise CutRefused("A list is up already: write why another one is posted.")
    result = result_now(cut, division)
    if result is None or result.state is CutState.PROJECTED:
        raise CutRefused(f"Cards of round {cut.after_round} are missing in {division}: enter them first.")
    if result.state is CutState.TIED:
        raise CutRefused(
            f"{len(result.level)} players are tied for {result.places} of the places: play it off first."
        )
    old = cut.posted
    cut.posted, cut.posted_at = sorted(int(key) for key in result.through), now
    cut.save(update_fields=["posted", "posted_at"])
    _log(Action.CUT_POSTED, cut, actor, now, {"entries": cut.posted, "before": old}, reason.strip())
    return cut


@transaction.atomic
def take_list_down(*, cut: Cut, reason: str, actor: Actor, now: datetime) -> Cut:
    """Let the cards say again who goes on. Raises CutRefused without a reason."""
    _claim(cut.division)
    cut = Cut.objects.select_related("division__event").get(pk=cut.pk)
    if not reason.strip():
        raise CutRefused("Write why the list is taken down.")
    if cut.posted is not None:
        old, cut.posted, cut.posted_at = cut.posted, None, None
        cut.save(update_fields=["posted", "posted_at"])
        _log(Action.CUT_POSTED, cut, actor, now, {"entries": None, "before": old}, reason.strip())
    return cut


def result_now(cut: Cut, division: Division) -> CutResult | None:
    """The cut by the cards as they are, whatever list is up; None while nobody is in the division (12 queries)."""
    facts = load(division.event)
    for each in facts.cuts:
        if each.pk == cut.pk:
            each.posted = None
    found = standings_of(facts, divisions=[division.code])
    cuts: Iterable[CutResult] = found[0].cuts if found else ()
    return next((each for each in cuts if each.after_round == cut.after_round), None)


@transaction.atomic
def decline(*, cut: Cut, entry: Entry, undo: bool, actor: Actor, now: datetime) -> None:
    """A player who qualified does not play on: last of the qualifiers (Competition Manual 2025, 1.08.D); or does
    after all. Nobody moves up. Raises CutRefused for who has not qualified."""
    division = _claim(cut.division)
    own = {"entry": entry, "after_round": cut.after_round, "how": Placing.How.DECLINED}
    held = Placing.objects.filter(**own)
    if undo:
        if held.delete()[0]:
            _log(Action.CUT_DECLINE_UNDONE, cut, actor, now, {"entry": entry.pk, "name": entry.person.name})
        return
    if held.exists():
        return
    found = standings_of(load(division.event), divisions=[division.code])
    cuts = [each for each in found[0].cuts if each.after_round == cut.after_round] if found else []
    if not any(str(entry.pk) in each.through and each.state is CutState.MADE for each in cuts):
        raise CutRefused(f"{entry.person.name} {CUT}, or it is not made yet: only who qualified can decline.")
    Placing.objects.create(**own, rank=1, at=now, by=actor.name[:150])
    _log(Action.CUT_DECLINED, cut, actor, now, {"entry": entry.pk, "name": entry.person.name})


def _claim(division: Division) -> Division:
    """The division, locked until the transaction ends. Raises CutRefused when the event is over."""
    division = Division.objects.select_for_update(of=("self",)).select_related("event").get(pk=division.pk)
    if is_over(division.event):
        raise CutRefused("The event is over: cuts stay as they are.")
    return division


def _log(
    action: Action, cut: Cut, actor: Actor, now: datetime, detail: dict[str, object], reason: str = ""
) -> None:
    record(
        chain=cut.division.event.slug,
        action=action,
        subject=f"{cut.division}, cut after round {cut.after_round}",
        actor=actor,
        now=now,
        detail=detail,
        reason=reason,
    )
