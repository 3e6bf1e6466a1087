"""The demo's rounds, through the services: drawn, published and played, as far as the clock has come."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import product
from uuid import UUID

from desk.demo.asked import answer_questions
from desk.demo.level import level_first
from desk.demo.making import ACTOR, Demo
from desk.demo.penalties import make_calls
from desk.demo.play import round_of
from events.course.queries import LayoutFacts
from events.draw.models import Sheet
from events.draw.queries import GroupView, published_view
from events.draw.services import make_draw, publish
from events.log.services import Actor
from events.setup.models import Round
from scoring.cards.calling import keep_call
from scoring.cards.checking import LineIn
from scoring.cards.deciding import compared, decide_cells
from scoring.cards.live import MOST_ACTS, Saying, enter_holes
from scoring.cards.models import CardVersion
from scoring.cards.radio import Call
from scoring.cards.services import mark_finished, save_card
from scoring.cards.verifying import verify_card
from scoring.standings.after_cut import out_before
from scoring.standings.queries import totals_before

DECIDED, LEFT_OPEN = (
    0,
    1,
)  # of the groups that are in, whose phone differs from the paper; the second in a round going on


@dataclass(frozen=True, slots=True)
class Played:
    """A group's round as it is thrown: entry → throws in layout order; when it is through, and at the desk."""

    group: GroupView
    layout: LayoutFacts
    scores: dict[int, list[int]]
    pace: float  # minutes a hole
    ready: datetime
    returned: datetime

    def order(self, holes: int) -> list[int]:
        """Indexes of the first `holes` holes, from the group's own start."""
        whole = len(self.layout.holes)
        return [(self.group.position - 1 + step) % whole for step in range(holes)]


def play_round(demo: Demo, round_: Round, *, finished: bool, level: bool = False) -> None:
    """Draw, publish and play a round. `finished`: whatever the clock says; `level`: two are tied for first after it."""
    first = round_.number == 1
    start = min(round_.pools.values_list("first_start_at", flat=True))
    totals = {} if first else totals_before(round_)
    sheet = make_draw(
        round=round_,
        method=Sheet.Method.RANDOM if first else Sheet.Method.SCORE,
        seed=str(demo.seed),
        actor=ACTOR,
        now=demo.at(start - timedelta(minutes=50)),
        totals=None if first else totals,
        only_checked_in=True,
        out=out_before(round_),
    )
    publish(sheet=sheet, actor=ACTOR, now=demo.at(start - timedelta(minutes=40)))
    view = published_view(round_)
    if view is None:
        raise RuntimeError("a published sheet is gone")
    wind = demo.rng.uniform(-0.03, 0.06)
    played = [_thrown(demo, group, view.layouts[group.layout], wind) for group in view.groups]
    if level:
        level_first([each.group for each in played], [each.scores for each in played], totals)
    make_calls(demo, round_, view.groups, view.layouts)
    answer_questions(demo, round_, view.groups, view.layouts, finished=finished)
    _hand_in(demo, round_, played, finished=finished)


def _thrown(demo: Demo, group: GroupView, layout: LayoutFacts, wind: float) -> Played:
    pace = demo.rng.uniform(9.5, 11.5)
    ready = group.starts_at + timedelta(minutes=pace * len(layout.holes))
    scores = {m.entry_id: round_of(layout.pars, m.rating, demo.rng, wind=wind) for m in group.members}
    return Played(group, layout, scores, pace, ready, ready + timedelta(minutes=demo.rng.uniform(4, 22)))


def _hand_in(demo: Demo, round_: Round, played: Sequence[Played], *, finished: bool) -> None:
    """What is known of each group: its card where it is at the desk, otherwise what comes from the course."""
    inside = 0
    for each in played:
        whole = len(each.layout.holes)
        elapsed = (demo.now - each.group.starts_at).total_seconds() / 60
        through = whole if finished else min(whole, max(0, int(elapsed / each.pace)))
        if through == 0:
            continue
        if through == whole:
            at = demo.at(each.ready)
            mark_finished(round=round_, group_number=each.group.number, at=at, actor=ACTOR, now=at)
            if not finished and each.returned > demo.now:
                through = whole - 1  # the last hole is not at the desk yet: the card is still out
        if through < whole:
            _from_the_course(demo, round_, each, each.order(through))
            continue
        _card(demo, round_, each, nth=inside, finished=finished)
        inside += 1


