"""The published divisions, as the rulebook in force knows them."""

from dataclasses import dataclass

from events.rulebook.loader import Rulebook
from events.rulebook.values import Plain, UnknownRule

CODES = "division.code"


@dataclass(frozen=True, slots=True)
class Division:
    """A published division.

    `playing_class` is "pro" or "am"; `gender` is "mixed" (open to all) or "f"; `rule` is "open", "age"
    (`age` or older), "junior" (`age` or younger) or "rating" (below `rating_below`; None: not known).
    """

    code: str
    name: str
    playing_class: str
    gender: str
    rule: str
    age: int | None
    rating_below: int | None
    source: str

    @property
    def professional(self) -> bool:
        return self.playing_class == "pro"

    @property
    def junior(self) -> bool:
        return self.rule == "junior"


class UnknownDivision(UnknownRule):
    """The rulebook in force holds no division of this code."""

    def __str__(self) -> str:
        return f"{self.args[0]} is not a published division code."


def codes(rulebook: Rulebook) -> tuple[str, ...]:
    """All published codes, in the published order: professional, amateur, junior, rating."""
    return tuple(rulebook.table(CODES))


def division(rulebook: Rulebook, code: str) -> Division:
    """One division by its code. Raises UnknownDivision."""
    key = f"{CODES}.{code}"
    if not rulebook.has(key):
        raise UnknownDivision(code)
    rule, row = rulebook.value(key), rulebook.table(key)
    cap = f"division.rating_below.{code}"
    return Division(
        code=code,
        name=str(row["name"]),
        playing_class=str(row["class"]),
        gender=str(row["gender"]),
        rule=str(row["rule"]),
        age=_number(row.get("age")),
        rating_below=_number(rulebook.get(cap)) if rulebook.has(cap) else None,
        source=rule.citation,
    )


def divisions(rulebook: Rulebook) -> tuple[Division, ...]:
    """All published divisions, in the published order."""
    return tuple(division(rulebook, code) for code in codes(rulebook))


def underserved(rulebook: Rulebook, code: str) -> bool:
    """Whether the manual counts the division among the under-served: women's, junior, 50+ (2.02.L)."""
    found = division(rulebook, code)
    by_age = found.rule == "age" and (found.age or 0) >= rulebook.int("division.underserved_from_age")
    return found.gender == "f" or found.junior or by_age


def must_run(rulebook: Rulebook, code: str, eligible: int) -> bool:
    """Whether a division with this many eligible players has to run (2.02.L); else the director decides."""
    kind = "_underserved" if underserved(rulebook, code) else ""
    return eligible >= rulebook.int(f"division.must_run_players{kind}")


def mirrors_missing(rulebook: Rulebook, offered: frozenset[str]) -> tuple[str, ...]:
    """Women's divisions to be offered because their mixed mirror is (5.02.C), in published order."""
    wanted = {"F" + code[1:] for code in offered if division(rulebook, code).gender == "mixed"}
    return tuple(code for code in codes(rulebook) if code in wanted - offered)


def required_missing(rulebook: Rulebook, kind: str, offered: frozenset[str]) -> tuple[str, ...]:
    """Divisions that an A-tier of this kind has to offer and does not (5.09.B).

    `kind` is a name under `tier.required_divisions`. Raises UnknownRule for a kind that is not one.
    """
    wanted = rulebook.words(f"tier.required_divisions.{kind}")
    return tuple(code for code in wanted if code not in offered)


def _number(found: Plain) -> int | None:
    return found if isinstance(found, int) else None
