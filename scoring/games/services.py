"""Writing games: setting one up, taking places and tickets. Winning it is in measuring, aces, raffling, settling."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import Max

from events.course.models import LayoutHole
from events.entries.models import IN_THE_FIELD, Entry, EntryAddOn, Payment
from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.figures import money_text
from events.setup.models import AddOn, Event, Round
from scoring.games.models import Game, PotLine, RaffleDraw

MOST_TICKETS = 500  # at one sale; a slip of the keys, not a rule


class GameRefused(Exception):
    """The act cannot be; the message is a sentence for the page."""


@dataclass(frozen=True, slots=True)
class Terms:
    """What a game is played for and by whom; amounts in cents. `divisions`: codes, none for all."""

    kind: str
    name: str
    round: Round | None = None
    layout_hole: LayoutHole | None = None
    divisions: tuple[str, ...] = ()
    addon: AddOn | None = None
    stake_cents: int = 0
    prize: str = ""
    winners: int = 1
    pays_percent: int = 100
    rest_to: str = "the next event"


@transaction.atomic
def make_game(*, event: Event, terms: Terms, apart: bool, actor: Actor, now: datetime) -> list[Game]:
    """Set up a game; `apart`: one for each of its divisions, each with a pot of its own. Raises GameRefused."""
    Event.objects.select_for_update().get(pk=event.pk)  # two games of one name wait for each other
    _refuse_terms(terms, apart=apart)
    scopes = [(code,) for code in terms.divisions] if apart else [terms.divisions]
    games = []
    for codes in scopes:
        name = f"{terms.name} {codes[0]}" if apart else terms.name
        if Game.objects.filter(event=event, name=name).exists():
            raise GameRefused(f"There is a game called {name}: choose another name.")
        game = Game.objects.create(event=event, **_facts(terms, name, codes))
        log_game(game, Action.GAME_SET, actor, now, {"terms": _words(game)})
        games.append(game)
    return games


@transaction.atomic
def change_game(*, game: Game, terms: Terms, actor: Actor, now: datetime) -> Game:
    """Change what is played for. The kind stays; what lets people in stays once money is in. Raises GameRefused."""
    game = locked(game)
    _refuse_terms(terms, apart=False)
    if terms.kind != game.kind:
        raise GameRefused("The kind of a game stays: remove this one and set up another.")
    if Game.objects.filter(event=game.event, name=terms.name).exclude(pk=game.pk).exists():
        raise GameRefused(f"There is a game called {terms.name}: choose another name.")
    sold = game.pot_lines.exists()
    if sold and terms.stake_cents != game.stake_cents:
        raise GameRefused("Places were sold at this price: undo them first, or keep the price.")
    before = _words(game)
    for field, value in _facts(terms, terms.name, terms.divisions).items():
        setattr(game, field, value)
    game.save()
    log_game(game, Action.GAME_SET, actor, now, {"was": before, "terms": _words(game)})
    return game


@transaction.atomic
def remove_game(*, game: Game, actor: Actor, now: datetime) -> None:
    """Take a game out that has no history. Raises GameRefused for one with money, marks or decisions."""
    game = locked(game)
    related = (game.pot_lines, game.marks, game.aces, game.awards)
    if any(rows.exists() for rows in related) or RaffleDraw.objects.filter(game=game).exists():
        raise GameRefused(f"{game.name} has lines that stay to be read: settle it instead.")
    log_game(game, Action.GAME_REMOVED, actor, now, {"terms": _words(game)})
    game.delete()


@transaction.atomic
def sell_place(*, game: Game, entry: Entry, method: Payment.Method, actor: Actor, now: datetime) -> PotLine:
    """One player in, at the game's stake. Raises GameRefused for somebody who is in, or may not play it."""
    game = locked(game)
    if game.stake_cents == 0 or game.kind == Game.Kind.RAFFLE:
        raise GameRefused(f"No places are sold for {game.name}.")
    player = Entry.objects.select_related("person", "division").get(pk=entry.pk, event=game.event)
    name = player.person.name
    if player.status not in IN_THE_FIELD:
        raise GameRefused(f"{name} is not in the field.")
    if game.divisions and player.division.code not in game.divisions:
        raise GameRefused(
            f"{game.name} is for {', '.join(game.divisions)}; {name} plays {player.division.code}."
        )
    bought = game.addon_id and EntryAddOn.objects.filter(entry=player, addon=game.addon_id).exists()
    live = game.pot_lines.filter(kind=PotLine.Kind.PLACE, undoes__isnull=True, undone_by__isnull=True)
    if bought or live.filter(entry=player).exists():
        raise GameRefused(f"{name} is in already.")
    return _pay_in(
        game, actor, now, kind=PotLine.Kind.PLACE, entry=player, name=name,
        amount_cents=game.stake_cents, method=method,
    )  # fmt: skip


