"""What the pages of the prizes show: lines with their amounts in words."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from events.paper.text import money
from events.rulebook.divisions import division as division_of
from events.rulebook.loader import in_force
from events.setup.models import Event
from scoring.prizes.awards import DivisionAwards
from scoring.prizes.models import UNITS, Payout
from scoring.prizes.place_tables import figure_text
from scoring.prizes.planning import EventPurse
from scoring.prizes.posting import Base, base_of, bases_in, changed_since
from scoring.prizes.shares import percent_of, percent_words
from scoring.prizes.splitting import Share
from scoring.prizes.working import NO_WAY, Working


def tabs(event: Event, here: str) -> list[dict[str, Any]]:
    pages = (
        ("overview", "Purse"),
        ("hand_out", "Hand out"),
        ("tables", "Tables of places"),
    )
    return [
        {"label": label, "url": reverse(f"prizes:{name}", args=[event.slug]), "current": name == here}
        for name, label in pages
    ]


# --- The purse of every division --------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class PurseLine:
    """A division in the overview; amounts as text, `needs` says what somebody has to do."""

    code: str
    name: str
    players: int
    net: str
    purse: str
    places: str
    first: str
    by: str
    needs: str
    warnings: int


def purse_lines(purse: EventPurse) -> list[PurseLine]:
    return [_purse_line(each) for each in purse.divisions]


def _purse_line(working: Working) -> PurseLine:
    base = base_of(working)
    prizes = base.without_ties if base is not None else ()
    trophies = "1 trophy" if working.trophies == 1 else f"{working.trophies} trophies"
    trophy_only = working.choices.true_amateur and not working.professional
    return PurseLine(
        code=working.code,
        name=working.name,
        players=working.money.players,
        net=money(working.money.net),
        purse=trophies if trophy_only else money(working.purse.cents),
        places="" if trophy_only else str(working.places),
        first=money(prizes[0]) if prizes else "",
        by=_way(working),
        needs="no way chosen" if working.problem == NO_WAY else working.problem,
        warnings=len(working.warnings),
    )


def _way(working: Working) -> str:
    choices = working.choices
    if choices.method == "table" and choices.table is not None:
        return choices.table.name
    if choices.method == "curve":
        return "smooth curve"
    return working.ladder.words if working.ladder is not None else ""


def posted_words(event: Event, payout: Payout | None) -> str:
    if payout is None:
        return "not posted"
    local = event.local(payout.posted_at)
    return f"version {payout.number}, {local.day} {local:%b %H:%M}"


# --- One division, with its working ------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class WorkLine:
    """One step of the working: a sentence, the amount it comes to, where the rule stands."""

    words: str
    amount: str
    source: str = ""
    total: bool = False


def money_lines(working: Working, purse: EventPurse) -> list[WorkLine]:
    """From the entry fees to the purse, one step a line."""
    lines = [
        WorkLine(f"{line.count} × entry fee {money(line.entry.gross)}", money(line.count * line.entry.gross))
        for line in working.fees
    ]
    if working.passed:
        fees = ", ".join(f"{each.name} {money(each.cents)}" for each in _passing(working))
        lines.append(
            WorkLine(f"passed through: {fees}", money(-working.passed), "Competition Manual 2025, 5.04.A")
        )
    lines.append(WorkLine("net entry", money(working.money.net), total=True))
    if working.choices.true_amateur and not working.professional:
        return lines
    return [*lines, *_purse_steps(working, purse)]


def _passing(working: Working) -> Iterable[Any]:
    return working.fees[0].entry.passed if working.fees else ()


def _purse_steps(working: Working, purse: EventPurse) -> list[WorkLine]:
    found, paid, rule = working.money, working.purse, working.rules.get("share")
    lines = []
    if found.fixed is None:
        chosen = "the director’s choice" if working.choices.share is not None else ""
        source = chosen or (rule.citation if rule is not None else "no share is published for this tier")
        lines.append(WorkLine(f"{found.share}\N{NO-BREAK SPACE}% returned", money(paid.returned), source))
        if found.packs and not found.professional:
            words = f"packs at retail, {found.players} × {money(working.choices.pack)}"
            lines.append(
                WorkLine(words, money(-min(found.packs, paid.returned)), "Competition Manual 2025, 5.04.C")
            )
        if found.added:
            words = f"of {money(purse.added)} added cash, by the entry fees of the pro divisions"
            lines.append(WorkLine(words, money(found.added), "Competition Manual 2025, 1.10.C"))
        if found.extra:
            lines.append(
                WorkLine(f"added to this division: {working.choices.extra_note}", money(found.extra))
            )
    else:
        lines.append(WorkLine("set by the director", money(found.fixed)))
    lines.append(WorkLine("purse" if found.professional else "prizes", money(paid.cents), total=True))
    if rule is not None:
        least = f"at least {rule.value}\N{NO-BREAK SPACE}% of net entry"
        if found.packs and not found.professional:
            least += ", less the packs"
        lines.append(WorkLine(least, money(paid.required), rule.citation))
    if found.packs and found.professional:
        words = f"packs beside it, {found.players} × {money(working.choices.pack)}: extra, not purse"
        lines.append(WorkLine(words, money(found.packs), "Competition Manual 2025, 5.04.C"))
    return lines


def depth_line(working: Working) -> WorkLine:
    rule = working.rules.get("depth")
    places = f"{working.places} place{'' if working.places == 1 else 's'} paid"
    if rule is None:
        return WorkLine(f"{places}: no depth is published for this tier", str(working.places))
    least = (
        f"{rule.value}\N{NO-BREAK SPACE}% of {working.money.players}, rounded up, is {working.least_places}"
    )
    return WorkLine(f"{places}; {least}", str(working.places), rule.citation)


@dataclass(frozen=True, slots=True)
class Rung:
    """One place of the ladder and who takes its prize; `players` is empty before there are places."""

    place: int
    percent: str
    prize: str
    players: tuple["Taker", ...]


@dataclass(frozen=True, slots=True)
class Taker:
    place: str
    name: str
    amount: str
    words: str


def rungs(working: Working, division: DivisionAwards | None) -> list[Rung]:
    """The ladder by place. A tie stands at the first of the places it spans."""
    base = division.awarded.base if division is not None else base_of(working)
    if base is None:
        return []
    ladder = working.ladder
    percents = ladder.percents if ladder is not None and ladder.prizes == base.prizes else None
    return [
        Rung(
            place=place,
            percent=f"{figure_text(percents[place - 1])}\N{NO-BREAK SPACE}%" if percents else "",
            prize=money(prize),
            players=tuple(_takers(division, place)) if division is not None else (),
        )
        for place, prize in enumerate(base.without_ties, start=1)
    ]


def base_words(working: Working, division: DivisionAwards | None) -> str:
    """By what the prizes are laid out, with the source, and the units that they are paid in."""
    base = division.awarded.base if division is not None else base_of(working)
    if base is None:
        return ""
    sentences = [f"{base.words}.", base.source]
    if base.unit > 1:
        sentences.append(f"Paid in {dict(UNITS)[base.unit]}, after the ties are shared.")
    return " ".join(filter(None, sentences))


def _takers(division: DivisionAwards, rung: int) -> Iterable[Taker]:
    awarded = division.awarded
    names = {award.entry_id: award for award in awarded.awards}
    for slide in awarded.split.slides:
        if slide.rung == rung:
            award = names[slide.key]  # type: ignore[index]  # keys are entries here
            yield Taker(
                str(slide.place), award.name, "", f"{slide.why}: moves up to the next ({award.source})"
            )
    for share in awarded.split.shares:
        if share.spans[0] == rung:
            award = names[share.key]  # type: ignore[index]
            yield Taker(str(share.place), award.name, money(share.cents), _share_words(share, awarded.base))


def _share_words(share: Share, base: Base) -> str:
    parts = []
    if share.tied > 1:
        added = " + ".join(money(base.prizes[rung - 1]) for rung in share.spans)
        whole = (
            f" = {money(sum(base.prizes[rung - 1] for rung in share.spans))}" if len(share.spans) > 1 else ""
        )
        parts.append(f"{share.tied} tied: {added}{whole}, divided by {share.tied}")
        if base.unit > 1:
            parts.append("then rounded")
    if share.extra:
        parts.append(f"with {money(share.extra)} left over")
    return "; ".join(parts)


def left_lines(division: DivisionAwards) -> list[WorkLine]:
    """Where the last cents went."""
    split = division.awarded.split
    paid = sum(share.cents for share in split.shares)
    lines = [WorkLine("paid to players", money(paid))]
    if split.left - split.carried:
        words = "left over by ties or rounding, in the best place that one player holds alone"
        lines.append(WorkLine(words, money(split.left - split.carried), "no published rule; our own reading"))
    if split.carried:
        words = "carried over: nobody holds a place alone"
        lines.append(WorkLine(words, money(split.carried), "no published rule; our own reading"))
    if split.kept:
        words = f"{split.kept_words}: the event may keep it"
        lines.append(WorkLine(words, money(split.kept), "Competition Manual 2025, 1.10.E"))
    lines.append(WorkLine("purse", money(split.purse), total=True))
    if split.unit != division.awarded.base.unit:
        words = (
            "paid to the cent: in whole units some would have been left that no place held alone could take"
        )
        lines.append(WorkLine(words, ""))
    return lines


def share_of_gross(working: Working) -> str:
    """The purse in per cent of what the division paid."""
    return percent_words(percent_of(working.purse.cents, working.gross))


def changed(purse: EventPurse) -> list[str]:
    """Codes whose plan is no longer what is posted."""
    if purse.posted is None:
        return []
    planned = [base for each in purse.divisions if (base := base_of(each)) is not None]
    return changed_since(bases_in(purse.posted.content), planned)


def is_professional(event: Event, code: str) -> bool:
    """By the published divisions; no query."""
    return division_of(in_force(event.starts_on, event.region), code).professional
