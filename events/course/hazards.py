"""Hazard notes: writing, changing and withdrawing them, and reading those that hold."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Case, F, IntegerField, Q, QuerySet, Value, When

from events.course.hazard_starts import PRINTED
from events.course.models import HazardNote, LayoutHole
from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.models import Event

FIELD_OF: Mapping[str, str] = {
    "card": "on_card",
    "tee_sign": "on_tee_sign",
    "meeting": "at_meeting",
    "board": "on_board",
}
assert set(FIELD_OF) == set(PRINTED)

_WORST_FIRST = Case(
    When(severity="life", then=Value(0)),
    When(severity="serious", then=Value(1)),
    default=Value(2),
    output_field=IntegerField(),
)


class HazardRefused(Exception):
    """The note cannot be as it is; `sentences` say why."""

    def __init__(self, *sentences: str) -> None:
        super().__init__(" ".join(sentences))
        self.sentences = sentences


# --- Reading -----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Hazards:
    """What holds somewhere: `course` for the whole course, `by_hole` by layout hole id; the gravest first."""

    course: tuple[HazardNote, ...]
    by_hole: Mapping[int, tuple[HazardNote, ...]]


def hazards_on(
    event: Event, layout_holes: Iterable[int], where: str, now: datetime, *, on_screen: bool = False
) -> Hazards:
    """Notes for "card", "tee_sign", "meeting" or "board" at these holes of a layout (3 queries; no note: 1).

    A note belongs to the physical hole: written for 7 of one layout, it also stands at 3 of another that is the
    same way from the same tee. The board, and a page that is read `on_screen`, shows what holds at this
    moment; paper also carries what will hold later.
    """
    rows = _holding(event, now, paper=where != "board" and not on_screen)
    rows = rows.filter(**{FIELD_OF[where]: True})
    notes = list(rows.prefetch_related("layout_holes"))
    if not notes:
        return NOTHING
    physical = dict(LayoutHole.objects.filter(pk__in=list(layout_holes)).values_list("pk", "hole_id"))
    by_hole: dict[int, list[HazardNote]] = defaultdict(list)
    for note in notes:
        holes = {place.hole_id for place in note.layout_holes.all()}
        for place, hole in physical.items():
            if hole in holes:
                by_hole[place].append(note)
    return Hazards(
        tuple(note for note in notes if note.whole_course),
        {place: tuple(found) for place, found in by_hole.items()},
    )


def short_words(notes: Iterable[HazardNote]) -> str:
    """Notes in the few words that a card has room for: "Road: wait until it is clear; Pond: leave the disc"."""
    return "; ".join(f"{note.what}: {note.control}" if note.control else note.what for note in notes)


NOTHING = Hazards((), {})


def _holding(event: Event, now: datetime, *, paper: bool) -> QuerySet[HazardNote]:
    rows = HazardNote.objects.filter(
        Q(valid_to__isnull=True) | Q(valid_to__gt=now), event=event, withdrawn_at__isnull=True
    )
    if not paper:
        rows = rows.filter(Q(valid_from__isnull=True) | Q(valid_from__lte=now))
    return rows.order_by(_WORST_FIRST, "pk")


def notes_of(event: Event) -> list[HazardNote]:
    """Every note of the event with its holes: those that stand, the gravest first, then the withdrawn (2 queries)."""
    rows = HazardNote.objects.filter(event=event).order_by(
        F("withdrawn_at").asc(nulls_first=True), _WORST_FIRST, "pk"
    )
    return list(rows.prefetch_related("layout_holes__layout"))


# --- Writing -----------------------------------------------------------------------------------------------------


@transaction.atomic
def note_hazard(
    *, event: Event, facts: Mapping[str, Any], holes: Sequence[LayoutHole], actor: Actor, now: datetime
) -> HazardNote:
    """Write a new note. `facts` are fields of HazardNote; without `holes` it is for the whole course.

    Raises HazardRefused.
    """
    note = HazardNote(event=event, **facts, written_at=now, written_by=actor.name[:150])
    note.whole_course = not holes
    _check(note)
    note.save()
    note.layout_holes.set(holes)
    _log(note, Action.HAZARD_NOTED, {"after": _as_json(note)}, actor, now)
    return note


@transaction.atomic
def change_hazard(
    *,
    note: HazardNote,
    facts: Mapping[str, Any],
    holes: Sequence[LayoutHole],
    version: int,
    actor: Actor,
    now: datetime,
) -> HazardNote:
    """Change a note that stands; the log keeps how it was. Raises HazardRefused."""
    if note.withdrawn_at is not None:
        raise HazardRefused("This note is withdrawn. Write a new one.")
    before = _as_json(note)
    for name, value in facts.items():
        setattr(note, name, value)
    note.whole_course = not holes
    _check(note)
    claimed = HazardNote.objects.filter(pk=note.pk, version=version, withdrawn_at__isnull=True)
    if not claimed.update(version=F("version") + 1):
        raise HazardRefused("Somebody else changed this note meanwhile. Open it again and look.")
    note.version = version + 1
    note.save()
    note.layout_holes.set(holes)
    _log(note, Action.HAZARD_CHANGED, {"before": before, "after": _as_json(note)}, actor, now)
    return note


@transaction.atomic
def withdraw_hazard(*, note: HazardNote, reason: str, actor: Actor, now: datetime) -> HazardNote:
    """Withdraw a note; it stays readable. Raises HazardRefused without a reason, or if it is withdrawn already."""
    if not reason.strip():
        raise HazardRefused("Say why it is withdrawn.")
    standing = HazardNote.objects.filter(pk=note.pk, withdrawn_at__isnull=True)
    if not standing.update(
        withdrawn_at=now,
        withdrawn_by=actor.name[:150],
        withdrawn_reason=reason[:200],
        version=F("version") + 1,
    ):
        raise HazardRefused("This note is withdrawn already.")
    note.refresh_from_db()
    _log(note, Action.HAZARD_WITHDRAWN, {}, actor, now, reason)
    return note


def _check(note: HazardNote) -> None:
    try:
        note.full_clean()
    except ValidationError as found:
        raise HazardRefused(*found.messages) from None


def _as_json(note: HazardNote) -> dict[str, Any]:
    plain = ("whole_course", "what", "where", "risk_player", "risk_spectator", "risk_public", "effect", "control",
             "severity", *FIELD_OF.values())  # fmt: skip
    facts: dict[str, Any] = {name: getattr(note, name) for name in plain}
    for name in ("valid_from", "valid_to"):
        moment: datetime | None = getattr(note, name)
        facts[name] = moment.isoformat() if moment else None
    places = note.layout_holes.select_related("layout").order_by("layout__name", "position")
    facts["holes"] = [f"{place.layout} {place.label}" for place in places]
    return facts


def _log(
    note: HazardNote, action: Action, detail: Mapping[str, Any], actor: Actor, now: datetime, reason: str = ""
) -> None:
    record(
        chain=note.event.slug,
        action=action,
        subject=note.what,
        actor=actor,
        now=now,
        detail=detail,
        reason=reason,
    )
