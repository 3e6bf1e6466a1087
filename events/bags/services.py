"""Box and bag, act by act. An act has a key of its own: sent twice, it is done once; sent late, it is still done.

Acts of several people on one box do not overwrite each other: each changes only the fields that it names, and what
stood there before is kept with it.
"""

from collections import Counter
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import Max

from events.bags.lists import list_in_use, split_model
from events.bags.models import Bag, BagAct, InBag
from events.bags.piece_fields import BadField, read_fields
from events.entries.models import Entry, Status
from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.models import Round
from events.sheets.cells import clean
from players.models import ApprovedList, Disc

Kind, Source = BagAct.Kind, BagAct.Source
MOST_ACTS = 200  # in one request: a box of 25 declared at once is 51
MOST_PIECES = 200  # in one box
MOST_KEPT = 5_000  # acts that phones may send on one box, about a hundred bags of 25; a desk may always go on
GONE = (Status.WITHDRAWN, Status.DID_NOT_PLAY)


class BagRefused(Exception):
    """An act that cannot be done; the message is a sentence for whoever sent it."""


@dataclass(frozen=True, slots=True)
class ActIn:
    """One act as it was sent. `disc` is the piece's key, `round` the number; `fields` what is said of the piece."""

    key: UUID
    kind: str
    disc: UUID | None = None
    round: int | None = None
    fields: Mapping[str, Any] = field(default_factory=dict)
    said_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Applied:
    """What became of an act: done (also if it was done before) unless `refused` says why not."""

    key: UUID
    refused: str = ""


@transaction.atomic
def apply_acts(
    *,
    entry: Entry,
    acts: Sequence[ActIn],
    source: str,
    actor: Actor,
    now: datetime,
    closed: Collection[int] = (),
) -> list[Applied]:
    """Do the acts in their order; each is kept, also one that cannot be done, and its sentence is answered.

    `closed`: rounds whose card is in, so that their bag stays as it was. Raises BagRefused for more than MOST_ACTS,
    and for acts of a phone beyond MOST_KEPT: whoever holds a slip cannot fill the laptop.
    """
    if len(acts) > MOST_ACTS:
        raise BagRefused(f"At most {MOST_ACTS} acts are taken at once: send the rest after them.")
    # The person too: the box is one over all events, and numbers its pieces.
    locked = Entry.objects.select_for_update(of=("self", "person")).select_related("event", "person")
    entry = locked.get(pk=entry.pk)
    known = {
        act.key: act.refused if act.entry_id == entry.pk else "That was said of another box."
        for act in BagAct.objects.filter(key__in=[act.key for act in acts])
    }
    _refuse_endless(entry, source, sum(act.key not in known for act in acts))
    work = _Work(entry, source, actor, now, frozenset(closed))
    answers = []
    for act in acts:
        if act.key not in known:
            known[act.key] = work.take(act)
        answers.append(Applied(act.key, known[act.key]))
    work.log()
    return answers


def _refuse_endless(entry: Entry, source: str, new: int) -> None:
    if source == Source.PHONE and new and BagAct.objects.filter(entry=entry).count() + new > MOST_KEPT:
        raise BagRefused("More was said of this box than a page may send: say the rest at the desk.")


