"""The documents' worked examples that concern scoring: questions and answers to the rules of 2025, one test each.

The figures (par + 4, two throws, …) are the documents' and are written out here. The questions were read in a full
translation of the Official Rules 2025.
"""

from datetime import date

import pytest

from events.rulebook.loader import in_force
from scoring.cards.arithmetic import EntryFault, WrittenLine, absent, entry_faults, entry_penalty, line_total
from scoring.penalties.catalogue import catalogue
from scoring.penalties.counting import Proposal, majority, not_played, propose
from scoring.penalties.questions import Elsewhere, Found, Free, walk
from scoring.penalties.situations import SITUATIONS

pytestmark = pytest.mark.published

ROWS = catalogue(in_force(date(2025, 6, 7), "north_america"), "A")
PARS = (3, 3, 4, 3, 5, 3, 3, 4, 3)


def comes_to(*ways: str) -> Proposal:
    """What the answers come to on hole 7 for a player to whom nothing was said yet in the round."""
    nodes = [walk(way, SITUATIONS).node for way in ways]
    found = [node for node in nodes if isinstance(node, Found)]
    assert len(found) == len(ways)
    return propose(found, ROWS, {}, hole="7", start_hole="1")


def on(proposal: Proposal) -> list[tuple[str, int]]:
    return [(part.hole, part.throws) for part in proposal.parts]


def costs_nothing(way: str) -> bool:
    return isinstance(walk(way, SITUATIONS).node, Free)


def test_a_group_that_begins_before_the_signal() -> None:
    """Question QA-CMP-2 (Competition Manual 2025, 1.05.B): it hears the signal later and begins again without a
    penalty; it never hears it and its scores stand."""
    replay, stand = walk("signals-2", SITUATIONS).node, walk("signals-3", SITUATIONS).node

    assert isinstance(replay, Free)
    assert isinstance(stand, Free)
    assert replay.words == "They begin again from the tee; it is no practice throw."
    assert stand.words == "Their scores stand."


def test_a_blank_hole_score_with_a_right_total_costs_two_throws() -> None:
    """Question QA-SCO-1 (Official Rules 2025, 808.G.2)."""
    agreed = (3, 2, 4, 3, 6, 3, 3, 5, 3)
    handed_in = WrittenLine((3, 2, 4, None, 6, 3, 3, 5, 3), written_total=32)

    faults = entry_faults(handed_in, agreed)

    assert faults == (EntryFault.HOLE_BLANK,)
    assert line_total(agreed, PARS, entry_penalty(faults, 2)).total == 34
    assert on(comes_to("card-1-1")) == [("", 2)]


def test_an_unfinished_hole_found_after_the_card_is_in() -> None:
    """Question QA-MIS-4 (Official Rules 2025, 811.F, failure to hole out): the throws, one more, and two."""
    thrown = 4
    assert thrown + comes_to("holeout-2").throws == 4 + 1 + 2
    assert on(comes_to("holeout-2")) == [("7", 2), ("7", 1)]


def test_a_hole_outside_the_course() -> None:
    """Question QA-MIS-1 (Official Rules 2025, 811.F, wrong hole and extra hole): in place of a hole two throws on that
    hole; besides the holes two on the total."""
    assert on(comes_to("wronghole-1")) == [("7", 2)]
    assert on(comes_to("wronghole-2")) == [("", 2)]


def test_a_missed_mandatory_noticed_after_one_more_throw() -> None:
    """Question QA-MIS-3 (Official Rules 2025, 804.01.C and 811.F, incorrect lie): one for the mandatory, one for the
    misplay; the throw from beyond is not counted, and the next is from the drop zone."""
    proposal = comes_to("mandatory-2")

    assert on(proposal) == [("7", 1), ("7", 1)]
    assert "void" in proposal.parts[1].penalty.then
    tee_shot, from_drop_zone, putt = 1, 1, 1  # the throw from beyond is none
    assert tee_shot + from_drop_zone + putt + proposal.throws == 5


def test_a_late_player_joins_another_group() -> None:
    """Question QA-MIS-6 (Official Rules 2025, 811.F, wrong starting group): the throws are void and the holes are
    scored as absence; on purpose the director may disqualify."""
    node = walk("startgroup", SITUATIONS).node
    assert isinstance(node, Elsewhere)
    assert node.page == "absent"
    assert "disqualify" in node.words

    scored = not_played([("1", 3, 2), ("2", 3, 4), ("3", 4, 4)], ["1", "2"], 4)

    assert [(each.label, each.written, each.score) for each in scored] == [("1", 2, 7), ("2", 4, 7)]


def test_one_hole_missed_scores_par_plus_four_and_the_player_rejoins() -> None:
    """Question QA-MIS-5 (Official Rules 2025, 811.F, missed hole): stomach trouble."""
    throws = [3, 3, 4, 3, absent(5, 4), 3, 3, 4, 3]

    line = line_total(throws, PARS)

    assert (throws[4], line.total, line.to_par, line.complete) == (9, 35, 4, True)


def test_a_foot_fault_and_out_of_bounds_on_one_throw() -> None:
    """Question QA-OB-6 (Official Rules 2025, 801.02): one penalty, one throw."""
    proposal = comes_to("stance-1", "ob-1")

    assert (proposal.throws, len(proposal.outweighed)) == (1, 1)
    assert proposal.parts[0].penalty.key == "penalty.stance"


def test_a_mandatory_and_out_of_bounds_on_one_throw() -> None:
    """Question QA-APP-2 (Official Rules 2025, 801.02): of equal penalties the first, and the mandatory came first."""
    proposal = comes_to("mandatory-1", "ob-1")

    assert (proposal.throws, proposal.parts[0].penalty.key) == (1, "penalty.missed_mandatory")
    assert "drop zone" in proposal.parts[0].penalty.then


def test_water_beside_or_inside_a_hazard() -> None:
    """Question QA-HAZ-2 (Official Rules 2025, 806.03 and 806.05): relief into a hazard costs nothing; a disc in the
    hazard's water keeps its penalty throw."""
    assert costs_nothing("hazard-2")
    assert costs_nothing("relief-4")
    assert on(comes_to("hazard-1")) == [("7", 1)]


def test_practice_throws() -> None:
    """Questions QA-PRA-1 to 3 (Official Rules 2025, 809.03): a toss of 3 m that rolls 10 m is free, one of 30 m to
    a friend one throw, an angry putt of 2 m after holing out one throw."""
    assert costs_nothing("practice-2-1")
    assert on(comes_to("practice-1")) == [("7", 1)]
    assert on(comes_to("practice-2-2")) == [("7", 1)]


def test_two_against_two_and_three_against_one() -> None:
    """Question QA-APP-4 (Official Rules 2025, 801.02): of four, two are no majority and the thrower has the benefit;
    three are, and the disc was out of bounds."""
    answers = {True: "vote-1-1", False: "vote-2"}  # more than half, or not

    assert costs_nothing(answers[majority(4) <= 2])
    assert on(comes_to(answers[majority(4) <= 3])) == [("7", 1)]
