"""Who is in, who waits, where and in which place: first come, first served under caps (1.02.C to G). Pure.

Caps stand at three scopes: the event, each class, each division. Nobody is in unless all three have room.
Applicants are judged in the order of entry; a full division never holds up a later applicant of another one.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime

IN, WAITS, APPLIED = "in", "waits", "applied"


@dataclass(frozen=True, slots=True, order=True)
class Scope:
    """Where a cap is set: kind "event" (name empty), "class" ("pro" or "am") or "division" (its code)."""

    kind: str
    name: str = ""

    @property
    def words(self) -> str:
        names = {"pro": "the professionals", "am": "the amateurs"}
        return {"event": "the event", "class": names.get(self.name, self.name)}.get(self.kind, self.name)


EVENT = Scope("event")


@dataclass(frozen=True, slots=True)
class Caps:
    """The most players per scope; None or a missing division: no cap there."""

    event: int | None = None
    pro: int | None = None
    am: int | None = None
    divisions: Mapping[str, int | None] = field(default_factory=dict)

    def of(self, scope: Scope) -> int | None:
        if scope.kind == "division":
            return self.divisions.get(scope.name)
        return {"": self.event, "pro": self.pro, "am": self.am}[scope.name]


@dataclass(frozen=True, slots=True)
class Applicant:
    """One entry as far as its place goes. `key` is unique (the entry's id) and orders what nothing else does.

    `professional_class`: whether the division is a professional one, whoever plays in it. `confirmed`: the
    fee was received and verified; without that nobody is in or on a waitlist. `holds_place`: in already; such
    a place is never taken away, not even by a lowered cap.
    """

    key: int
    division: str
    professional_class: bool
    paid_at: datetime | None
    member_number: int | None = None
    confirmed: bool = True
    holds_place: bool = False

    @property
    def scopes(self) -> tuple[Scope, Scope, Scope]:
        """Narrowest first: where somebody waiting is looked for."""
        kind = "pro" if self.professional_class else "am"
        return (Scope("division", self.division), Scope("class", kind), EVENT)


@dataclass(frozen=True, slots=True)
class Wait:
    """A place on one list, counted from 1."""

    scope: Scope
    position: int


@dataclass(frozen=True, slots=True)
class Placement:
    """`state` is in, waits or applied (fee not verified). `waits_at` names every full scope, narrowest first.

    `scope` and `position` are the narrowest of them: where somebody asks for their place on the list.
    """

    key: int
    state: str
    waits_at: tuple[Wait, ...] = ()

    @property
    def scope(self) -> Scope | None:
        return self.waits_at[0].scope if self.waits_at else None

    @property
    def position(self) -> int | None:
        return self.waits_at[0].position if self.waits_at else None


def order_of_entry(applicants: Iterable[Applicant]) -> list[Applicant]:
    """By the moment the fee arrived; same moment: lower member number, then no number, then the key."""
    return sorted(
        (each for each in applicants if _counts(each)),
        key=lambda each: (
            each.paid_at is None,
            each.paid_at.timestamp() if each.paid_at else 0.0,
            each.member_number is None,
            each.member_number or 0,
            each.key,
        ),
    )


def place(applicants: Iterable[Applicant], caps: Caps) -> dict[int, Placement]:
    """Who is in and who waits, by key. The order of the input does not matter.

    Places held stay held; the rest are given in the order of entry to everybody for whom all caps have room.
    """
    everybody = list(applicants)
    taken = _taken(everybody)
    waiting = []
    placed = {each.key: Placement(each.key, APPLIED) for each in everybody if not _counts(each)}
    for each in order_of_entry(everybody):
        if each.holds_place:
            placed[each.key] = Placement(each.key, IN)
        elif _has_room(each, taken, caps):
            taken.update(each.scopes)
            placed[each.key] = Placement(each.key, IN)
        else:
            waiting.append(each)
    # Full scopes are read when all are placed, so that two who wait for the same thing are on the same lists.
    lists = _lists(waiting, taken, caps)
    for each in waiting:
        waits = tuple(
            Wait(scope, lists[scope][each.key]) for scope in each.scopes if each.key in lists.get(scope, {})
        )
        placed[each.key] = Placement(each.key, WAITS, waits)
    return placed


def waitlist_lists(applicants: Iterable[Applicant], caps: Caps) -> dict[Scope, tuple[int, ...]]:
    """The lists as they stand: the keys of all who are confirmed and hold no place, in the order of entry.

    Each is on the list of every scope that is full; where a place has come free but is not given yet, on that
    of the narrowest capped scope. Lists are sorted: class, division, event.
    """
    everybody = list(applicants)
    waiting = [each for each in order_of_entry(everybody) if not each.holds_place]
    lists = _lists(waiting, _taken(everybody), caps)
    return {scope: tuple(lists[scope]) for scope in sorted(lists)}


def next_from_waitlist(
    applicants: Iterable[Applicant], caps: Caps, *, freed: Applicant | None = None
) -> Applicant | None:
    """The one person to promote: first in the order of entry for whom a place is free under all caps.

    `applicants` are all entries as they stand, with `holds_place` for those who are in; `freed` is the entry
    that leaves (None after a raised cap), whether or not it is still among them. Answers None for nobody.
    """
    staying = [each for each in applicants if freed is None or each.key != freed.key]
    taken = _taken(staying)
    waiting = (each for each in order_of_entry(staying) if not each.holds_place)
    return next((each for each in waiting if _has_room(each, taken, caps)), None)


def over_cap(applicants: Iterable[Applicant], caps: Caps) -> dict[Scope, int]:
    """How many hold a place beyond each cap, for scopes where it is more than none (a cap lowered later)."""
    over = {}
    for scope, count in sorted(_taken(applicants).items()):
        cap = caps.of(scope)
        if cap is not None and count > cap:
            over[scope] = count - cap
    return over


def _counts(each: Applicant) -> bool:
    return each.holds_place or (each.confirmed and each.paid_at is not None)


def _taken(applicants: Iterable[Applicant]) -> Counter[Scope]:
    return Counter(scope for each in applicants if each.holds_place for scope in each.scopes)


def _full(scope: Scope, taken: Counter[Scope], caps: Caps) -> bool:
    cap = caps.of(scope)
    return cap is not None and taken[scope] >= cap


def _has_room(each: Applicant, taken: Counter[Scope], caps: Caps) -> bool:
    return not any(_full(scope, taken, caps) for scope in each.scopes)


def _lists(waiting: list[Applicant], taken: Counter[Scope], caps: Caps) -> dict[Scope, dict[int, int]]:
    """Key and position (from 1) for each list; `waiting` is in the order of entry."""
    lists: dict[Scope, dict[int, int]] = {}
    for each in waiting:
        full = [scope for scope in each.scopes if _full(scope, taken, caps)]
        narrowest = [scope for scope in each.scopes if caps.of(scope) is not None][:1]
        for scope in full or narrowest or [EVENT]:
            positions = lists.setdefault(scope, {})
            positions[each.key] = len(positions) + 1
    return lists
