"""Things and the course walk against published tables and guidance, each with its source."""

from datetime import date
from typing import Any

import pytest

import build
from events.course.models import HoleDetails, LayoutHole
from events.logistics.ready.queries import readiness_of
from events.logistics.things.gathering import assumptions_of
from events.logistics.things.queries import things_of
from events.rulebook.loader import in_force
from events.setup.models import Event, Region, Tier

CM_2_06 = "Competition Manual 2025, 2.06"
CM_5_04_B = "Competition Manual 2025, 5.04.B"
CM_6_03 = "Competition Manual 2025, 6.03 (table of 2024)"
GUIDE = "guidance for directors on preparing a course, advice"


def needed(event: Event, key: str) -> int | None:
    found = things_of(event).item(key)
    assert found is not None
    return found.needed


@pytest.mark.parametrize(
    ("players", "trophies", "source"),
    [
        (1, 0, CM_2_06),
        (2, 1, CM_2_06),
        (4, 1, CM_2_06),
        (5, 2, CM_2_06),
        (12, 2, CM_2_06),
        (13, 3, CM_2_06),
        (14, 3, CM_2_06),
    ],
)
def test_trophies_of_an_amateur_division(event: Event, players: int, trophies: int, source: str) -> None:
    for _ in range(players):
        build.make_entry(event)
    assert needed(event, "trophies") == trophies, source


@pytest.mark.parametrize(
    ("region", "tier", "paid", "source"),
    [
        (Region.NORTH_AMERICA, Tier.A, 4, CM_5_04_B),  # at least 40 % of ten
        (Region.NORTH_AMERICA, Tier.C, 4, CM_5_04_B),
        (Region.ELSEWHERE, Tier.A, 3, CM_6_03),  # at least a quarter of ten
        (Region.ELSEWHERE, Tier.B, 2, CM_6_03),
        (Region.ELSEWHERE, Tier.C, 2, CM_6_03),
        (Region.NORTH_AMERICA, Tier.LEAGUE, None, "no share is published for leagues"),
    ],
)
def test_an_envelope_for_each_paid_place(
    db: Any, region: Region, tier: Tier, paid: int | None, source: str
) -> None:
    event = build.make_event(divisions=("MPO",), region=region, tier=tier)
    for _ in range(10):
        build.make_entry(event, "MPO")
    assert needed(event, "envelopes") == paid, source


def test_groups_aim_at_four() -> None:
    """Competition Manual 2025, 1.06.G."""
    assert in_force(date(2026, 6, 12), Region.NORTH_AMERICA).int("group.size_aim") == 4


def test_what_no_document_fixes_says_so(event: Event) -> None:
    """Common practice, no source: every figure of ours that the list rests on is marked in the rulebook."""
    book = in_force(event.starts_on, event.region)
    ours = [rule for rule in book.all() if rule.key.startswith("practice.things_")]
    assert len(ours) >= 9
    assert {(rule.document, rule.section, rule.trust) for rule in ours} == {
        ("Common practice", "no source", "common practice")
    }
    assert assumptions_of(event, book).water[0][1] > 0


def test_the_walk_asks_for_what_guidance_names(event: Event) -> None:
    """Pads swept, signs right, line visible and unbroken, mandatory marked on the ground, chains sound: GUIDE."""
    row = LayoutHole.objects.get(layout__event=event, position=1)
    facts = {
        "tee_kind": "pad",
        "mandatories": [{"marker": "Birch"}],
        "out_of_bounds": [{"boundary": "Road"}],
    }
    HoleDetails.objects.create(layout_hole=row, facts=facts, changed_at=build.NOW, changed_by="Tester")
    asked = " ".join(work.task.words for work in readiness_of(event).holes[0].work)
    for words in ("pad swept", "there and right", "seen and unbroken", "Mandatory marked", "Chains"):
        assert words in asked, GUIDE