class _Work:
    """The acts of one request on one box."""

    def __init__(
        self, entry: Entry, source: str, actor: Actor, now: datetime, closed: frozenset[int]
    ) -> None:
        self.entry, self.source, self.actor, self.now, self.closed = entry, source, actor, now, closed
        self.rounds = {each.number: each for each in entry.event.rounds.all()}
        self.approved: ApprovedList | None = None
        self.list_read = False
        self.done: Counter[str] = Counter()
        self.declared: list[Bag] = []

    def take(self, act: ActIn) -> str:
        """Do one act and keep it; returns why it could not be done, or ""."""
        refused = ""
        before: dict[str, Any] = {}
        after: dict[str, Any] = {}
        try:
            with transaction.atomic():
                disc, before, after = self._do(act)
        except (BagRefused, BadField) as why:
            refused, after = str(why)[:200], _kept(act.fields)
            disc = Disc.objects.filter(person=self.entry.person, key=act.disc).first() if act.disc else None
        BagAct.objects.create(
            key=act.key,
            entry=self.entry,
            round=self.rounds.get(act.round) if act.round is not None else None,
            disc=disc,
            kind=act.kind if act.kind in Kind.values else Kind.CHANGE,
            source=self.source,
            before=before,
            after=after,
            refused=refused,
            said_at=act.said_at,
            received_at=self.now,
            by=self.actor.name[:150],
        )
        if not refused:
            self.done[act.kind] += 1
        return refused

    def _do(self, act: ActIn) -> tuple[Disc | None, dict[str, Any], dict[str, Any]]:
        self._refuse_gone()
        handler = _HANDLERS.get(act.kind)
        if handler is None:
            raise BagRefused(f"Nothing is known of an act “{act.kind[:20]}”.")
        return handler(self, act)

    def _refuse_gone(self) -> None:
        if self.entry.event.over_at is not None:
            raise BagRefused("The event is over: bags stay as they are.")
        if self.entry.status in GONE:
            raise BagRefused(f"{self.entry.person.name} is out of the event: the bag stays as it is.")

    def list(self) -> ApprovedList | None:
        """The list the event goes by, read once for all acts of the request."""
        if not self.list_read:
            self.approved, self.list_read = list_in_use(self.entry.event), True
        return self.approved

    def disc(self, act: ActIn) -> Disc:
        found = Disc.objects.filter(person=self.entry.person, key=act.disc).first() if act.disc else None
        if found is None:
            raise BagRefused("That piece is not in this box.")
        return found

    def round(self, act: ActIn) -> Round:
        if act.round is None or act.round not in self.rounds:
            raise BagRefused(f"The event has no round {act.round}.")
        if act.round in self.closed:
            raise BagRefused(f"The card of round {act.round} is in: its bag stays as it was.")
        return self.rounds[act.round]

    def bag(self, act: ActIn) -> Bag:
        bag = open_bag(self.entry, self.round(act), by=self.actor.name, now=self.now)
        bag.revision += 1
        bag.save(update_fields=["revision"])
        return bag

    def log(self) -> None:
        """One line a request, and one more for each bag declared."""
        common = {"source": self.source}
        chain, subject = self.entry.event.slug, self.entry.person.name
        changes = {kind: count for kind, count in sorted(self.done.items()) if kind != Kind.DECLARE}
        if changes:
            detail = common | changes
            record(
                chain=chain,
                action=Action.BAG_CHANGED,
                subject=subject,
                actor=self.actor,
                now=self.now,
                detail=detail,
            )
        for bag in self.declared:
            pieces = InBag.objects.filter(bag=bag, taken_out_at__isnull=True).count()
            detail = common | {"round": bag.round.number, "pieces": pieces}
            record(
                chain=chain,
                action=Action.BAG_DECLARED,
                subject=subject,
                actor=self.actor,
                now=self.now,
                detail=detail,
            )


def open_bag(entry: Entry, round: Round, *, by: str, now: datetime) -> Bag:
    """The bag of a round. Opened for the first time, it is what was carried in the latest bag before it."""
    held = Bag.objects.filter(entry=entry, round=round).first()
    if held is not None:
        return held
    earlier = (
        Bag.objects.filter(entry=entry, round__number__lt=round.number).order_by("-round__number").first()
    )
    bag = Bag.objects.create(entry=entry, round=round, opened_from=earlier)
    if earlier is not None:
        carried = InBag.objects.filter(bag=earlier, taken_out_at__isnull=True, disc__put_away_at__isnull=True)
        InBag.objects.bulk_create(
            InBag(bag=bag, disc_id=disc, put_in_at=now, put_in_by=by[:150])
            for disc in carried.order_by("pk").values_list("disc_id", flat=True)
        )
    return bag


Done = tuple[Disc | None, dict[str, Any], dict[str, Any]]


def _add(work: _Work, act: ActIn) -> Done:
    """A piece into the box, and into the bag if a round is named. A key that is there already is that piece."""
    fields = _said(work, act.fields)
    if act.disc is None or "model" not in fields:
        raise BagRefused("Write the model of the disc.")
    disc = Disc.objects.filter(key=act.disc).first()
    if disc is not None and disc.person_id != work.entry.person_id:
        raise BagRefused("That piece is in another box.")
    if disc is None:
        box = Disc.objects.filter(person=work.entry.person)
        if box.filter(put_away_at__isnull=True).count() >= MOST_PIECES:
            raise BagRefused(f"A box holds at most {MOST_PIECES} pieces here.")
        number = (box.aggregate(last=Max("number"))["last"] or 0) + 1
        disc = Disc.objects.create(person=work.entry.person, key=act.disc, number=number, **fields)
    if act.round is not None:
        _into(work, act, disc)
    return disc, {}, _plain(fields) | {"number": disc.number}


