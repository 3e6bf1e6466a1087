"""Doing what a phone sends: scores, confirmations and questions, each answered by its key, in the phone's own order."""

from collections.abc import Iterable, Sequence
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from threading import Lock
from uuid import UUID

from django.db import connection

from events.log.services import Actor
from events.setup.models import Round
from scoring.cards.asking import AskRefused, ask_desk
from scoring.cards.group_acts import CONFIRM, DANGER, RULING, SCORE, GroupAct, Sent
from scoring.cards.keeping import CardRefused
from scoring.cards.live import Figures, Saying, enter_holes
from scoring.cards.models import Confirmation
from scoring.cards.signing import confirm

# SQLite lets one writer in and has the others look again every so often, after waits that grow to a tenth of a second;
# here phones wait for each other and go on at once.
_turn = Lock()


@dataclass(frozen=True, slots=True)
class Answer:
    """What became of one act: kept, or `refused` with a sentence."""

    key: UUID
    refused: str = ""


@dataclass(frozen=True, slots=True)
class Taken:
    """The answers in the order of the acts. `figures`: how the group's stand with them, where they were scores alone
    and all of it is known without reading the card."""

    answers: Sequence[Answer]
    figures: Figures | None = None


@dataclass(frozen=True, slots=True)
class _Phone:
    round: Round
    group_number: int
    sent: Sent
    now: datetime

    @property
    def actor(self) -> Actor:
        whose = self.sent.name or "phone"
        return Actor(name=f"{whose}, group {self.group_number}"[:150])


def take_acts(*, round: Round, group_number: int, sent: Sent, now: datetime) -> Taken:
    """Each act is done or refused by itself: one that cannot be takes none of the others with it. The same key again
    is answered as before and done once. Scores that follow each other are kept in one transaction."""
    phone = _Phone(round, group_number, sent, now)
    with _in_turn():
        runs = [
            _scores(phone, list(acts)) if is_score else _others(phone, acts)
            for is_score, acts in groupby(sent.acts, key=lambda act: act.kind == SCORE)
        ]
    if len(runs) == 1:
        return runs[0]
    return Taken([answer for run in runs for answer in run.answers])


def _in_turn() -> AbstractContextManager[object]:
    return _turn if connection.vendor == "sqlite" else nullcontext()


def _scores(phone: _Phone, acts: Sequence[GroupAct]) -> Taken:
    """In one transaction where all can be kept; else one by one, to find which it is."""
    try:
        return _entered(phone, acts)
    except CardRefused as refused:
        if len(acts) == 1:
            return Taken([Answer(acts[0].key, str(refused))])
    return Taken([answer for act in acts for answer in _scores(phone, [act]).answers])


def _entered(phone: _Phone, acts: Sequence[GroupAct]) -> Taken:
    entered = enter_holes(
        round=phone.round,
        group_number=phone.group_number,
        device_key=phone.sent.device,
        device_name=phone.sent.name,
        sayings=[_saying(act) for act in acts],
        actor=phone.actor,
        now=phone.now,
    )
    return Taken([Answer(each.key, each.refused) for each in entered.answers], entered.figures)


def _saying(act: GroupAct) -> Saying:
    return Saying(
        key=act.key,
        seq=act.seq,
        entry_id=act.entry or 0,
        hole=act.hole,
        throws=act.throws,
        over=tuple(UUID(key) for key in act.over),
        typed_at=act.typed_at,
    )


def _others(phone: _Phone, acts: Iterable[GroupAct]) -> Taken:
    does = {CONFIRM: _confirmed, RULING: _asked, DANGER: _asked}
    return Taken([Answer(act.key, does[act.kind](phone, act)) for act in acts])


def _asked(phone: _Phone, act: GroupAct) -> str:
    """Why it could not be asked, or ""."""
    try:
        ask_desk(
            round=phone.round,
            group_number=phone.group_number,
            kind=act.kind,
            entry_id=act.entry,
            hole=act.hole,
            text=act.words,
            key=act.key,
            device_key=phone.sent.device,
            actor=phone.actor,
            now=phone.now,
        )
    except AskRefused as refused:
        return str(refused)
    return ""


def _confirmed(phone: _Phone, act: GroupAct) -> str:
    """Why the player's yes could not be kept, or ""."""
    try:
        confirm(
            round=phone.round,
            group_number=phone.group_number,
            entry_id=act.entry or 0,
            source=Confirmation.Source.PHONE,
            total=act.total or 0,
            throws=act.figures,
            key=act.key,
            device_key=phone.sent.device,
            actor=phone.actor,
            now=phone.now,
        )
    except CardRefused as refused:
        return str(refused)
    return ""
