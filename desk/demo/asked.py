"""What the demo's groups ask of the desk from their phones: a ruling, a danger, and one that waits for its answer."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta

from desk.demo.making import ACTOR, Demo
from events.course.queries import LayoutFacts
from events.draw.queries import GroupView
from events.log.services import Actor
from events.setup.models import Round
from scoring.cards.asking import Kind, answer_group, ask_desk


@dataclass(frozen=True, slots=True)
class Question:
    """`group` counts the groups of the round; `minutes` after its start; an `answer` of "" is still to be given."""

    group: int
    kind: str
    minutes: int
    text: str
    answer: str = ""


ASKED = (
    Question(
        1,
        Kind.RULING,
        48,
        "The disc hangs in a hedge, about head high. Is it above two metres here?",
        "The two-metre rule is not declared on this course: the lie is on the ground below the disc, no penalty throw.",
    ),
    Question(
        2,
        Kind.DANGER,
        75,
        "A wasps’ nest in the stump beside the tee.",
        "Taped off by the marshal. Tee from the left half of the pad.",
    ),
)
OPEN = Question(
    3, Kind.RULING, 150, "The flag of the drop zone is gone and we see no mark. Where do we play from?"
)


def answer_questions(
    demo: Demo,
    round_: Round,
    groups: Sequence[GroupView],
    layouts: Mapping[int, LayoutFacts],
    *,
    finished: bool,
) -> None:
    """The first round's questions, answered; in a round that is going on one more, which waits for the desk."""
    asked = ASKED if round_.number == 1 else ()
    for number, question in enumerate(asked if finished else (*asked, OPEN)):
        group = groups[question.group % len(groups)]
        at = group.starts_at + timedelta(minutes=question.minutes)
        if at > demo.now:
            continue
        holes = layouts[group.layout].holes
        message = ask_desk(
            round=round_,
            group_number=group.number,
            kind=question.kind,
            entry_id=None,
            hole=holes[(group.position - 1 + question.minutes // 12) % len(holes)].label,
            text=question.text,
            key=demo.key("asked", round_.number, number),
            device_key=None,
            actor=Actor(name=f"group {group.number}"),
            now=at,
        )
        if question.answer:
            later = demo.at(at + timedelta(minutes=4))
            answer_group(message=message, answer=question.answer, actor=ACTOR, now=later)
