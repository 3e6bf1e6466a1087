"""What the rulebook says about discs, as the pure modules of this slice take it."""

from collections.abc import Mapping
from decimal import Decimal

from events.bags.checking import Sources
from events.bags.limits import MassRule
from events.bags.weighing import ErrorRule, error_rule
from events.rulebook.loader import Rulebook


def mass_rule(book: Rulebook) -> MassRule:
    """The formula for the mass that a disc may have."""
    return MassRule(
        book.decimal("discs.grams_per_cm"),
        book.decimal("discs.mass_cap_g"),
        book.decimal("discs.limit_step_g"),
        book.decimal("discs.limit_differs_g"),
        book.value("discs.grams_per_cm").citation,
    )


def guard_factor(book: Rulebook) -> Decimal:
    """Guard band as a multiple of the standard uncertainty."""
    return book.decimal("weighing.guard_factor")


def error_rule_of(book: Rulebook) -> ErrorRule:
    """How far scales may err."""
    return error_rule(
        _table(book, "weighing.class_iii_steps"),
        _table(book, "weighing.class_ii_steps"),
        in_service=Decimal(book.int("weighing.in_service_factor")),
        household=book.decimal("weighing.household_steps"),
        checked_g=book.decimal("weighing.checked_error_g"),
    )


def _table(book: Rulebook, key: str) -> Mapping[str, Decimal]:
    return {name: Decimal(str(steps)) for name, steps in book.table(key).items()}


def sources_of(book: Rulebook) -> Sources:
    """The words for the source of each check."""
    return Sources(
        listed="Official Rules 2025, 813.01.A",
        mass=f"Official Rules 2025, 813.01.A; {book.value('discs.grams_per_cm').citation}",
        no_minimum=book.value("discs.minimum_mass_g").citation,
        changes=book.value("discs.allowed_changes").citation,
        forbidden=book.value("discs.forbidden_changes").citation,
        devices=book.value("discs.added_devices").citation,
        broken=book.value("discs.broken").citation,
        questioned=book.value("discs.questioned").citation,
        mark=book.value("discs.unmarked_throws").citation,
    )
