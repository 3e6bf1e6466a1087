"""Moving the starts of a published sheet, as when play was stopped: a new version, published at once."""

from collections.abc import Mapping, Sequence
from datetime import datetime

from django.db import transaction
from django.db.models import F

from events.draw.changes import compare
from events.draw.delaying import keep_starts
from events.draw.drafting import copy_groups, next_version
from events.draw.marks import marks_of
from events.draw.models import Group, Sheet
from events.draw.placing import DrawRefused, claim_round
from events.draw.queries import lines_of, published_of, view_of
from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.models import Round
from events.setup.queries import rulebook_for


@transaction.atomic
def publish_moved(
    *,
    round: Round,
    starts: Mapping[int, datetime],
    notes: Sequence[str],
    reason: str,
    actor: Actor,
    now: datetime,
) -> Sheet:
    """The published sheet once more, with other starts for some groups; the one before is kept as superseded.

    `starts`: group number → its new start; groups that are not named keep theirs. Nobody changes the group or the
    hole. `notes` are added to how the sheet came about. A draft that is open stays one and follows: it gets the
    same starts and the next number. Raises DrawRefused without a published sheet, and when the event is over.
    """
    round = claim_round(round)
    # Publishing holds the draft: first that ends, then what is published is read.
    draft = Sheet.objects.select_for_update().filter(round=round, state=Sheet.State.DRAFT).first()
    before = published_of(round)
    if before is None:
        raise DrawRefused(f"Round {round.number} has no published tee sheet to move.")
    number = draft.version if draft is not None else next_version(round)
    if starts:
        keep_starts(round, before.groups.values_list("starts_at", flat=True), reason, actor, now)
    if draft is not None:
        Sheet.objects.filter(pk=draft.pk).update(version=number + 1, revision=F("revision") + 1)
        _start(draft, starts)
    sheet = _copy(before, number, notes, reason, actor, now)
    _start(sheet, starts)
    view = view_of(sheet)
    marks = marks_of(view, rulebook_for(round.event))
    changes = [change.text for change in compare(lines_of(view_of(before)), lines_of(view))]
    kept = {mark.key: mark.reason or reason for mark in marks if mark.reason or mark.must}
    before.state = Sheet.State.SUPERSEDED
    before.save(update_fields=["state"])
    sheet.state, sheet.accepted = Sheet.State.PUBLISHED, kept
    sheet.save(update_fields=["state", "accepted"])
    record(
        chain=round.event.slug,
        action=Action.DRAW_PUBLISHED,
        subject=f"{round}, version {sheet.version}",
        actor=actor,
        now=now,
        detail={"groups": len(view.groups), "players": view.players, "changes": changes, "kept": kept},
        reason=reason,
    )
    return sheet


def _copy(
    before: Sheet, number: int, notes: Sequence[str], reason: str, actor: Actor, now: datetime
) -> Sheet:
    """A copy that does not count yet: one sheet of a round is published at a time."""
    sheet = Sheet.objects.create(
        round=before.round,
        version=number,
        state=Sheet.State.SUPERSEDED,
        method=before.method,
        seed=before.seed,
        notes=[*before.notes, *notes],
        inputs=before.inputs,
        accepted=before.accepted,
        made_at=now,
        made_by=actor.name[:150],
        published_at=now,
        published_by=actor.name[:150],
        reason=reason,
    )
    copy_groups(before, sheet)
    return sheet


def _start(sheet: Sheet, starts: Mapping[int, datetime]) -> None:
    groups = list(Group.objects.filter(sheet=sheet, number__in=starts))
    for group in groups:
        group.starts_at = starts[group.number]
    Group.objects.bulk_update(groups, ["starts_at"])
