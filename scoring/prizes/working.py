"""A division's purse from its first fee to its last place, with everything that a player may ask about. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from events.paper.text import money as amount
from events.rulebook.divisions import Division
from events.rulebook.loader import Rulebook
from events.rulebook.values import RuleValue
from scoring.prizes.depth import places_at_least, trophies_for
from scoring.prizes.ladder import Ladder, NoLadder, by_curve, by_table
from scoring.prizes.place_tables import PlaceTable
from scoring.prizes.purse import DivisionMoney, NetEntry, Passed, Purse, net_entry, pack_each, purse
from scoring.prizes.shares import percent_up

WHOLE = 100
TRUE_AMATEUR_TIERS = "prize.true_amateur_tiers"
NO_WAY = "Choose a table or a curve: none is chosen."
NO_DEPTH = "No depth is published for this tier: write how many places are paid."


@dataclass(frozen=True, slots=True)
class Choices:
    """What the director chose for a division; None and 0: nothing, so the rules decide. Money in cents."""

    method: str = ""
    table: PlaceTable | None = None
    curve_first_percent: int | None = None
    curve_last: int = 0
    unit: int = 1
    share: int | None = None
    fixed: int | None = None
    extra: int = 0
    extra_note: str = ""
    places: int | None = None
    pack: int = 0
    true_amateur: bool = False
    trophies: int | None = None
    amateur_kind: str = "merchandise"


@dataclass(frozen=True, slots=True)
class FeeLine:
    """`count` entries of the same gross fee."""

    count: int
    entry: NetEntry


@dataclass(frozen=True, slots=True)
class Working:
    """One division's purse. `ladder` is None with the reason in `problem`; `rules` are those that were asked, by what
    they decided; `warnings` are sentences of what the rules advise otherwise."""

    code: str
    name: str
    professional: bool
    choices: Choices
    fees: tuple[FeeLine, ...]
    money: DivisionMoney
    purse: Purse
    least_places: int
    places: int
    trophies: int
    ladder: Ladder | None
    problem: str
    rules: Mapping[str, RuleValue]
    warnings: tuple[str, ...]

    @property
    def gross(self) -> int:
        return sum(line.count * line.entry.gross for line in self.fees)

    @property
    def passed(self) -> int:
        """What passes through all entries of the division; never more than they paid."""
        return self.gross - self.money.net


def fee_lines(fees: Sequence[int], passed: Sequence[Passed], limit: int | None) -> tuple[FeeLine, ...]:
    """The entries of a division by their gross fee, the highest first."""
    return tuple(
        FeeLine(fees.count(gross), net_entry(gross, passed, per_player_limit=limit))
        for gross in sorted(set(fees), reverse=True)
    )


def work_out(
    division: Division, choices: Choices, fees: tuple[FeeLine, ...], *, tier: str, added: int, book: Rulebook
) -> Working:
    """The purse and its ladder. `tier` as the event says it; `added`: the division's part of the added cash."""
    rules = _rules(division.professional, tier, book)
    players = sum(line.count for line in fees)
    money = _money(division, choices, fees, added=added, rules=rules)
    true_amateur = choices.true_amateur and not division.professional
    paid = Purse(0, 0, 0, 0) if true_amateur else purse(money)
    depth = rules.get("depth")
    least = places_at_least(players, _figure(depth)) if depth is not None and not true_amateur else 0
    places = 0 if true_amateur else min(players, choices.places or least)
    trophies = choices.trophies
    if trophies is None:
        trophies = trophies_for(players, book.rows("prize.trophies")) if true_amateur else 0
    ladder, problem = _ladder(paid.cents, choices, places)
    if paid.cents and not places:
        ladder, problem = None, NO_DEPTH
    if true_amateur or not players:
        ladder, problem = Ladder((), "trophies only" if true_amateur else "nobody is entered", ""), ""
    return Working(
        code=division.code,
        name=division.name,
        professional=division.professional,
        choices=choices,
        fees=fees,
        money=money,
        purse=paid,
        least_places=least,
        places=places,
        trophies=trophies,
        ladder=ladder,
        problem=problem,
        rules=rules,
        warnings=tuple(_warnings(division, choices, fees, money, paid, least, rules)),
    )


