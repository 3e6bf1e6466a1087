"""A published round on paper: from the sheet to cards, spare cards and tee sheets."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from events.course.hazards import NOTHING, Hazards, hazards_on, short_words
from events.course.queries import LayoutFacts
from events.draw import prints
from events.draw.changes import Change, Kind, compare
from events.draw.models import Sheet
from events.draw.prints import CardHole, CardPlayer, CardSheet, TeeGroup, TeePlayer
from events.draw.queries import GroupView, Member, SheetView, lines_of, view_of
from events.paper.page import EventHead
from events.setup.models import CardsPrinted, Event, Round
from events.setup.overview import days_text
from events.setup.queries import rulebook_for

# What can be printed, with its words; the first is everything in one.
PAPERS = (
    ("round", "Print the whole round"),
    ("cards", "score cards"),
    ("spares", "spare cards"),
    ("time", "tee sheet by time"),
    ("name", "tee sheet by name"),
)
GROUPS_PER_SPARE = (
    6  # spare cards of a layout: one for so many groups, two at least (common practice, no source)
)
FEWEST_SPARES = 2

Address = Callable[[int], str]  # group number -> what the QR code of its card opens


@dataclass(frozen=True, slots=True)
class Papers:
    """One published sheet ready for print. `changes` are against the version before it."""

    view: SheetView
    address: Address
    printed: str
    copies: CardsPrinted
    changes: tuple[Change, ...] = ()
    hazards: Hazards = NOTHING

    def pdf(self, what: str) -> bytes:
        """The bytes of one of PAPERS. Raises KeyError for anything else."""
        makers: Mapping[str, Callable[[], bytes]] = {
            "round": self._round,
            "cards": lambda: prints.score_cards(self._head, self.cards(), **self._foot),
            "spares": lambda: prints.score_cards(self._head, self.spares(), printed=self.printed),
            "time": lambda: prints.tee_sheet_by_time(
                self._head, self.groups(), subtitle=self._subtitle, **self._foot
            ),
            "name": lambda: prints.tee_sheet_by_name(
                self._head, self.groups(), subtitle=self._subtitle, **self._foot
            ),
        }
        return makers[what]()

    def name(self, what: str) -> str:
        """A file name: quiet-pines-round-1-cards.pdf."""
        part = "" if what == "round" else f"-{what}"
        return f"{self._event.slug}-round-{self.view.sheet.round.number}{part}.pdf"

    def _round(self) -> bytes:
        return prints.whole_round(
            self._head,
            cards=self.cards(),
            groups=self.groups(),
            spares=self.spares(),
            subtitle=self._subtitle,
            **self._foot,
        )

    def cards(self) -> tuple[CardSheet, ...]:
        """As many cards as the event prints: for each group, two of each, or one for each player."""
        cards = [self._card(group) for group in self.view.groups]
        if self.copies == CardsPrinted.GROUP:
            return tuple(cards)
        if self.copies == CardsPrinted.TWO:
            return tuple(replace(card, copy_label=f"card {n} of 2") for card in cards for n in (1, 2))
        return tuple(copy for card in cards for copy in prints.copies_per_player(card))

    def spares(self) -> tuple[CardSheet, ...]:
        """Blank cards of each layout in play, for the coffee that gets spilt."""
        cards: list[CardSheet] = []
        for layout in dict.fromkeys(group.layout for group in self.view.groups):
            facts = self.view.layouts[layout]
            groups = sum(group.layout == layout for group in self.view.groups)
            spare = prints.spare_card(
                self._holes(facts),
                round_number=self.view.sheet.round.number,
                date_text=self._date,
                layout_name=facts.name,
            )
            spare = replace(spare, course_note=short_words(self.hazards.course))
            cards += [spare] * max(FEWEST_SPARES, -(-groups // GROUPS_PER_SPARE))
        return tuple(cards)

    def groups(self) -> tuple[TeeGroup, ...]:
        """The tee sheet, pool by pool in the order of the starts."""
        started = {change.keys: change.before for change in self.changes if change.kind is Kind.START}
        moved = {
            key: change.before or "new"
            for change in self.changes
            if change.kind in {Kind.MOVED, Kind.ADDED}
            for key in change.keys
        }
        several = len({group.layout for group in self.view.groups}) > 1
        return tuple(
            TeeGroup(
                group_number=str(group.number),
                time_text=self._time(group),
                start_label=group.label,
                players=tuple(_tee_player(member, moved) for member in group.members),
                pool=self._pool(group),
                layout_name=self.view.layouts[group.layout].name if several else "",
                note=_group_note(group, started),
            )
            for group in sorted(self.view.groups, key=self._order)
        )

    def _card(self, group: GroupView) -> CardSheet:
        facts = self.view.layouts[group.layout]
        return CardSheet(
            group_number=str(group.number),
            start_label=group.label,
            time_text=self._time(group),
            start_kind="tee time" if group.tee_times else "shotgun",
            round_number=self.view.sheet.round.number,
            date_text=self._date,
            pool=self._pool(group),
            layout_name=facts.name,
            holes=prints.playing_order(self._holes(facts), group.label),
            players=tuple(_card_player(member) for member in group.members),
            url=self.address(group.number),
            course_note=short_words(self.hazards.course),
        )

    def _holes(self, facts: LayoutFacts) -> tuple[CardHole, ...]:
        """The holes with their notes, and beside them the hazards that are meant for the card."""
        notes = {hole.id: short_words(self.hazards.by_hole.get(hole.id, ())) for hole in facts.holes}
        return tuple(
            CardHole(
                hole.label, hole.par, hole.length_m, "; ".join(filter(None, (hole.note, notes[hole.id])))
            )
            for hole in facts.holes
        )

    def _order(self, group: GroupView) -> tuple[object, ...]:
        first = min(other.starts_at for other in self.view.groups if other.pool == group.pool)
        return (first, group.pool, group.starts_at, group.layout, group.position, group.second)

    @property
    def _event(self) -> Event:
        return self.view.sheet.round.event

    @property
    def _head(self) -> EventHead:
        event = self._event
        return EventHead(
            name=event.name,
            place=", ".join(filter(None, (event.venue, event.place))),
            dates_text=days_text(event.starts_on, event.ends_on),
            currency=event.currency,
            units="ft" if event.units == "ft" else "m",
            paper="Letter" if event.paper == "Letter" else "A4",
        )

    @property
    def _foot(self) -> dict[str, str]:
        return {"printed": self.printed, "version": f"version {self.view.sheet.version}"}

    @property
    def _date(self) -> str:
        day = self.view.sheet.round.date
        return f"{day:%A} {day.day} {day:%B}"

    @property
    def _subtitle(self) -> str:
        return f"round {self.view.sheet.round.number}, {self._date}"

    def _pool(self, group: GroupView) -> str:
        several = len({other.pool for other in self.view.groups}) > 1
        return f"Pool {group.pool}" if several else ""

    def _time(self, group: GroupView) -> str:
        return f"{self._event.local(group.starts_at):%H:%M}"


def papers_of(
    sheet: Sheet, round: Round, group_path: Callable[[int], str], site: str, now: datetime
) -> Papers:
    """The papers of a published sheet, with the changes against the version before it (7 queries; 9 with one;
    2 more where a hazard note is meant for the card).

    `group_path(number)` is the path of a group's page, `site` the address under which phones reach this desk,
    without a slash at its end.
    """
    sheet.round = round
    view = view_of(sheet)
    before = Sheet.objects.filter(round=round, version__lt=sheet.version).order_by("-version").first()
    changes: tuple[Change, ...] = ()
    if before is not None:
        before.round = round
        changes = compare(lines_of(view_of(before, view.layouts)), lines_of(view))
    return Papers(
        view=view,
        address=lambda group: site + group_path(group),
        printed=f"printed {round.event.local(now):%a %H:%M}",
        copies=copies_of(round.event),
        changes=changes,
        hazards=hazards_on(
            round.event, [hole.id for facts in view.layouts.values() for hole in facts.holes], "card", now
        ),
    )


def copies_of(event: Event) -> CardsPrinted:
    """How many cards a group gets; where the event leaves it to the region, what the manual asks (1.05.G, 6.03.D)."""
    chosen = CardsPrinted(event.cards)
    if chosen is not CardsPrinted.REGION:
        return chosen
    for_each_player = rulebook_for(event).has("cards.for_each_player")
    return CardsPrinted.PLAYER if for_each_player else CardsPrinted.TWO


def _card_player(member: Member) -> CardPlayer:
    number = str(member.member_number) if member.member_number is not None else None
    return CardPlayer(member.name, member.division, number)


def _tee_player(member: Member, moved: Mapping[int, str]) -> TeePlayer:
    before = moved.get(member.entry_id, "")
    note = before if before in {"", "new"} else f"was {before}"
    return TeePlayer(member.name, member.division, member.listed, note)


def _group_note(group: GroupView, started: Mapping[tuple[int, ...], str]) -> str:
    before = started.get(tuple(member.entry_id for member in group.members), "")
    return "; ".join(
        filter(None, ("second group" if group.second else "", f"was {before}" if before else ""))
    )
