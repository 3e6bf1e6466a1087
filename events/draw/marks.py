"""What a sheet does not keep, each with the reason for which it is kept all the same."""

from dataclasses import dataclass

from events.draw.checks import Breach, Severity
from events.draw.field import Expected, expected_on
from events.draw.queries import SheetView, breaches, starts_elsewhere
from events.rulebook.loader import Rulebook


@dataclass(frozen=True, slots=True)
class Mark:
    """A breach with the reason on record; an empty reason means that it is open."""

    breach: Breach
    key: str
    reason: str

    @property
    def must(self) -> bool:
        return self.breach.severity is Severity.MUST

    @property
    def can_be_kept(self) -> bool:
        return self.breach.severity is not Severity.IMPOSSIBLE

    @property
    def open(self) -> bool:
        """Whether it still asks for something: a "should" is only said."""
        return self.breach.severity is not Severity.SHOULD and not self.reason


def key_of(breach: Breach) -> str:
    """What a reason is filed under: the rule and the whole finding, so that it lapses when the finding changes."""
    return f"{breach.rule}|{breach.text}"


def marks_of(view: SheetView, rulebook: Rulebook, expected: Expected | None = None) -> tuple[Mark, ...]:
    """Every breach of the sheet over all that is in play at its time (1 query; 3 without `expected`)."""
    expected = expected or expected_on(view, rulebook)
    accepted = view.sheet.accepted
    return tuple(
        Mark(breach, key_of(breach), accepted.get(key_of(breach), ""))
        for breach in breaches(view, expected.people, rulebook, starts_elsewhere(view))
    )
