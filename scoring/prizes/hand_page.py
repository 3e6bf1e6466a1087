"""What the page of handing out shows: who waits for which prize, by which key it is handed out."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from events.paper.text import money
from events.setup.models import Event
from scoring.prizes.awards import Due, EventAwards
from scoring.prizes.handing import methods_for
from scoring.prizes.models import Forfeit, HandOver
from scoring.prizes.taking import Answer, Kind

METHOD_KEYS = ("F2", "F4", "F6")


@dataclass(frozen=True, slots=True)
class Way:
    """One button of a row."""

    key: str
    label: str
    method: str


@dataclass(frozen=True, slots=True)
class HandRow:
    """One player's prize: `state` is "asked", "waits", "passed", "done", "forfeited" or "differs"; `lapsed`:
    the days to claim it are over; `early`: the places of the
    division are not final yet, so that no key hands it out at once."""

    entry_id: int
    name: str
    division: str
    place: str
    prize: str
    cents: int
    state: str
    words: str
    ways: tuple[Way, ...]
    last: HandOver | None
    said: bool
    goods_allowed: bool
    early: bool
    lapsed: bool
    forfeit: Forfeit | None


def hand_rows(event: Event, awards: EventAwards, today: date, q: str = "") -> list[HandRow]:
    """Who is to be asked and who waits, then who has the prize; `q` finds by name or division."""
    wanted = q.casefold().split()
    rows = [
        _hand_row(event, due, awards, today)
        for due in awards.dues
        if all(word in f"{due.award.name} {due.division}".casefold() for word in wanted)
    ]
    order = {"asked": 0, "differs": 1, "waits": 2, "passed": 3, "done": 4, "forfeited": 5}
    return sorted(rows, key=lambda row: order[row.state])


def _hand_row(event: Event, due: Due, awards: EventAwards, today: date) -> HandRow:
    award = due.award
    state = _state(due)
    ways = _ways(due) if due.waits and state in {"waits", "differs"} else ()
    goods = event.tier not in awards.purse.book.words("division.trophy_only_tiers")
    return HandRow(
        entry_id=award.entry_id,
        name=award.name,
        division=due.division,
        place=f"{award.place}{' tied' if award.tied > 1 else ''}",
        prize=prize_words(due),
        cents=due.open,
        state=state,
        words=_early_words(awards.early(due))
        if ways and awards.early(due)
        else _state_words(event, due, state),
        early=bool(ways and awards.early(due)),
        lapsed=bool(ways and awards.lapsed(due, today)),
        forfeit=due.forfeit,
        ways=ways,
        last=due.handed[-1] if due.handed else None,
        said=due.answer is not Answer.NONE,
        goods_allowed=goods,
    )


def _early_words(why: str) -> str:
    return f"not yet: {why} (1.10.G)"


def prize_words(due: Due) -> str:
    """94.35 cash, trophy; a trophy alone; nothing."""
    award = due.award
    parts = [f"{money(award.cents)} {award.kind}"] if award.cents else []
    if award.trophy:
        parts.append(f"trophy of place {award.trophy_of}" if award.trophy_of else "trophy")
    return ", ".join(parts) or "no prize"


def _state(due: Due) -> str:
    if due.forfeit is not None and not due.open:
        return "forfeited"
    if due.handed:
        return "differs" if due.open else "done"
    if due.award.asked:
        return "asked"
    return "waits" if due.waits else "passed"


def _state_words(event: Event, due: Due, state: str) -> str:
    award = due.award
    if state == "forfeited" and due.forfeit is not None:
        on = due.forfeit.asked_on
        return f"forfeited: {due.forfeit.asked}, last on {on.day} {on:%B}"
    if state == "asked":
        return award.asked
    if not due.handed:
        return f"{award.passed} ({award.source})" if award.passed else ""
    last = due.handed[-1]
    words = f"{last.get_method_display()}, {event.local(last.at):%a %H:%M}, {last.by}"
    if due.open > 0:
        return f"{money(due.handed_cents)} handed out, {money(due.open)} more is due"
    if due.open < 0:
        return (
            f"{money(due.handed_cents)} handed out, {money(-due.open)} too much: undo it and hand out again"
        )
    return words


def _ways(due: Due) -> tuple[Way, ...]:
    """The usual way by Enter, the others by function keys."""
    what = money(due.open) if due.open else "the trophy"
    return tuple(
        Way(
            "Enter" if at == 0 else METHOD_KEYS[at - 1],
            f"hand out {what}, {method.label}" if at == 0 else method.label,
            method.value,
        )
        for at, method in enumerate(methods_for(due.award.kind))
    )


def hand_counts(awards: EventAwards) -> dict[str, Any]:
    """How far the handing out is."""
    live = (due for due in awards.dues if due.forfeit is None or due.handed)
    dues = [due for due in live if due.award.cents or due.owes_trophy or due.handed]
    done = sum(1 for due in dues if not due.waits)
    cash = sum(max(0, due.open) for due in awards.dues if due.award.kind is Kind.CASH)
    goods = sum(max(0, due.open) for due in awards.dues if due.award.kind is not Kind.CASH)
    return {"done": done, "of": len(dues), "cash": money(cash), "goods": money(goods)}


def dated(awards: EventAwards) -> list[dict[str, Any]]:
    """Until when prizes are claimed and paid."""
    last, pay = awards.forfeited_after, awards.pay_until
    return [
        {"label": "electronic payment until", "value": f"{pay.day} {pay:%B}", "needs": False, "url": None},
        {"label": "claimed until", "value": f"{last.day} {last:%B}", "needs": False, "url": None},
    ]
