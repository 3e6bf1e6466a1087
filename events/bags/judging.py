"""What is known of each piece, put together and checked, for one bag or for a whole field."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from events.bags.checking import (
    SEEN,
    Check,
    Condition,
    Facts,
    Sources,
    Status,
    check_piece,
    gravest,
    in_words,
)
from events.bags.limits import Limit, MassRule, limit_of
from events.bags.lists import decisions_of, list_in_use, listed_for
from events.bags.models import Examination, ModelDecision, Question, Weighing
from events.bags.rules import mass_rule, sources_of
from events.bags.weighing import NEXT_STEP, Decision, Zone, decide_by
from events.setup.models import Event, Round
from events.setup.queries import rulebook_for
from players.models import ApprovedList, ApprovedModel, Disc


@dataclass(frozen=True, slots=True)
class Judged:
    """A piece with its checks. `status` is the gravest of them, `words` says it."""

    disc: Disc
    listed: ApprovedModel | None
    limit: Limit
    weighing: Weighing | None
    examination: Examination | None
    question: Question | None
    checks: tuple[Check, ...]

    @property
    def status(self) -> Status:
        return gravest(self.checks)

    @property
    def words(self) -> str:
        return in_words(self.status)

    @property
    def forbidden(self) -> tuple[Check, ...]:
        """Why it is not to be thrown; empty where nothing says so."""
        return tuple(check for check in self.checks if check.status is Status.FAIL)

    @property
    def unproven(self) -> tuple[Check, ...]:
        return tuple(check for check in self.checks if check.status is Status.NOT_PROVEN)

    @property
    def looked_at(self) -> bool:
        return self.weighing is not None or self.examination is not None


@dataclass(frozen=True, slots=True)
class Ground:
    """What holds for every piece of the event: list, rules, the director's words on models."""

    approved: ApprovedList | None
    mass: MassRule
    sources: Sources
    decisions: Mapping[str, ModelDecision]


def ground_of(event: Event) -> Ground:
    """What the checks of this event rest on (4 queries at most)."""
    book = rulebook_for(event)
    return Ground(list_in_use(event), mass_rule(book), sources_of(book), decisions_of(event))


def judge(event: Event, discs: Iterable[Disc], round: Round | None) -> dict[int, Judged]:
    """Disc → what is found, for the conditions of a round; the same number of queries for any number of pieces.

    Weighings and examinations of other rounds count too: the newest is what is known of a piece.
    """
    return judge_on(ground_of(event), event, discs, round)


def judge_on(ground: Ground, event: Event, discs: Iterable[Disc], round: Round | None) -> dict[int, Judged]:
    """As `judge`, on a ground that was read before (4 queries)."""
    discs = list(discs)
    ids = [disc.pk for disc in discs]
    listed = listed_for(ground.approved, discs)
    weighed = Weighing.objects.filter(disc__in=ids, entry__event=event).select_related("scale", "check_used")
    # The finest scale has the last word on a piece, and of its readings the newest: a kitchen scale that cannot
    # decide must not lift what a better one has rejected.
    weighings = {row.disc_id: row for row in weighed.order_by("-scale__resolution_g", "pk")}
    seen: dict[int, list[Examination]] = {}
    for row in Examination.objects.filter(disc__in=ids, entry__event=event).order_by("pk"):
        seen.setdefault(row.disc_id, []).append(row)
    questions = {
        row.disc_id: row for row in Question.objects.filter(disc__in=ids, entry__event=event).order_by("pk")
    }
    return {
        disc.pk: _judged(
            ground,
            round,
            disc,
            listed.get(disc.pk),
            weighings.get(disc.pk),
            seen.get(disc.pk, []),
            questions.get(disc.pk),
        )
        for disc in discs
    }


def _judged(
    ground: Ground,
    round: Round | None,
    disc: Disc,
    listed: ApprovedModel | None,
    weighing: Weighing | None,
    seen: list[Examination],
    question: Question | None,
) -> Judged:
    limit = (
        limit_of(listed.max_mass_g, listed.diameter_cm, ground.mass) if listed else Limit(None, None, False)
    )
    word = ground.decisions.get(disc.model_key)
    facts = Facts(
        model=disc.model,
        snapshot=str(ground.approved) if ground.approved else "",
        on_list=listed is not None,
        limit=limit,
        decision=_decision(weighing, limit),
        stamped_g=disc.stamped_mass_g,
        condition=_condition(disc, seen),
        night_or_snow=round.night_or_snow if round else False,
        model_allowed=word.allowed if word else None,
        model_reason=word.reason if word else "",
        questioned=question is not None,
        questioned_by=question.asked_by if question else "",
        questioned_approved=question.approved if question else None,
        scale_checked=weighing.check_used_id is not None if weighing else None,
        weighed_for_g=weighing.limit_g if weighing else None,
    )
    checks = check_piece(facts, ground.sources)
    return Judged(disc, listed, limit, weighing, seen[-1] if seen else None, question, checks)


def _condition(disc: Disc, seen: list[Examination]) -> Condition:
    """What was seen last of each thing; the owner's own word on the mark counts until somebody has looked."""
    found: dict[str, bool | None] = dict.fromkeys(SEEN)
    found["marked"] = disc.marked
    for row in seen:
        for name in SEEN:
            answer = getattr(row, name)
            if answer is not None:
                found[name] = answer
    return Condition(**found, signed=disc.signed)


def _decision(weighing: Weighing | None, limit: Limit) -> Decision | None:
    """The decision as it was recorded; where the list has another limit today, the same reading decided by that: a
    new list must neither lift a rejection in silence nor let one stand that it has lifted.
    """
    if weighing is None:
        return None
    if weighing.limit_g != limit.listed_g:
        return decide_by(weighing.shown_g, limit.listed_g, weighing.uncertainty_g, weighing.guard_g)
    p = weighing.probability
    return Decision(
        Zone(weighing.zone),
        weighing.shown_g,
        weighing.limit_g,
        weighing.uncertainty_g,
        weighing.guard_g,
        *weighing.edges_g,
        float(p) if isinstance(p, Decimal) else None,
        NEXT_STEP[Zone(weighing.zone)],
    )
