"""The penalty catalogue in force: every row by its name, with throws, source and where it is written. Pure."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from events.rulebook.loader import Rulebook
from events.rulebook.values import RuleValue

HOLE, STARTING_HOLE, ROUND, EACH_HOLE = "hole", "starting hole", "round total", "each hole not played"
CHAPTERS = (
    "The throw and the lie",
    "Where the disc came to rest",
    "Conduct and equipment",
    "Holes and their order",
    "Start, stop and card",
)
CHECK_IN = "check_in.late_throws"  # has one value for each tier at which it applies


@dataclass(frozen=True, slots=True)
class Penalty:
    """One row. `throws` may be 0 or below; of `each hole not played` they count over par.

    `warnings`: how many come before the first throw in a round; `once`: at most one time in a round.
    `apart`: no rule of the throw itself, though it is called at one. `then`: what becomes of the throw or the hole.
    """

    key: str
    name: str
    chapter: str
    throws: int
    booked: str
    then: str
    source: str
    warnings: int = 0
    once: bool = False
    apart: bool = False
    repeat: str = ""
    note: str = ""
    trust: str = ""
    trust_words: str = ""
    edition: str = ""
    changed: str = ""

    @property
    def figure(self) -> str:
        """ "warning, then +1", "par + 4", "no throws"."""
        if self.booked == EACH_HOLE:
            return f"par + {self.throws}"
        throws = throws_text(self.throws)
        return f"warning, then {throws}" if self.warnings else throws


def throws_text(throws: int) -> str:
    """+1, \N{MINUS SIGN}2, or "no throws" for 0."""
    return f"{throws:+d}".replace("-", "\N{MINUS SIGN}") if throws else "no throws"


def catalogue(book: Rulebook, tier: str) -> Mapping[str, Penalty]:
    """Key → row, in the order of the chapters and of the names; `tier` as the event has it."""
    rules = [rule for rule in book.all() if rule.penalty is not None]
    held = [_row(book, rule) for rule in rules if rule.key.removeprefix(CHECK_IN) in {rule.key, f".{tier}"}]
    held.sort(key=lambda row: (CHAPTERS.index(row.chapter), row.name))
    return {row.key: row for row in held}


def _row(book: Rulebook, rule: RuleValue) -> Penalty:
    about = rule.penalty or {}
    warnings = about.get("warnings", 0)
    return Penalty(
        key=CHECK_IN if rule.key.startswith(CHECK_IN) else rule.key,
        name=str(about["name"]),
        chapter=str(about["chapter"]),
        throws=book.int(rule.key),
        booked=str(about["booked"]),
        then=str(about["then"]),
        source=rule.citation,
        warnings=warnings if isinstance(warnings, int) else 0,
        once=bool(about.get("once")),
        apart=bool(about.get("apart")),
        repeat=str(about.get("repeat", "")),
        note=rule.note,
        trust=rule.trust,
        trust_words=rule.trust_words,
        edition=f"{rule.edition}, since {rule.effective.isoformat()}",
        changed=rule.reason,
    )


def by_chapter(rows: Iterable[Penalty]) -> list[tuple[str, list[Penalty]]]:
    """The rows under their chapters, empty ones left out."""
    found: dict[str, list[Penalty]] = {}
    for row in rows:
        found.setdefault(row.chapter, []).append(row)
    return [(chapter, found[chapter]) for chapter in CHAPTERS if chapter in found]
