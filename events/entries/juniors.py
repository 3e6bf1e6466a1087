"""Whether a player needs a guardian on the course (1.13.B, C). Pure."""

from dataclasses import dataclass

from events.entries.eligibility import competition_age
from events.rulebook.loader import Rulebook

BELOW = "juniors.guardian_must_below_age"
MUST, MAY, NONE, UNKNOWN = "must", "may", "none", "unknown"


@dataclass(frozen=True, slots=True)
class Guardian:
    """`need` is must, may, none or unknown; `text` says it, `source` where it stands."""

    need: str
    text: str
    source: str


def guardian(*, birth_year: int | None, event_year: int, code: str, rulebook: Rulebook) -> Guardian:
    """Whether this player has to be, or may be, accompanied.

    Only the birth year is kept, so a player who turns 13 in the year of the event may be 12 still on the day:
    that is "unknown", to be asked at the desk. A missing birth year asks nothing outside junior divisions.
    """
    below, source = rulebook.int(BELOW), rulebook.value(BELOW).citation
    age = None if birth_year is None else competition_age(birth_year, event_year)
    if code in rulebook.words("juniors.guardian_must_divisions"):
        return Guardian(MUST, f"Players of {code} are accompanied by a guardian.", source)
    if age is not None and age < below:
        return Guardian(MUST, f"Under {below}: accompanied by a guardian in any division.", source)
    if age == below:
        return Guardian(
            UNKNOWN, f"Turns {below} this year: before the birthday a guardian is needed.", source
        )
    if code in rulebook.words("juniors.guardian_may_divisions"):
        if age is None:
            return Guardian(UNKNOWN, f"Birth year missing: under {below} a guardian is needed.", source)
        rule = rulebook.value("juniors.guardian_may_divisions")
        return Guardian(MAY, "May be accompanied by a guardian.", rule.citation)
    return Guardian(NONE, "", source)
