"""One step of the helper: what is asked, which answers lead where, or what the answers come to."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import uuid4

from django.http import QueryDict
from django.urls import reverse

from events.entries.models import Entry
from events.setup.models import Event, Round
from events.setup.queries import rulebook_for
from events.sheets.cells import clean
from scoring.penalties.catalogue import CHAPTERS, HOLE, throws_text
from scoring.penalties.counting import Proposal, combines, majority
from scoring.penalties.pages import absent_url, helper_url
from scoring.penalties.queries import Where, rulings_on
from scoring.penalties.questions import Ask, Elsewhere, Found, Free, NoSuchWay, Walked, matching, walk
from scoring.penalties.services import Told, proposal_of
from scoring.penalties.situations import SITUATIONS


@dataclass(frozen=True, slots=True)
class Choice:
    """Something to choose; `key` is the digit that chooses it, "" without one."""

    label: str
    url: str
    key: str = ""


@dataclass(frozen=True, slots=True)
class Step:
    """Where the helper stands. Of `chapters` (what happened), `choices` (a question's answers), `free`, `elsewhere`
    and `proposing` one holds. `said`: question and answer so far, for each way."""

    hole: str
    ways: tuple[str, ...]
    said: tuple[Walked, ...]
    question: str = ""
    choices: tuple[Choice, ...] = ()
    chapters: tuple[tuple[str, tuple[Choice, ...]], ...] = ()
    q: str = ""
    nothing: bool = False
    only: str = ""
    free: Free | None = None
    elsewhere: Elsewhere | None = None
    elsewhere_url: str = ""
    back: str = ""
    company: bool = False
    votes: bool = False

    @property
    def proposing(self) -> bool:
        return bool(self.said) and not (self.question or self.chapters or self.free or self.elsewhere)

    @property
    def words(self) -> tuple[str, ...]:
        """What the answers say besides."""
        return tuple(
            walked.node.words for walked in self.said if isinstance(walked.node, Found) and walked.node.words
        )


def step_of(event: Event, round: Round, entry: Entry, asked: QueryDict, ways: Sequence[str]) -> Step:
    """The step that an address asks for. A way that is none is left out, and asked for again."""
    hole = clean(asked.get("hole", ""))[:6]
    said = _walked(ways)
    kept = tuple(walked.way for walked in said)
    last = said[-1].node if said else None
    back = helper_url(event, round, entry, hole, [*kept[:-1], *_shorter(kept)])
    if last is None or asked.get("more") == "1":
        return _situations(event, round, entry, hole, said, clean(asked.get("q", ""))[:60], back)
    common: dict[str, Any] = {"hole": hole, "ways": kept, "said": said, "back": back}
    if isinstance(last, Ask):
        answers = tuple(
            Choice(
                text, helper_url(event, round, entry, hole, [*kept[:-1], f"{kept[-1]}-{number}"]), str(number)
            )
            for number, (text, _) in enumerate(last.answers, start=1)
        )
        return Step(**common, question=last.text, choices=answers, votes=last.votes)
    if isinstance(last, Free):
        return Step(**common, free=last)
    if isinstance(last, Elsewhere):
        address = _elsewhere(event, round, entry, hole)[last.page]
        return Step(**common, elsewhere=last, elsewhere_url=address)
    company = any(isinstance(walked.node, Found) and walked.node.company for walked in said)
    return Step(**common, company=company)


def _walked(ways: Sequence[str]) -> tuple[Walked, ...]:
    found = []
    for way in ways:
        try:
            found.append(walk(way, SITUATIONS))
        except NoSuchWay:
            break
    return tuple(found)


def _shorter(ways: tuple[str, ...]) -> list[str]:
    """The last way without its last answer; nothing where only the situation is left."""
    shorter = ways[-1].rpartition("-")[0] if ways else ""
    return [shorter] if shorter else []


def _situations(
    event: Event, round: Round, entry: Entry, hole: str, said: tuple[Walked, ...], text: str, back: str
) -> Step:
    ways = [walked.way for walked in said]
    found = matching(text, SITUATIONS)
    urls = {each.name: helper_url(event, round, entry, hole, [*ways, each.name]) for each in found}
    few = text != "" and len(found) <= 9  # as many as there are digits
    keys = {each.name: str(number) if few else "" for number, each in enumerate(found, start=1)}
    chapters = tuple(
        (chapter, tuple(Choice(each.title, urls[each.name], keys[each.name]) for each in held))
        for chapter in CHAPTERS
        if (held := [each for each in found if each.chapter == chapter])
    )
    shown = chapters or _situations(event, round, entry, hole, said, "", back).chapters
    only = urls[found[0].name] if text and len(found) == 1 else ""
    return Step(
        hole=hole,
        ways=tuple(ways),
        said=said,
        chapters=shown,
        q=text,
        nothing=not found,
        only=only,
        back=back if said else "",
    )


def _elsewhere(event: Event, round: Round, entry: Entry, hole: str) -> Mapping[str, str]:
    calls = f"{reverse('bags:calls', args=[event.slug])}?round={round.number}&entry={entry.pk}"
    return {
        "discs": calls,
        "absent": absent_url(event, round, entry, hole),
        "event warning": f"{reverse('penalties:warn_event', args=[event.slug])}?entry={entry.pk}",
        "leave": reverse("entries:leave", args=[event.slug, entry.pk, "did-not-finish"]),
    }


def proposal_context(
    entry: Entry, round: Round, step: Step, place: Where | None, hole: str
) -> dict[str, Any]:
    """What the answers come to, with everything that bears on it (5 queries). Raises PenaltyRefused."""
    told = Told(ways=step.ways, hole=hole)
    proposal = proposal_of(entry, round, told, place)
    rows = [part.penalty for part in proposal.parts]
    book = rulebook_for(entry.event)
    return {
        "proposal": proposal,
        "comes_to": comes_to(proposal),
        "asks_hole": any(row.booked == HOLE for row in rows) or proposal.warning,
        "may_warn": proposal.throws != 0 and any(row.warnings for row in rows),
        "expected": f"{proposal.throws},{int(proposal.warning)}",
        "there": rulings_on(entry, round, sorted({part.hole for part in proposal.parts})),
        "another": helper_url(entry.event, round, entry, hole, step.ways) + "&more=1"
        if all(combines(row) for row in rows) and len(rows) == 1
        else "",
        "place": place,
        "one_penalty": book.value("discs.one_penalty_a_throw").citation,
        "who_confirms": book.value("discs.who_confirms").citation,
        "submission": uuid4(),
    }


def vote_words(of: int) -> str:
    """ "The group has 4 players: more than half is 3 or more." """
    return f"The group has {of} players: more than half is {majority(of)} or more."


def comes_to(proposal: Proposal) -> str:
    """ "+1 on hole 7", "a warning", "+1 on hole 7 and a warning", "+2 on hole 4 and +2 on the round total",
    "nothing more"."""
    sums: dict[str, int] = {}
    for part in proposal.parts:
        where = (
            f"hole {part.hole}" if part.hole else "the hole" if part.penalty.booked == HOLE else part.where
        )
        sums[where] = sums.get(where, 0) + part.throws
    said = [f"{throws_text(throws)} on {where}" for where, throws in sums.items() if throws]
    said += ["a warning"] if proposal.warning else []
    return " and ".join(said) or "nothing more"
