"""Reading the event's money: facts from every room, put together once."""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from django.db.models import Count, Q, Sum

from events.entries.models import IN_THE_FIELD, Entry, EntryAddOn, Payment, Status
from events.entries.queries import with_money
from events.rulebook.loader import Rulebook
from events.setup.models import AddOn, Event
from events.setup.queries import rulebook_for
from scoring.games.queries import games_of
from scoring.games.queries import open_points as game_points
from scoring.games.states import GameState
from scoring.money.denominations import sum_of
from scoring.money.fees import due_on, per_player_fee, sanction_fee
from scoring.money.models import BoxCount, MoneyLine
from scoring.money.prize_money import prize_money
from scoring.money.statement import (
    EntryMoney,
    Facts,
    OwnLine,
    PotMoney,
    Statement,
    statement_of,
)
from scoring.money.unsettled import Asked, open_points
from scoring.prizes.planning import published

Category = MoneyLine.Category
INCOME = (Category.ADDED_CASH, Category.DONATION, Category.SALES, Category.OTHER_IN)
CASH = Payment.Method.CASH
NOT_LET_IN = (Status.APPLIED, Status.WAITLISTED)
STAYING = (*IN_THE_FIELD, *NOT_LET_IN)
# Add-ons that are collected for somebody else, with the category of the line that passes them on.
PASSED_ON = {
    AddOn.Kind.GREENS: Category.GREENS,
    AddOn.Kind.SERIES: Category.SERIES,
    AddOn.Kind.TD_FEE: Category.TD_FEE,
    AddOn.Kind.MEMBERSHIP: Category.MEMBERSHIP,
}


def statement(event: Event) -> Statement:
    """The event's money on one page (8 queries, and those of `games_of` and `awards_of`)."""
    return statement_of(facts_of(event))


def facts_of(event: Event) -> Facts:
    """What the statement and the cash box are worked out from (as many queries)."""
    entries: list[Any] = list(
        with_money(Entry.objects.filter(event=event))
        .select_related("division", "person")
        .order_by("division__order", "pk")
    )
    field = [entry for entry in entries if entry.status in IN_THE_FIELD]
    own = list(MoneyLine.objects.filter(event=event).order_by("category", "pk"))
    games = games_of(event)
    rules = rulebook_for(event)
    counts = latest_counts(event)
    fees = (
        (Category.PER_PLAYER.value, per_player_fee(rules, event.tier, len(field), event.rounds.count())),
        (Category.SANCTION.value, sanction_fee(rules, event.tier)),
    )
    facts = Facts(
        entries=_entry_money(event, entries, field),
        own=tuple(_own(line) for line in own),
        pots=tuple(_pot(state) for state in games),
        prizes=prize_money(event),
        fees=fees,
        passes=_passes(event, rules, len(field)),
        counted=counts[BoxCount.Kind.CLOSING].differences if BoxCount.Kind.CLOSING in counts else {},
        methods=dict(Payment.Method.choices),
    )
    asked = Asked(
        facts=facts,
        due_on=due_on(rules, event.tier, event.ends_on),
        gone=[_name(entry) for entry in entries if entry.status not in STAYING and entry.paid > 0],
        owing=[_name(entry) for entry in field if entry.owed > 0],
        receipts=[line.receipt for line in own if line.receipt and line.undoes_id is None],
        counted=counts.get(BoxCount.Kind.CLOSING),
        opened=BoxCount.Kind.OPENING in counts,
        expected=_expected(facts, counts),
        currency=event.currency,
    )
    games_open = [sentence for state in games for sentence in game_points(state)]
    return replace(facts, open=(*open_points(asked), *games_open))


def expected_now(event: Event) -> dict[str, int]:
    """Method → cents that should be here now; cash with the float (as many queries as the statement)."""
    return _expected(facts_of(event), latest_counts(event))


def _expected(facts: Facts, counts: dict[str, BoxCount]) -> dict[str, int]:
    expected = facts.by_method
    opening = counts.get(BoxCount.Kind.OPENING)
    expected[CASH] += sum_of(opening.pieces) if opening else 0
    return expected


def latest_counts(event: Event) -> dict[str, BoxCount]:
    """Kind → its newest count (1 query)."""
    return {count.kind: count for count in BoxCount.objects.filter(event=event).order_by("pk")}


