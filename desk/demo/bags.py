"""Boxes, bags and the equipment desk of the demo, through the services that the pages use."""

import random
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from uuid import UUID, uuid5

from desk.demo.discs import AS_OF_DAYS_BEFORE, Model, list_csv, models
from events.bags.lists import choose_list
from events.bags.models import BagAct, Scale
from events.bags.queries import bag_of
from events.bags.rules import mass_rule
from events.bags.scales import check_scale, register_scale
from events.bags.services import ActIn, apply_acts
from events.bags.spot_checks import draw, freeze_pool
from events.bags.weighings import examine, question_disc, weigh
from events.entries.models import Entry, Status
from events.log.services import Actor
from events.setup.models import Event, Round
from events.setup.queries import rulebook_for
from players.approved import import_list

ACTOR = Actor(name="demo")
SPACE = UUID("0d8c7c52-6b0b-4c57-8f3e-6e2c1d0a7b44")  # acts of the demo are the same for a seed
BOXES = 30  # of so many players: enough to look at, and the demo is made while somebody waits
WEIGHED = 4
SEEN_FINE = {
    "cracked": False,
    "holed": False,
    "carved": False,
    "added_material": False,
    "over_sanded": False,
    "out_of_shape": False,
    "lights_or_tape": False,
    "marked": True,
}
# What a bag holds: role, kind of model, pieces at least and at most.
HOLDS = (
    ("putting", "putter", 1, 2),
    ("throwing", "putter", 1, 2),
    ("midrange", "midrange", 2, 3),
    ("fairway", "fairway", 3, 4),
    ("distance", "distance", 3, 5),
)
PLASTICS = ("soft", "grippy", "clear", "matte")
COLOURS = ("orange", "white", "teal", "yellow", "pink", "lime")
WEARS = ("new", "first", "half", "worn")


@dataclass(slots=True)
class Kit:
    """What the steps below share: the event, its invented models by kind, chance, and the moment."""

    event: Event
    by_kind: dict[str, list[Model]]
    rng: random.Random
    now: datetime

    def key(self, *parts: object) -> UUID:
        return uuid5(SPACE, " ".join(map(str, (self.event.pk, *parts))))


def add_bags(event: Event, *, seed: int, now: datetime, rounds: Sequence[Round]) -> None:
    """The list, scales, boxes of some players with a bag for each of these rounds, weighings and a spot check."""
    kit = _kit(event, seed, now)
    players = list(
        Entry.objects.filter(event=event, status=Status.CONFIRMED, checked_in_at__isnull=False)
        .select_related("person", "event")
        .order_by("pk")[:BOXES]
    )
    for entry in players:
        _box(kit, entry)
        for round in rounds:
            _bag(kit, entry, round)
    coarse, fine = _scales(kit)
    if rounds and players:
        for entry in players[:WEIGHED]:
            _weigh(kit, entry, rounds[0], fine)
        _odd_ones(kit, players, rounds[0], coarse, fine)
        _spot_check(kit, rounds[-1])


def _kit(event: Event, seed: int, now: datetime) -> Kit:
    rule = mass_rule(rulebook_for(event))
    as_of: date = min(event.starts_on, now.date()) - timedelta(days=AS_OF_DAYS_BEFORE)
    made = models(rule, seed=seed, as_of=as_of)
    by_kind: dict[str, list[Model]] = {}
    for model in made:
        by_kind.setdefault(model.kind, []).append(model)
    snapshot = import_list(
        content=list_csv(made),
        file_name="approved_list.csv",
        as_of=as_of,
        invented=True,
        actor=ACTOR,
        now=now,
    )
    choose_list(event=event, approved=snapshot, actor=ACTOR, now=now)
    return Kit(event, by_kind, random.Random(f"bags {seed}"), now)  # noqa: S311  invented bags


def _box(kit: Kit, entry: Entry) -> None:
    """Several pieces of few models, as players carry them, and a mark on nearly all."""
    mark = f"{entry.person.given_name[:1]}{entry.person.family_name[:1]} {entry.person.member_number or ''}".strip()
    acts = []
    for role, kind, least, most in HOLDS:
        model = kit.rng.choice(kit.by_kind[kind])
        for piece in range(kit.rng.randint(least, most)):
            acts.append(_piece(kit, entry, role, model, mark, piece))
    apply_acts(entry=entry, acts=acts, source=BagAct.Source.PHONE, actor=_phone(entry), now=kit.now)