def _rules(professional: bool, tier: str, book: Rulebook) -> dict[str, RuleValue]:
    """The rules that bear on a division, where one is published for the tier and region."""
    kind = "pro" if professional else "am"
    keys = {"share": f"prize.{kind}_percent.{tier}", "depth": f"prize.{kind}_depth_percent.{tier}"}
    if not professional:
        keys["pack"] = f"prize.pack_cents.{tier}"
        if book.has(TRUE_AMATEUR_TIERS) and tier in book.words(TRUE_AMATEUR_TIERS):
            keys["true_amateur"] = TRUE_AMATEUR_TIERS
    return {name: book.value(key) for name, key in keys.items() if book.has(key)}


def _figure(rule: RuleValue | None) -> int:
    return rule.value if rule is not None and isinstance(rule.value, int) else 0


def _money(
    division: Division,
    choices: Choices,
    fees: tuple[FeeLine, ...],
    *,
    added: int,
    rules: Mapping[str, RuleValue],
) -> DivisionMoney:
    """Unless the director says otherwise the share is the rules' own, for professionals without the added cash that
    a major's share holds, and all of the net entry where no share is published."""
    share = rules.get("share")
    least = _figure(share) if share is not None else None
    usual = WHOLE if least is None else min(WHOLE, least) if division.professional else least
    players = sum(line.count for line in fees)
    return DivisionMoney(
        players=players,
        net=sum(line.count * line.entry.net for line in fees),
        share=usual if choices.share is None else choices.share,
        minimum=least,
        professional=division.professional,
        added=added,
        extra=choices.extra,
        packs=players * choices.pack,
        fixed=choices.fixed,
    )


def _ladder(cents: int, choices: Choices, places: int) -> tuple[Ladder | None, str]:
    try:
        if choices.method == "table" and choices.table is not None:
            return by_table(cents, choices.table, places), ""
        if choices.method == "curve":
            percent = choices.curve_first_percent
            first = None if percent is None else Fraction(percent)
            return by_curve(cents, first_percent=first, last=choices.curve_last, places=places), ""
    except NoLadder as refused:
        return None, str(refused)
    if places == 1:
        return Ladder((cents,), "one place takes the whole purse", ""), ""
    return None, NO_WAY


def _warnings(
    division: Division,
    choices: Choices,
    fees: tuple[FeeLine, ...],
    money: DivisionMoney,
    paid: Purse,
    least: int,
    rules: Mapping[str, RuleValue],
) -> list[str]:
    said = list(dict.fromkeys(problem for line in fees for problem in line.entry.problems))
    if choices.true_amateur and division.professional:
        said.append("Trophies alone are for amateur divisions: the purse is paid.")
    if choices.true_amateur and not division.professional:
        return said + _true_amateur_warnings(money, rules)
    if "true_amateur" in rules and not division.professional:
        said.append(f"Amateurs have packs and trophies only at this tier ({rules['true_amateur'].citation}).")
    if paid.short and "share" in rules:
        rule = rules["share"]
        said.append(
            f"The purse is {amount(paid.short)} below {_figure(rule)} % of the net entry ({rule.citation})."
        )
    if choices.places is not None and choices.places < least and "depth" in rules:
        rule = rules["depth"]
        said.append(f"{choices.places} places are paid; {_figure(rule)} % are {least} ({rule.citation}).")
    pack = rules.get("pack")
    if pack is not None and money.players and choices.pack < _figure(pack):
        said.append(f"Each pack is to be worth {amount(_figure(pack))} at retail at least ({pack.citation}).")
    return said


def _true_amateur_warnings(money: DivisionMoney, rules: Mapping[str, RuleValue]) -> list[str]:
    """All the prize value of a true amateur division is in its packs (2.06)."""
    share = rules.get("share")
    needed = percent_up(_figure(share), money.net)
    if share is None or money.packs >= needed:
        return []
    each = amount(pack_each(needed, money.players))
    return [
        f"The packs together are to be worth {amount(needed)} at retail, {each} each"
        f" (Competition Manual 2025, 2.06; {share.section})."
    ]
