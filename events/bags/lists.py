"""Which list of approved discs the event goes by, what is on it, and the director's word on what is not."""

from collections.abc import Iterable
from datetime import datetime

from django.db import transaction
from django.db.models import Q, QuerySet

from events.bags.models import ListInUse, ModelDecision
from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.models import Event
from events.setup.queries import is_over
from events.sheets.cells import clean
from players.approved_reading import model_key
from players.models import ApprovedList, ApprovedModel, Disc
from players.names import fold

MOST_NAMES = 200  # of one query: SQLite takes a condition of up to 1,000 parts
LONGEST_REASON = 500


class ListChoiceRefused(Exception):
    """The choice cannot be made; the message is a sentence."""


def list_in_use(event: Event) -> ApprovedList | None:
    """The list the event goes by: the one chosen last, else the newest there is (1 or 2 queries)."""
    chosen = last_choice(event)
    return chosen.list if chosen is not None else lists_for(event).first()


def last_choice(event: Event) -> ListInUse | None:
    """Which list was chosen, when and by whom (1 query)."""
    return ListInUse.objects.filter(event=event).select_related("list").order_by("-pk").first()


def lists_for(event: Event) -> QuerySet[ApprovedList]:
    """The lists an event can go by, newest first. Invented ones are for invented events only."""
    lists = ApprovedList.objects.order_by("-as_of", "-pk")
    return lists if event.is_demo else lists.filter(invented=False)


def listed_for(approved: ApprovedList | None, discs: Iterable[Disc]) -> dict[int, ApprovedModel]:
    """Disc → its row of the list, by maker and model, else by model alone where one maker has it (1 query)."""
    discs = list(discs)
    if approved is None or not discs:
        return {}
    by_key, by_name = _index(approved, discs)
    found: dict[int, ApprovedModel] = {}
    for disc in discs:
        model = by_key.get(disc.model_key)
        if model is None and not disc.maker:
            same = by_name.get(_name(disc.model), [])
            model = same[0] if len(same) == 1 else None
        if model is not None:
            found[disc.pk] = model
    return found


def _index(
    approved: ApprovedList, discs: list[Disc]
) -> tuple[dict[str, ApprovedModel], dict[str, list[ApprovedModel]]]:
    """The rows that these discs can mean, by key and by model alone; of many names, every row."""
    wanted = Q(key__in={disc.model_key for disc in discs})
    names = {_name(disc.model) for disc in discs if not disc.maker}
    for name in names if len(names) <= MOST_NAMES else ():
        wanted |= Q(key__endswith=f" {name}")
    wanted = wanted if len(names) <= MOST_NAMES else Q()
    by_key: dict[str, ApprovedModel] = {}
    by_name: dict[str, list[ApprovedModel]] = {}
    for model in approved.models.filter(wanted):
        by_key[model.key] = model
        by_name.setdefault(_name(model.name), []).append(model)
    return by_key, by_name


def _name(name: str) -> str:
    return " ".join(fold(name).split())


def names_for_typing(approved: ApprovedList | None) -> list[str]:
    """ "Maker Model" of every model, by name, for a phone to suggest (1 query)."""
    if approved is None:
        return []
    return [f"{maker} {name}" for maker, name in approved.models.order_by("key").values_list("maker", "name")]


def split_model(approved: ApprovedList | None, typed: str) -> tuple[str, str]:
    """("Maker", "Model") of what was typed in one field, where the list has it; else ("", as typed) (1 query)."""
    if approved is not None:
        row = approved.models.filter(key=model_key("", typed)).first()
        if row is not None:
            return row.maker, row.name
    return "", typed


def decisions_of(event: Event) -> dict[str, ModelDecision]:
    """Model key → the director's last word on it (1 query)."""
    words = ModelDecision.objects.filter(event=event).select_related("list").order_by("pk")
    return {each.model_key: each for each in words}


def not_listed(event: Event) -> list[tuple[Disc, int, ModelDecision | None]]:
    """Models in bags and boxes of the event's entrants that are not on its list: one piece of each, how many
    pieces, and the director's word (5 queries at most)."""
    approved = list_in_use(event)
    discs = list(
        Disc.objects.filter(person__entries__event=event, put_away_at__isnull=True).distinct().order_by("pk")
    )
    known = listed_for(approved, discs)
    decided = decisions_of(event)
    kinds: dict[str, list[Disc]] = {}
    for disc in discs:
        if disc.pk not in known:
            kinds.setdefault(disc.model_key, []).append(disc)
    return [(pieces[0], len(pieces), decided.get(key)) for key, pieces in sorted(kinds.items())]


@transaction.atomic
def choose_list(*, event: Event, approved: ApprovedList, actor: Actor, now: datetime) -> ListInUse:
    """Let the event go by this list from now on; decisions made before keep the list that they name.

    Raises ListChoiceRefused for an invented list at an event that is not, and once the event is over.
    """
    refuse_over(event)
    if approved.invented and not event.is_demo:
        raise ListChoiceRefused("That list is invented, for trying things out: no event goes by it.")
    row = ListInUse.objects.create(event=event, list=approved, at=now, by=actor.name[:150])
    detail = {"list": str(approved), "file": approved.file_name, "rows": approved.rows}
    record(
        chain=event.slug,
        action=Action.LIST_CHOSEN,
        subject=str(approved),
        actor=actor,
        now=now,
        detail=detail,
    )
    return row


@transaction.atomic
def decide_model(
    *, event: Event, maker: str, model: str, allowed: bool, reason: str, actor: Actor, now: datetime
) -> ModelDecision:
    """The director's word on a model that is not on the list. The newest counts.

    Raises ListChoiceRefused without a reason, with one that is too long, and once the event is over.
    """
    refuse_over(event)
    reason = clean(reason)
    if not reason:
        raise ListChoiceRefused("Write the reason: players will ask for it.")
    if len(reason) > LONGEST_REASON:
        raise ListChoiceRefused(f"The reason is longer than {LONGEST_REASON} letters: shorten it.")
    decision = ModelDecision.objects.create(
        event=event,
        list=list_in_use(event),
        maker=maker,
        model=model,
        model_key=model_key(maker, model),
        allowed=allowed,
        reason=reason,
        at=now,
        by=actor.name[:150],
    )
    name = f"{maker} {model}".strip()
    detail = {"model": name, "allowed": allowed, "list": str(decision.list or "none")}
    record(
        chain=event.slug,
        action=Action.MODEL_DECIDED,
        subject=name,
        actor=actor,
        now=now,
        detail=detail,
        reason=reason,
    )
    return decision


def refuse_over(event: Event) -> None:
    """Raises ListChoiceRefused for an event that was declared over."""
    if is_over(event):
        raise ListChoiceRefused("The event is over: nothing about discs changes any more.")
