"""Reading who is to be drawn, who should stand on a sheet, and who has played with whom."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from itertools import combinations

from events.course.queries import layout_of_divisions
from events.draw.candidates import Candidate
from events.draw.models import Seat, Sheet
from events.draw.queries import SheetView
from events.entries import juniors
from events.entries.models import Entry, Status
from events.rulebook.divisions import division as published_division
from events.rulebook.loader import Rulebook
from events.setup.models import Event, Round

Totals = Mapping[int, tuple[int | None, ...]]


def candidates(
    round: Round,
    rulebook: Rulebook,
    *,
    totals: Totals | None = None,
    only_checked_in: bool = False,
    out: Collection[int] = (),
) -> list[Candidate]:
    """Everybody who is to play the round: confirmed, still in the event, not `out` (2 queries). Ordered by id."""
    entries = [entry for entry in _confirmed(round) if entry.pk not in out]
    if only_checked_in:
        entries = [entry for entry in entries if entry.checked_in_at is not None]
    return _as_candidates(round, rulebook, entries, totals or {})


@dataclass(frozen=True, slots=True)
class Expected:
    """Who should stand on a sheet, and who is confirmed but not checked in and therefore left out of it."""

    people: list[Candidate]
    absent: list[Candidate]


def expected_on(view: SheetView, rulebook: Rulebook) -> Expected:
    """Everybody who plays; where only those checked in were drawn, the others are `absent` (2 queries).

    Who was out before the round, at a cut, is neither."""
    seated, gone = view.seated, set(view.sheet.inputs.get("out", ()))
    entries = [each for each in _confirmed(view.sheet.round) if each.pk in seated or each.pk not in gone]
    out = (
        {entry.pk for entry in entries if entry.checked_in_at is None and entry.pk not in seated}
        if view.sheet.inputs.get("only_checked_in")
        else set()
    )
    everybody = _as_candidates(view.sheet.round, rulebook, entries, {})
    return Expected(
        [person for person in everybody if person.key not in out],
        [person for person in everybody if person.key in out],
    )


def _confirmed(round: Round) -> list[Entry]:
    found = Entry.objects.filter(event=round.event, status=Status.CONFIRMED)
    return list(found.select_related("person", "division").order_by("pk"))


def _as_candidates(
    round: Round, rulebook: Rulebook, entries: Iterable[Entry], totals: Totals
) -> list[Candidate]:
    layouts = layout_of_divisions(round)
    return [
        candidate_of(entry, round.event, rulebook, layouts.get(entry.division_id), totals.get(entry.pk, ()))
        for entry in entries
    ]


def candidate_of(
    entry: Entry,
    event: Event,
    rulebook: Rulebook,
    layout: int | None,
    totals: tuple[int | None, ...] = (),
) -> Candidate:
    person, code = entry.person, entry.division.code
    division = published_division(rulebook, code)
    guardian = juniors.guardian(
        birth_year=person.birth_year, event_year=event.starts_on.year, code=code, rulebook=rulebook
    )
    return Candidate(
        key=entry.pk,
        division=code,
        professional=division.professional,
        rating=entry.rating,
        member_number=person.member_number,
        surname=person.family_name,
        given=person.given_name,
        totals=totals,
        junior=division.junior,
        needs_guardian=guardian.need in {juniors.MUST, juniors.UNKNOWN},
        guardian=entry.guardian,
        layout=layout,
    )


def company_before(round: Round) -> frozenset[frozenset[int]]:
    """Pairs of entries that stood in one group of an earlier published round (1 query)."""
    earlier = Seat.objects.filter(
        sheet__round__event=round.event,
        sheet__round__number__lt=round.number,
        sheet__state=Sheet.State.PUBLISHED,
    ).values_list("group_id", "entry_id")
    together: dict[int, list[int]] = {}
    for group, entry in earlier:
        together.setdefault(group, []).append(entry)
    return frozenset(frozenset(pair) for members in together.values() for pair in combinations(members, 2))