def _piece(kit: Kit, entry: Entry, role: str, model: Model, mark: str, piece: int) -> ActIn:
    limit = model.max_mass or Decimal(175)
    fields = {
        "model": f"{model.maker} {model.name}",
        "plastic": kit.rng.choice(PLASTICS),
        "colour": kit.rng.choice(COLOURS),
        "stamped_mass_g": str(int(limit) - kit.rng.randint(0, 8)),
        "mark": mark,
        "marked": "yes",
        "wear": WEARS[min(piece, 3)],
        "role": role,
    }
    key = kit.key("piece", entry.pk, role, piece)
    return ActIn(kit.key("add", entry.pk, role, piece), "add", key, None, fields, kit.now)


def _bag(kit: Kit, entry: Entry, round: Round) -> None:
    """All but one or two go into the first bag; before each later round one or two are swapped."""
    view = bag_of(entry, round)
    acts = []
    for piece in view.pieces:
        key = piece.disc.key
        act = kit.key("bag", entry.pk, round.number, piece.disc.number)
        if not view.compared and not view.carried:
            if kit.rng.random() > 0.12:
                acts.append(ActIn(act, "put_in", key, round.number))
        elif kit.rng.random() < 0.12:
            acts.append(ActIn(act, "take_out" if piece.in_bag else "put_in", key, round.number))
    acts.append(ActIn(kit.key("declare", entry.pk, round.number), "declare", None, round.number))
    apply_acts(entry=entry, acts=acts, source=BagAct.Source.PHONE, actor=_phone(entry), now=kit.now)


def _phone(entry: Entry) -> Actor:
    return Actor(name=f"{entry.person.name}, phone"[:150])


def _scales(kit: Kit) -> tuple[Scale, Scale]:
    made = []
    for name, kind, step, shown in (
        ("kitchen scale", "household", "1", "200"),
        ("fine scale", "class_iii", "0.1", "200.1"),
    ):
        scale = register_scale(
            event=kit.event, name=name, kind=kind, resolution_g=Decimal(step), actor=ACTOR, now=kit.now
        )
        check_scale(scale=scale, reference_g=Decimal(200), reading_g=Decimal(shown), actor=ACTOR, now=kit.now)
        made.append(scale)
    return made[0], made[1]


def _weigh(kit: Kit, entry: Entry, round: Round, scale: Scale) -> None:
    """A whole bag, each piece a gram or two under what is stamped on it, and looked over."""
    for disc in bag_of(entry, round).carried:
        stamped = disc.stamped_mass_g or Decimal(170)
        reading = stamped - Decimal(kit.rng.randint(0, 18)) / 10
        weigh(
            entry=entry, disc=disc, round=round, scale=scale, reading_g=reading,
            submission=kit.key("weigh", disc.pk), actor=ACTOR, now=kit.now,
        )  # fmt: skip
        examine(
            entry=entry, disc=disc, round=round, seen=SEEN_FINE, note="",
            submission=kit.key("look", disc.pk), actor=ACTOR, now=kit.now,
        )  # fmt: skip


def _odd_ones(kit: Kit, players: Sequence[Entry], round: Round, coarse: Scale, fine: Scale) -> None:
    """One disc too heavy, one that the coarse scale cannot decide, one cracked, one that somebody questions."""
    wanted = [entry for entry in players[WEIGHED : WEIGHED + 4] if bag_of(entry, round).carried]
    for what, entry in zip(("heavy", "near", "cracked", "questioned"), wanted, strict=False):
        disc = bag_of(entry, round).carried[0]
        limit = _limit(kit, disc.model)
        facts = {"entry": entry, "disc": disc, "round": round, "actor": ACTOR, "now": kit.now}
        if what == "heavy":
            weigh(**facts, scale=fine, reading_g=limit + Decimal("0.9"), submission=kit.key(what))  # type: ignore[arg-type]
        elif what == "near":
            weigh(**facts, scale=coarse, reading_g=Decimal(int(limit)), submission=kit.key(what))  # type: ignore[arg-type]
        elif what == "cracked":
            examine(**facts, seen={"cracked": True}, note="rim, 2 cm", submission=kit.key(what))  # type: ignore[arg-type]
        else:
            question_disc(**facts, asked_by="a player of the group", reason="feels painted")  # type: ignore[arg-type]


def _limit(kit: Kit, name: str) -> Decimal:
    found = (model.max_mass for of in kit.by_kind.values() for model in of if model.name == name)
    return next(found, None) or Decimal("175.1")


def _spot_check(kit: Kit, round: Round) -> None:
    """A pool frozen and drawn with sixteen dice."""
    check = freeze_pool(
        round=round, method="keyed", wanted=4, spares=2, source="16 dice thrown by three players at the meeting",
        actor=ACTOR, now=kit.now,
    )  # fmt: skip
    draw(check=check, numbers=[[kit.rng.randint(1, 6)] for _ in range(16)], actor=ACTOR, now=kit.now)
