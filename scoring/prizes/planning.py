"""Reading the prizes: the plan of every division with its working, the posted payout, the fees that pass through."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from events.entries.models import Entry, Status
from events.entries.statuses import STATUS_WORDS
from events.paper.text import money as amount
from events.rulebook.divisions import division as division_of
from events.rulebook.loader import Rulebook
from events.setup.models import AddOn, Division, Event
from events.setup.overview import moment_text
from events.setup.queries import rulebook_for
from scoring.prizes.models import DivisionPlan, Payout, PrizePlan, TakenTable
from scoring.prizes.place_tables import PlaceTable, restored
from scoring.prizes.purse import Passed, added_shares, net_entry
from scoring.prizes.shares import percent_up
from scoring.prizes.working import Choices, Working, fee_lines, work_out

# Headcount and fee count: those who play or played, with who left or was disqualified (5.06.A, B, D).
IN_PAYOUT = tuple(word.status for word in STATUS_WORDS.values() if word.in_payout)


@dataclass(frozen=True, slots=True)
class EventPurse:
    """The prizes as they are planned now. `passed`: fees inside the entry fee; `posted`: the newest payout, if any;
    `warnings`: what the rules ask of the event as a whole."""

    event: Event
    book: Rulebook
    plan: PrizePlan | None
    passed: tuple[Passed, ...]
    divisions: tuple[Working, ...]
    posted: Payout | None
    warnings: tuple[str, ...]

    @property
    def added(self) -> int:
        return self.plan.added_cents if self.plan is not None else 0

    @property
    def added_in(self) -> int:
        """As much of the added cash as is in the purses."""
        return sum(each.purse.added for each in self.divisions)

    @property
    def cents(self) -> int:
        """All purses together, amateur value included."""
        return sum(each.purse.cents for each in self.divisions)

    def of(self, code: str) -> Working | None:
        return next((each for each in self.divisions if each.code == code), None)


def purse_of(event: Event) -> EventPurse:
    """Every division that is offered, in the order of the plan (6 queries)."""
    book = rulebook_for(event)
    plan = PrizePlan.objects.filter(event=event).first()
    offered = _offered(event)
    fees = _fees(event)
    passed = tuple(
        Passed(addon.name, addon.kind, addon.fee_cents)
        for addon in AddOn.objects.filter(event=event, included=True).order_by("kind", "name")
    )
    added = added_shares(
        plan.added_cents if plan is not None else 0,
        {each.code: sum(fees[each.pk]) for each in offered if division_of(book, each.code).professional},
    )
    limit = published(book, f"tier.per_player_fee_cents.{event.tier}")
    divisions = tuple(
        work_out(
            division_of(book, each.code),
            choices_of(each),
            fee_lines(fees[each.pk], passed, limit),
            tier=event.tier,
            added=added.get(each.code, 0),
            book=book,
        )
        for each in offered
    )
    warnings = tuple(_event_warnings(event, plan, divisions, passed, book))
    return EventPurse(event, book, plan, passed, divisions, posted_payout(event), warnings)


def published(book: Rulebook, key: str) -> int | None:
    """A figure of the rulebook; None where none is published for this tier and region."""
    found = book.get(key) if book.has(key) else None
    return found if isinstance(found, int) else None


def _offered(event: Event) -> list[Division]:
    """Divisions that are played, with their plans and tables (1 query)."""
    rows = Division.objects.filter(event=event, dropped_at=None)
    return list(rows.select_related("prize_plan__table").order_by("order", "code"))


def _fees(event: Event) -> Mapping[int, list[int]]:
    """Gross fees that count in the payout, by division (1 query)."""
    found: dict[int, list[int]] = defaultdict(list)
    rows = Entry.objects.filter(event=event, status__in=IN_PAYOUT)
    for division, cents in rows.values_list("division_id", "fee_cents"):
        found[division].append(cents)
    return found


def fees_of_absent(purse: EventPurse, division: Division) -> tuple[int, int]:
    """How many of a division did not play, and their net entry in cents: out of the count (5.06.A), it may be given to
    the division as added cash (1 query)."""
    rows = Entry.objects.filter(division=division, status=Status.DID_NOT_PLAY)
    limit = published(purse.book, f"tier.per_player_fee_cents.{purse.event.tier}")
    fees = list(rows.values_list("fee_cents", flat=True))
    return len(fees), sum(net_entry(fee, purse.passed, per_player_limit=limit).net for fee in fees)


def choices_of(division: Division) -> Choices:
    """What was chosen for a division (no query where its plan was read with it)."""
    plan: DivisionPlan | None = getattr(division, "prize_plan", None)
    if plan is None:
        return Choices()
    return Choices(
        method=plan.method,
        table=table_of(plan.table) if plan.table is not None else None,
        curve_first_percent=plan.curve_first_percent,
        curve_last=plan.curve_last_cents,
        unit=plan.unit_cents,
        share=plan.share_percent,
        fixed=plan.fixed_cents,
        extra=plan.extra_cents,
        extra_note=plan.extra_note,
        places=plan.places,
        pack=plan.pack_cents,
        true_amateur=plan.true_amateur,
        trophies=plan.trophies,
        amateur_kind=plan.amateur_kind,
    )


def table_of(row: TakenTable) -> PlaceTable:
    return PlaceTable(row.name, row.source, restored(row.rows))


def posted_payout(event: Event) -> Payout | None:
    """The newest version (1 query)."""
    return Payout.objects.filter(event=event).order_by("-number").first()


def _event_warnings(
    event: Event,
    plan: PrizePlan | None,
    divisions: tuple[Working, ...],
    passed: tuple[Passed, ...],
    book: Rulebook,
) -> list[str]:
    said = []
    if passed and (plan is None or plan.fees_published_at is None):
        said.append("Say when the fees inside the entry fee were published: before entry opens (5.04.A).")
    professional = [each for each in divisions if each.professional and each.money.players]
    added = plan.added_cents if plan is not None else 0
    least, source = _least_added(event, professional, book)
    if professional and added < least:
        said.append(f"Added cash is {amount(added)}; the tier asks for {amount(least)} ({source}).")
    left = added - sum(each.purse.added for each in divisions)
    if left:
        said.append(
            f"{amount(left)} of the added cash is in no purse: it follows the entry fees of the professional divisions"
            " (Competition Manual 2025, 1.10.C). Where there are none, or a purse is fixed, add it by hand."
        )
    key = f"prize.pro_purse_cents.{event.tier}"
    floor = published(book, key)
    if professional and floor is not None:
        total, rule = sum(each.purse.cents for each in professional), book.value(key)
        if total < floor:
            said.append(
                f"The professional purse is {amount(total)}; {amount(floor)} is the least ({rule.citation})."
            )
    return said


def _least_added(event: Event, professional: list[Working], book: Rulebook) -> tuple[int, str]:
    """What the tier asks the event to add, by amount or by share of the professional net entry, and where."""
    for key in (f"prize.added_cents.{event.tier}", f"prize.added_percent.{event.tier}"):
        figure = published(book, key)
        if figure is not None:
            net = sum(each.money.net for each in professional)
            cents = figure if key.startswith("prize.added_cents") else percent_up(figure, net)
            return cents, book.value(key).citation
    return 0, ""


def posting_warning(event: Event, book: Rulebook, now: datetime) -> str:
    """The warning that the payout was, or will be, posted after the last round began; "" if none is due (2 queries)."""
    rounds = list(event.rounds.order_by("number"))
    if len(rounds) < book.int("prize.posted_from_rounds"):
        return ""
    begins = max(each.first_start_at for each in rounds)
    source = book.value("prize.posted_from_rounds").source
    first = Payout.objects.filter(event=event).order_by("number").values_list("posted_at", flat=True).first()
    if first is None and now < begins:
        return f"Post the payout before the last round, {moment_text(event, begins)} ({source})."
    if first is None or first >= begins:
        return (
            f"The payout was not posted before the last round began, {moment_text(event, begins)} ({source})."
        )
    return ""
