"""What can go wrong with holes, starts, stops and cards, with the questions that tell the cases apart. Pure data."""

from scoring.penalties.catalogue import CHAPTERS
from scoring.penalties.questions import Ask, Elsewhere, Found, Free, Situation

*_, HOLES, START = CHAPTERS
OR = "Official Rules 2025, "
ABSENT, LEAVE = "absent", "leave"  # pages of their own


def _one(name: str) -> Found:
    return Found((f"penalty.{name}",))


def _group(name: str) -> Found:
    return Found((f"penalty.{name}",), company=True)


OF_ROUNDS: tuple[Situation, ...] = (
    # ------------------------------------------------------------------------------------------ holes and their order
    Situation(
        "absent",
        HOLES,
        "Absent, late, or missed a hole",
        "away, par plus 4, not there, toilet, ill",
        Ask(
            "On purpose?",
            (
                (
                    "no",
                    Elsewhere(ABSENT, "Each hole not played is scored; there is no limit to their number."),
                ),
                (
                    "yes, the player left holes out",
                    Elsewhere(LEAVE, "Holes left out on purpose are a withdrawal."),
                ),
            ),
        ),
    ),
    Situation(
        "holeout",
        HOLES,
        "Did not hole out",
        "unfinished, picked up",
        Ask(
            "When was it noticed?",
            (
                (
                    "before play went on to the next hole",
                    Free("The player holes out; nothing is added.", f"{OR}811.F (from memory)"),
                ),
                (
                    "later, and the last throw is not in the score",
                    Found(("penalty.failure_to_hole_out", "penalty.unfinished_hole_throw")),
                ),
                ("later, and the last throw is in the score", _one("failure_to_hole_out")),
                ("left unfinished on purpose", Elsewhere(LEAVE, "On purpose it is a withdrawal.")),
            ),
        ),
    ),
    Situation(
        "order", HOLES, "Played holes out of their order", "sequence, skipped", _group("non_sequential")
    ),
    Situation(
        "wronghole",
        HOLES,
        "Played a wrong hole",
        "wrong tee, wrong basket, extra hole, other layout",
        Ask(
            "Which was it?",
            (
                ("played in place of a hole of the round", _group("wrong_hole")),
                ("played besides the holes of the round", _group("extra_hole")),
            ),
        ),
    ),
    Situation(
        "starthole",
        HOLES,
        "Started on a wrong hole",
        "shotgun, wrong starting hole",
        Ask(
            "Had anybody of the group thrown twice there?",
            (
                (
                    "yes",
                    Found(
                        ("play.wrong_starting_hole_throws",),
                        "The group finishes the hole. Choose all its players.",
                        company=True,
                    ),
                ),
                (
                    "no",
                    Found(
                        ("penalty.wrong_starting_hole_at_once",),
                        "Choose those who threw there.",
                        company=True,
                    ),
                ),
            ),
        ),
    ),
    Situation(
        "startgroup",
        HOLES,
        "Started with another group",
        "wrong group, late",
        Elsewhere(
            ABSENT,
            "Throws with another group are void: the holes are scored as not played (question QA-MIS-6)."
            " On purpose: the director may disqualify.",
        ),
    ),
    # ------------------------------------------------------------------------------------------- start, stop and card
    Situation(
        "starter",
        START,
        "Late to the starter",
        "tee time, five minutes, check in",
        Ask(
            "Was the player there when the group threw?",
            (
                ("yes", Found(("starter.late_throws",))),
                (
                    "no",
                    Elsewhere(
                        ABSENT, "Absent there: the hole is scored, and nothing is added for being late."
                    ),
                ),
            ),
        ),
    ),
    Situation(
        "checkin",
        START,
        "Late for the check-in of the event",
        "registration, desk",
        Found(("check_in.late_throws",)),
    ),
    Situation(
        "signals",
        START,
        "Threw before the start",
        "horn, two minute, between signals, early",
        Ask(
            "Who threw, and when?",
            (
                ("a player, after the two-minute signal", Found(("start.early_throw_throws",))),
                (
                    "a group that began to play, and heard the signal later",
                    Free("They begin again from the tee; it is no practice throw.", "Question QA-CMP-2"),
                ),
                (
                    "a group that began to play and never heard a signal",
                    Free("Their scores stand.", "Question QA-CMP-2"),
                ),
                (
                    "a player, before the two-minute signal",
                    Free("Practice ends with that signal.", "Competition Manual 2025, 1.05.B.1"),
                ),
            ),
        ),
    ),
    Situation(
        "stop",
        START,
        "Stopped early, or played on after the stop",
        "suspension, lightning, horn",
        Found(("suspension.too_early_or_played_on_throws",), "It needs evidence.", company=True),
    ),
    Situation(
        "latecard",
        START,
        "Card handed in late",
        "minutes, submit",
        Ask(
            "Later than the time for cards after the player’s own group had finished?",
            (
                ("yes", Found(("card.late_throws",), "Of the player who was late, not of the group.")),
                ("no", Free("The card came in time.", f"{OR}808.F")),
            ),
        ),
    ),
    Situation(
        "card",
        START,
        "Wrong or missing entry on a card",
        "total, added up, blank, illegible, signature",
        Ask(
            "What is wrong?",
            (
                (
                    "the own total or an own hole score, on the player’s own card",
                    Ask(
                        "Was it right until a ruling changed it?",
                        (
                            ("no", Found(("card.wrong_entry_throws",), "Once, and to the correct total.")),
                            ("yes", Free("A later ruling makes nobody’s entry wrong.", f"{OR}808.G.2")),
                        ),
                    ),
                ),
                (
                    "somebody else’s score",
                    Free(
                        "No penalty throws. Made-up figures for others: the director may disqualify the writer.",
                        f"{OR}808.G.3",
                    ),
                ),
                ("no signature", Free("The rules ask for none.", f"{OR}808")),
            ),
        ),
    ),
)
