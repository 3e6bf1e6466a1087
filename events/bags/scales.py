"""Scales of the equipment desk, and the reference mass that each is held to before a session."""

from datetime import datetime, timedelta
from decimal import Decimal

from django.db import transaction

from events.bags.models import Scale, ScaleCheck
from events.bags.rules import error_rule_of
from events.bags.weighing import max_error
from events.log.actions import Action
from events.log.services import Actor, record
from events.rulebook.loader import Rulebook
from events.setup.models import Event
from events.setup.queries import is_over, rulebook_for
from events.sheets.cells import clean

HEAVIEST_REFERENCE = Decimal(999)
LONGEST_SCALE_NAME = 40


class DeskRefused(Exception):
    """The equipment desk cannot write this; the message is a sentence."""


def refuse_over(event: Event) -> None:
    if is_over(event):
        raise DeskRefused("The event is over: nothing about discs changes any more.")


def cleaned(words: str, what: str, longest: int) -> str:
    """The words cleaned. Raises DeskRefused for more letters than there is room for: nothing is cut."""
    found = clean(words)
    if len(found) > longest:
        raise DeskRefused(f"{what} is {len(found)} letters long: at most {longest}.")
    return found


def refuse_off_step(scale: Scale, reading_g: Decimal) -> None:
    if reading_g % scale.resolution_g:
        raise DeskRefused(f"{scale.name} shows steps of {scale.step} g: {reading_g} is not one of them.")


def refuse_retired(scale: Scale) -> None:
    if scale.retired_at is not None:
        raise DeskRefused(f"{scale.name} is put aside: choose another scale.")


@transaction.atomic
def register_scale(
    *, event: Event, name: str, kind: str, resolution_g: Decimal, actor: Actor, now: datetime
) -> Scale:
    """A scale that readings will name. Raises DeskRefused for a name that is taken or a step that no scale has."""
    event = Event.objects.select_for_update().get(pk=event.pk)  # one name after the other
    refuse_over(event)
    name = cleaned(name, "The name", LONGEST_SCALE_NAME)
    if not name:
        raise DeskRefused("Give the scale a name: it stands beside each reading.")
    if kind not in Scale.Kind.values:
        raise DeskRefused("Choose what kind of scale it is.")
    if not Decimal(0) < resolution_g <= 5:
        raise DeskRefused("A scale shows steps of 0.01 to 5 g.")
    if Scale.objects.filter(event=event, name__iexact=name).exists():
        raise DeskRefused(f"A scale called {name} is registered.")
    scale = Scale.objects.create(event=event, name=name, kind=kind, resolution_g=resolution_g)
    detail = {"kind": scale.get_kind_display(), "steps of g": str(resolution_g)}
    record(
        chain=event.slug, action=Action.SCALE_REGISTERED, subject=name, actor=actor, now=now, detail=detail
    )
    return scale


@transaction.atomic
def retire_scale(*, scale: Scale, actor: Actor, now: datetime) -> Scale:
    """Put a scale aside; its readings stay."""
    refuse_over(scale.event)
    if scale.retired_at is None:
        scale.retired_at = now
        scale.save(update_fields=["retired_at"])
        record(chain=scale.event.slug, action=Action.SCALE_RETIRED, subject=scale.name, actor=actor, now=now)
    return scale


@transaction.atomic
def check_scale(
    *, scale: Scale, reference_g: Decimal, reading_g: Decimal, actor: Actor, now: datetime
) -> ScaleCheck:
    """Hold a scale to a reference mass. It passes within the most that a scale of its kind errs by there."""
    refuse_over(scale.event)
    refuse_retired(scale)
    if not Decimal(1) <= reference_g <= HEAVIEST_REFERENCE:
        raise DeskRefused(f"A reference mass lies between 1 and {HEAVIEST_REFERENCE} g.")
    if not Decimal(0) <= reading_g <= HEAVIEST_REFERENCE:
        raise DeskRefused(f"A scale shows between 0 and {HEAVIEST_REFERENCE} g here.")
    refuse_off_step(scale, reading_g)
    book = rulebook_for(scale.event)
    tolerance = max_error(scale.kind, scale.resolution_g, reference_g, error_rule_of(book))
    check = ScaleCheck.objects.create(
        scale=scale,
        reference_g=reference_g,
        reading_g=reading_g,
        tolerance_g=tolerance,
        passed=abs(reading_g - reference_g) <= tolerance,
        at=now,
        by=actor.name[:150],
    )
    detail = {"reference g": str(reference_g), "showed g": str(reading_g), "passed": check.passed}
    record(
        chain=scale.event.slug,
        action=Action.SCALE_CHECKED,
        subject=scale.name,
        actor=actor,
        now=now,
        detail=detail,
    )
    return check


def valid_checks(event: Event, book: Rulebook, now: datetime) -> dict[int, ScaleCheck]:
    """Scale → the check that a reading on it may rest on: the newest one, if it passed, is of this day and of this
    session (1 query)."""
    checks = ScaleCheck.objects.filter(scale__event=event, at__lte=now).order_by("at", "pk")
    newest = {check.scale_id: check for check in checks}
    today, holds = event.local(now).date(), timedelta(hours=book.int("weighing.check_holds_hours"))
    return {
        scale: check
        for scale, check in newest.items()
        if check.passed and now - check.at <= holds and event.local(check.at).date() == today
    }