@transaction.atomic
def sell_tickets(
    *,
    game: Game,
    name: str,
    entry: Entry | None,
    count: int,
    method: Payment.Method,
    actor: Actor,
    now: datetime,
    submission: UUID | None = None,
) -> PotLine:
    """Tickets with the next numbers, to a player or to anybody by name.

    `submission` is the page's key: what it sends twice is sold once. Raises GameRefused.
    """
    game = locked(game)
    if held := _sent_before(game, submission):
        return held
    if game.kind != Game.Kind.RAFFLE:
        raise GameRefused("Tickets are sold for a raffle.")
    if RaffleDraw.objects.filter(game=game).exists():
        raise GameRefused("The sale is closed: open it again first.")
    if entry is not None:
        name = Entry.objects.select_related("person").get(pk=entry.pk, event=game.event).person.name
    if not name.strip():
        raise GameRefused("Write who buys the tickets.")
    if not 0 < count <= MOST_TICKETS:
        raise GameRefused(f"Sell 1 to {MOST_TICKETS} tickets at once.")
    sold = game.pot_lines.filter(kind=PotLine.Kind.TICKETS, undoes__isnull=True)
    last = sold.aggregate(last=Max("first_ticket"))["last"]
    first = last + sold.get(first_ticket=last).tickets if last is not None else 1
    return _pay_in(
        game, actor, now, kind=PotLine.Kind.TICKETS, entry=entry, name=name.strip()[:120],
        tickets=count, first_ticket=first, amount_cents=count * game.stake_cents, method=method,
        submission=submission,
    )  # fmt: skip


@transaction.atomic
def add_to_pot(
    *,
    game: Game,
    kind: PotLine.Kind,
    who: str,
    cents: int,
    method: Payment.Method,
    actor: Actor,
    now: datetime,
    submission: UUID | None = None,
) -> PotLine:
    """What rolls over from a former event, or what somebody gives; `submission` as for tickets.

    Raises GameRefused.
    """
    game = locked(game)
    if held := _sent_before(game, submission):
        return held
    if kind not in {PotLine.Kind.ROLLED_IN, PotLine.Kind.GIVEN}:
        raise GameRefused("Say whether it comes from a former event or is given.")
    if cents <= 0:
        raise GameRefused("An amount is more than zero.")
    if not who.strip():
        raise GameRefused("Write from which event, or who gives it.")
    return _pay_in(
        game, actor, now, kind=kind, name=who.strip()[:120], amount_cents=cents, method=method,
        submission=submission,
    )  # fmt: skip