def _change(work: _Work, act: ActIn) -> Done:
    """Only the fields that were sent; what stood in them is kept with the act."""
    disc = work.disc(act)
    fields = {name: value for name, value in _said(work, act.fields).items() if getattr(disc, name) != value}
    before = {name: getattr(disc, name) for name in fields}
    for name, value in fields.items():
        setattr(disc, name, value)
    if fields:
        disc.save(update_fields=list(fields))
    return disc, _plain(before), _plain(fields)


def _put_away(work: _Work, act: ActIn) -> Done:
    """Out of the box: lost, sold, left at home. Bags of rounds that are going on lose it too."""
    disc = work.disc(act)
    open_rounds = InBag.objects.filter(disc=disc, bag__entry=work.entry, taken_out_at__isnull=True).exclude(
        bag__round__number__in=work.closed
    )
    open_rounds.update(taken_out_at=work.now, taken_out_by=work.actor.name[:150])
    if disc.put_away_at is None:
        disc.put_away_at = work.now
        disc.save(update_fields=["put_away_at"])
    return disc, {}, {}


def _bring_back(work: _Work, act: ActIn) -> Done:
    disc = work.disc(act)
    disc.put_away_at = None
    disc.save(update_fields=["put_away_at"])
    return disc, {}, {}


def _put_in(work: _Work, act: ActIn) -> Done:
    disc = work.disc(act)
    if disc.put_away_at is not None:
        raise BagRefused(f"Piece {disc.number} is put away: bring it back into the box first.")
    _into(work, act, disc)
    return disc, {}, {}


def _into(work: _Work, act: ActIn, disc: Disc) -> None:
    bag = work.bag(act)
    if not InBag.objects.filter(bag=bag, disc=disc, taken_out_at__isnull=True).exists():
        late = bag.declared_at is not None
        InBag.objects.create(
            bag=bag, disc=disc, put_in_at=work.now, put_in_by=work.actor.name[:150], late=late
        )


def _take_out(work: _Work, act: ActIn) -> Done:
    disc, bag = work.disc(act), work.bag(act)
    InBag.objects.filter(bag=bag, disc=disc, taken_out_at__isnull=True).update(
        taken_out_at=work.now, taken_out_by=work.actor.name[:150]
    )
    return disc, {}, {}


def _declare(work: _Work, act: ActIn) -> Done:
    """Say that this is the bag of the round. It may be said again: the newest time stands."""
    bag = work.bag(act)
    bag.declared_at, bag.declared_by = work.now, work.actor.name[:150]
    bag.save(update_fields=["declared_at", "declared_by"])
    work.declared.append(bag)
    return None, {}, {}


def _said(work: _Work, sent: Mapping[str, Any]) -> dict[str, Any]:
    """The fields as sent; "Maker Model" in one field becomes two where the list knows it."""
    fields = read_fields(sent)
    if fields.get("model") and not fields.get("maker"):
        fields["maker"], fields["model"] = split_model(work.list(), fields["model"])
    return fields


def _kept(sent: Mapping[str, Any]) -> dict[str, str]:
    """What was said in an act that could not be done: nothing that was typed is lost, nothing endless is kept."""
    return {str(name)[:40]: clean(str(value))[:200] for name, value in list(sent.items())[:20]}


def _plain(values: Mapping[str, Any]) -> dict[str, Any]:
    return {name: str(value) if isinstance(value, Decimal) else value for name, value in values.items()}


_HANDLERS: Mapping[str, Callable[[_Work, ActIn], Done]] = {
    Kind.ADD: _add,
    Kind.CHANGE: _change,
    Kind.PUT_AWAY: _put_away,
    Kind.BRING_BACK: _bring_back,
    Kind.PUT_IN: _put_in,
    Kind.TAKE_OUT: _take_out,
    Kind.DECLARE: _declare,
}
