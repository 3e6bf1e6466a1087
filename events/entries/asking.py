"""What the desk still has to ask an entrant for: money, membership, guardian, conduct note. In words."""

from dataclasses import dataclass

from events.entries import juniors, membership
from events.entries.facts import member_facts
from events.entries.models import IN_THE_FIELD, Entry, Status
from events.rulebook.loader import Rulebook
from events.setup.figures import money_text
from events.setup.models import Event


@dataclass(frozen=True, slots=True)
class Asks:
    """What is open for one entry; empty texts where nothing is. `owed` in cents, never below zero."""

    owed: int = 0
    membership: str = ""
    guardian: str = ""
    guardian_must: bool = False
    conduct: bool = False

    def words(self, currency: str) -> tuple[str, ...]:
        """The open things as the desk says them, money first."""
        money = f"{money_text(self.owed, currency)} due" if self.owed else ""
        note = "conduct note to sign" if self.conduct else ""
        return tuple(text for text in (money, self.membership, self.guardian, note) if text)


def asks_of(entry: Entry, event: Event, rulebook: Rulebook) -> Asks:
    """What to ask of this entry (no query); it carries `owed` and `membership_sold` from `entries_to_ask`.

    Nobody is asked for anything who waits for a place or has left.
    """
    if entry.status not in {*IN_THE_FIELD, Status.APPLIED}:
        return Asks()
    code = entry.division.code
    need = juniors.guardian(
        birth_year=entry.person.birth_year, event_year=event.starts_on.year, code=code, rulebook=rulebook
    ).need
    return Asks(
        owed=max(0, entry.owed),  # type: ignore[attr-defined]  # annotated
        membership=_membership(entry, event, rulebook),
        guardian="" if entry.guardian else _GUARDIAN.get(need, ""),
        guardian_must=need == juniors.MUST and not entry.guardian,
        conduct=entry.conduct_signed_at is None,
    )


_GUARDIAN = {juniors.MUST: "guardian to name", juniors.UNKNOWN: "ask: needs a guardian?"}


def _membership(entry: Entry, event: Event, rulebook: Rulebook) -> str:
    found = membership.membership(
        member_facts(entry.person),
        tier=event.tier,
        code=entry.division.code,
        on=event.starts_on,
        rulebook=rulebook,
    )
    if found.state == membership.TEMPORARY_FEE:
        sold = entry.membership_sold  # type: ignore[attr-defined]  # annotated
        return "" if sold else f"temporary membership {money_text(found.fee_cents, event.currency)}"
    words = {membership.MISSING: "membership missing", membership.UNKNOWN: "ask: member?"}
    return words.get(found.state, "")