@transaction.atomic
def undo_pot_line(*, line: PotLine, actor: Actor, now: datetime) -> PotLine:
    """Give the money back: a line of the opposite sign. Raises GameRefused."""
    game = locked(line.game)
    line = PotLine.objects.get(pk=line.pk)
    if line.undoes_id is not None or PotLine.objects.filter(undoes=line).exists():
        raise GameRefused("This line was undone already.")
    if line.kind == PotLine.Kind.TICKETS and RaffleDraw.objects.filter(game=game).exists():
        raise GameRefused("These tickets are in the drum: open the sale again first.")
    back = PotLine.objects.create(
        game=game,
        kind=line.kind,
        entry_id=line.entry_id,
        name=line.name,
        tickets=line.tickets,
        amount_cents=-line.amount_cents,
        method=line.method,
        at=now,
        by=actor.name[:150],
        undoes=line,
    )
    log_game(game, Action.GAME_MONEY_UNDONE, actor, now, {"line": line.pk, "amount_cents": line.amount_cents})
    return back


def locked(game: Game, *, settled: bool = False) -> Game:
    """The game as it stands now, locked. Raises GameRefused for a settled one, unless that is asked for."""
    found = (
        Game.objects.select_for_update(of=("self",)).select_related("event", "round", "addon").get(pk=game.pk)
    )
    if found.settled_at is not None and not settled:
        raise GameRefused(f"{found.name} is settled: take the settling back first.")
    return found


def log_game(
    game: Game, action: Action, actor: Actor, now: datetime, detail: dict[str, Any], reason: str = ""
) -> None:
    record(
        chain=game.event.slug, action=action, subject=game.name, actor=actor, now=now,
        detail={"game": game.pk, **detail}, reason=reason,
    )  # fmt: skip


def _sent_before(game: Game, submission: UUID | None) -> PotLine | None:
    return game.pot_lines.filter(submission=submission).first() if submission is not None else None


def _pay_in(game: Game, actor: Actor, now: datetime, **facts: Any) -> PotLine:
    line = PotLine.objects.create(game=game, at=now, by=actor.name[:150], **facts)
    detail = {
        "line": line.pk,
        "what": line.get_kind_display(),
        "who": line.name,
        "amount_cents": line.amount_cents,
        "method": line.method,
    }
    if line.tickets:
        detail["tickets"] = f"{line.first_ticket} to {line.last_ticket}"
    log_game(game, Action.GAME_MONEY_TAKEN, actor, now, detail)
    return line


def _refuse_terms(terms: Terms, *, apart: bool) -> None:
    if terms.kind not in Game.Kind.values:
        raise GameRefused("Choose what is played.")
    if not terms.name.strip():
        raise GameRefused("Write a name for the game.")
    if apart and not terms.divisions:
        raise GameRefused("Tick the divisions that play apart.")
    if terms.addon is not None and (terms.addon.included or terms.addon.kind != AddOn.Kind.EXTRA):
        raise GameRefused(
            f"{terms.addon.name} is part of the fee: a side game is sold on top (Competition Manual 2025, 1.10.F)."
        )
    if terms.kind == Game.Kind.RAFFLE and terms.stake_cents == 0:
        raise GameRefused("Write the price of a ticket.")


def _facts(terms: Terms, name: str, codes: tuple[str, ...]) -> dict[str, Any]:
    hole = terms.layout_hole
    return {
        "kind": terms.kind,
        "name": name.strip()[:60],
        "round": terms.round,
        "layout_hole": hole,
        "place": f"hole {hole.label}, {hole.layout}"[:80] if hole else "",
        "divisions": list(codes),
        "addon": terms.addon,
        "stake_cents": terms.stake_cents,
        "prize": terms.prize.strip()[:120],
        "winners": terms.winners,
        "pays_percent": terms.pays_percent,
        "rest_to": terms.rest_to.strip()[:60] or "the next event",
    }


def _words(game: Game) -> dict[str, Any]:
    currency = game.event.currency
    return {
        "kind": game.get_kind_display(),
        "name": game.name,
        "round": game.round.number if game.round else "all",
        "where": game.place,
        "divisions": game.divisions or "all",
        "in by": game.addon.name if game.addon else "",
        "stake": money_text(game.stake_cents, currency),
        "prize": game.prize,
        "pays": f"{game.pays_percent} %",
        "rest to": game.rest_to,
    }