def lines_of(event: Event) -> list[MoneyLine]:
    """Every own line with what it undoes, newest first (1 query)."""
    rows = MoneyLine.objects.filter(event=event).select_related("undone_by")
    return list(rows.order_by("-on", "-pk"))


def _entry_money(event: Event, entries: Sequence[Any], field: Sequence[Any]) -> EntryMoney:
    """2 queries."""
    players = Counter(entry.division.code for entry in field)
    fees: dict[str, int] = defaultdict(int)
    for entry in field:
        fees[entry.division.code] += entry.fee_cents
    return EntryMoney(
        fees=tuple((f"fees {code}, {_people(players[code])}", cents) for code, cents in fees.items()),
        addons=_addons(event),
        owed=sum(max(entry.owed, 0) for entry in field),
        overpaid=sum(max(-entry.owed, 0) for entry in field),
        waiting=sum(entry.paid for entry in entries if entry.status in NOT_LET_IN),
        gone=sum(entry.paid for entry in entries if entry.status not in STAYING),
        ways=_ways(event),
        before=sum(entry.paid_elsewhere_cents for entry in entries),
    )


def _people(count: int) -> str:
    return f"{count} player" if count == 1 else f"{count} players"


def _addons(event: Event) -> tuple[tuple[str, int], ...]:
    rows = (
        EntryAddOn.objects.filter(entry__event=event, entry__status__in=IN_THE_FIELD, addon__included=False)
        .values("addon__name", "addon__fee_cents")
        .annotate(count=Count("pk"))
        .order_by("addon__name")
    )
    return tuple(
        (f"{row['addon__name']}, {row['count']} sold", row["count"] * row["addon__fee_cents"]) for row in rows
    )


def _ways(event: Event) -> dict[str, tuple[int, int]]:
    """Method → taken less undone, paid back; a payment and what undoes it cancel each other."""
    rows = (
        Payment.objects.filter(entry__event=event)
        .values("method")
        .annotate(
            taken=Sum("amount_cents", filter=Q(amount_cents__gt=0) | Q(undoes__isnull=False)),
            back=Sum("amount_cents", filter=Q(amount_cents__lt=0, undoes__isnull=True)),
        )
        .order_by("method")
    )
    return {row["method"]: (row["taken"] or 0, -(row["back"] or 0)) for row in rows}


def _passes(event: Event, rules: Rulebook, players: int) -> tuple[tuple[str, str, int], ...]:
    """What was collected for others, by add-on: sold to those in the field, or part of every fee (1 query).

    Of a TD fee inside the entry fee only the tier's per-player fee passes: the rest is in the net entry, and so in the
    purse (Competition Manual 2025, 5.04.A).
    """
    limit = published(rules, f"tier.per_player_fee_cents.{event.tier}")
    sold = Count("sold", filter=Q(sold__entry__status__in=IN_THE_FIELD))
    addons = AddOn.objects.filter(event=event, kind__in=PASSED_ON).annotate(count=sold).order_by("name")
    sums: dict[str, int] = defaultdict(int)
    for addon in addons:
        kind = PASSED_ON[AddOn.Kind(addon.kind)]
        cents = addon.fee_cents
        if addon.included and addon.kind == AddOn.Kind.TD_FEE and limit is not None:
            cents = min(cents, limit)
        sums[kind] += cents * (players if addon.included else addon.count)
    return tuple((kind, Category(kind).label, cents) for kind, cents in sums.items())


def _own(line: MoneyLine) -> OwnLine:
    return OwnLine(
        line.category,
        line.get_category_display(),
        line.category in INCOME,
        line.amount_cents,
        line.method,
        line.who,
    )


def _pot(state: GameState) -> PotMoney:
    taken: dict[str, int] = defaultdict(int)
    for line in state.lines:
        taken[line.method] += line.amount_cents
    handed: dict[str, int] = defaultdict(int)
    for award in state.awards:
        if award.handed_at is not None:
            handed[award.method or CASH] += award.amount_cents
    words = f"pot, rest to {state.game.rest_to}" if state.settled else "pot"
    return PotMoney(state.game.name, taken, handed, state.pot.held, words)


def _name(entry: Any) -> str:
    return str(entry.person.name)