def _card(demo: Demo, round_: Round, each: Played, *, nth: int, finished: bool) -> None:
    """The paper card is typed; where the group's phone says another figure, somebody has looked, or has yet to."""
    number, at = each.group.number, demo.at(each.returned)
    differs = round_.number == 1 and (nth == DECIDED or (nth == LEFT_OPEN and not finished))
    if differs:
        _say(demo, round_, _with_a_slip(each), each.order(len(each.layout.holes)), demo.at(each.ready))
    save_card(
        round=round_,
        group_number=number,
        lines=[LineIn(entry, throws, written_total=sum(throws)) for entry, throws in each.scores.items()],
        base=0,
        submission=demo.key(round_.number, number),
        source=CardVersion.Source.PAPER,
        actor=ACTOR,
        now=at,
    )
    if differs and nth == DECIDED:
        _decide(demo, round_, each, at)
    if finished:
        why = "the totals that the players wrote agree"
        verify_card(round=round_, group_number=number, why=why, actor=ACTOR, now=at)


def _with_a_slip(each: Played) -> Played:
    """One finger beside the right figure: a throw more on the last hole that the first player of the card played."""
    entry, hole = next(iter(each.scores)), each.order(len(each.layout.holes))[-1]
    throws = list(each.scores[entry])
    throws[hole] += 1
    return replace(each, scores={**each.scores, entry: throws})


def _decide(demo: Demo, round_: Round, each: Played, now: datetime) -> None:
    """The paper is right: the group said so at the desk."""
    labels = [hole.label for hole in each.layout.holes]
    cells = compared(round_, each.group.number).cells
    decide_cells(
        round=round_,
        group_number=each.group.number,
        chosen={
            (cell.entry_id, cell.cell): each.scores[cell.entry_id][labels.index(cell.cell)] for cell in cells
        },
        key=demo.key("decided", round_.number, each.group.number),
        reason="The group counted the hole again at the desk: the phone has one too many.",
        actor=ACTOR,
        now=now,
    )


def _from_the_course(demo: Demo, round_: Round, each: Played, order: Sequence[int]) -> None:
    """What is known of a group that is still out: its phone says each hole, every fourth group calls by radio."""
    if each.group.number % 4:
        _say(demo, round_, each, order, demo.now)
        return
    pars = each.layout.pars
    to_par = tuple(sum(throws[hole] - pars[hole] for hole in order) for throws in each.scores.values())
    call = Call(each.group.number, len(order), to_par)
    key = demo.key("call", round_.number, each.group.number)
    keep_call(round=round_, call=call, key=key, actor=ACTOR, now=demo.now)


def _say(demo: Demo, round_: Round, each: Played, order: Sequence[int], now: datetime) -> None:
    """The group's phone says its holes, in the order in which they were played."""
    group = each.group
    device: UUID = demo.key("phone", round_.number, group.number)
    sayings = [
        Saying(
            demo.key("phone", round_.number, group.number, entry, hole),
            seq,
            entry,
            each.layout.holes[hole].label,
            throws[hole],
        )
        for seq, (hole, (entry, throws)) in enumerate(product(order, each.scores.items()), start=1)
    ]
    for first in range(0, len(sayings), MOST_ACTS):
        enter_holes(
            round=round_,
            group_number=group.number,
            device_key=device,
            device_name=f"{group.members[0].listed.split(',')[0]}’s phone",
            sayings=sayings[first : first + MOST_ACTS],
            actor=Actor(name=f"group {group.number}"),
            now=now,
        )
