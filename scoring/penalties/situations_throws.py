"""What can happen to a throw, to a disc and between people, with the questions that tell the cases apart. Pure data."""

from scoring.penalties.catalogue import CHAPTERS
from scoring.penalties.questions import Ask, Elsewhere, Found, Free, Node, Situation

THROW, REST, CONDUCT, *_ = CHAPTERS
OR = "Official Rules 2025, "
DISCS, EVENT_WARNING = "discs", "event warning"  # pages of their own


def _one(name: str) -> Found:
    return Found((f"penalty.{name}",))


def _noticed(early: Node, late: Node) -> Ask:
    return Ask(
        "When was it noticed?",
        (("before the player threw again", early), ("after the player had thrown again", late)),
    )


_DROP_ZONE = Ask(
    "Did the player go straight to a drop zone that the hole offers for it?",
    (("no", _one("lost_disc")), ("yes", _one("drop_zone_straight_away"))),
)

OF_THROWS: tuple[Situation, ...] = (
    # ------------------------------------------------------------------------------------------ the throw and the lie
    Situation("time", THROW, "Took too long", "slow, 30 seconds, excessive time", _one("excessive_time")),
    Situation("marking", THROW, "Marked the lie wrongly", "marker, mini", _one("marking")),
    Situation(
        "stance",
        THROW,
        "Foot fault",
        "stance, stepped over, tee line, behind the lie, falling putt, balance",
        Ask(
            "What was it?",
            (
                ("not in the tee or not behind the lie when the disc left the hand", _one("stance")),
                (
                    "within 10 m of the target: stepped past the lie before standing still",
                    _one("falling_putt"),
                ),
            ),
        ),
    ),
    Situation(
        "lie",
        THROW,
        "Played from a wrong lie",
        "incorrect lie, wrong disc, misplay, replay",
        _noticed(_one("incorrect_lie"), _one("incorrect_lie_played_on")),
    ),
    Situation(
        "relief",
        THROW,
        "Took relief",
        "moved the lie, bush, obstacle, casual water, dangerous",
        Ask(
            "Which relief?",
            (
                (
                    "the player chose to move the lie back",
                    Ask(
                        "Directly after a disc out of bounds or above two metres?",
                        (
                            ("no", _one("optional_relief")),
                            ("yes", Free("It costs nothing besides the throw for that.", f"{OR}803.02.D, E")),
                        ),
                    ),
                ),
                (
                    "from an obstacle that gives no relief",
                    _noticed(
                        _one("relief_not_allowed_obstacle"), _one("relief_not_allowed_obstacle_played_on")
                    ),
                ),
                ("from a casual area that gives no relief", _one("relief_not_allowed_casual")),
                (
                    "from a casual area that does, even into a hazard",
                    Free("Relief from casual water costs nothing.", "Question QA-HAZ-2"),
                ),
            ),
        ),
    ),
    Situation("obstacle", THROW, "Moved an obstacle", "branch, bent, broke, fence", _one("obstacle_moved")),
    Situation(
        "abandon", THROW, "Gave a throw up and threw again", "abandoned, rethrow", _one("abandoned_throw")
    ),
    Situation(
        "practice",
        THROW,
        "Threw besides the round",
        "practice, warm up, second putt, anger",
        Ask(
            "Did the disc fly more than 5 m through the air?",
            (
                ("yes", _one("practice_throw")),
                (
                    "no",
                    Ask(
                        "Was it only handed back or set aside?",
                        (
                            ("yes", Free("That is no practice throw, however far it rolls.", f"{OR}809.03")),
                            ("no, at the target, in anger or as a try", _one("practice_throw")),
                        ),
                    ),
                ),
            ),
        ),
    ),
    # ------------------------------------------------------------------------------------ where the disc came to rest
    Situation(
        "ob",
        REST,
        "Out of bounds",
        "ob, over the line, road, water",
        Ask(
            "Did the player go straight to a drop zone that the hole offers for it?",
            (("no", _one("out_of_bounds")), ("yes", _one("drop_zone_straight_away"))),
        ),
    ),
    Situation(
        "hazard",
        REST,
        "In a hazard",
        "water, pond, bunker",
        Ask(
            "Did the disc come to rest in the hazard?",
            (
                ("yes, in its water too", _one("hazard")),
                (
                    "no, relief from casual water led into it",
                    Free("Relief into a hazard costs nothing.", "Question QA-HAZ-2"),
                ),
            ),
        ),
    ),
    Situation(
        "reliefarea",
        REST,
        "In a relief area",
        "protected, plants, bed",
        Free("Played like out of bounds, without a penalty throw.", f"{OR}806.04"),
    ),
    Situation(
        "above",
        REST,
        "Above two metres",
        "tree, stuck, two metre",
        Ask(
            "Was the two-metre rule declared for this course, hole or object?",
            (
                ("yes", _one("above_two_metres")),
                ("no", Free("Not declared, it does not hold: the lie is below the disc.", f"{OR}805.02")),
            ),
        ),
    ),
    Situation(
        "mandatory",
        REST,
        "Missed a mandatory",
        "mando, wrong side",
        Ask(
            "When was it noticed?",
            (
                ("before the player threw again", _one("missed_mandatory")),
                (
                    "after one more throw",
                    Found(
                        ("penalty.missed_mandatory", "penalty.incorrect_lie"),
                        "The throw from beyond is not counted; the drop zone is next (question QA-MIS-3).",
                    ),
                ),
                (
                    "after more than one throw",
                    Found(
                        ("penalty.missed_mandatory", "penalty.incorrect_lie_played_on"),
                        "Our reading: the wrong lie was played on from, so its two throws come to the mandatory’s one.",
                    ),
                ),
            ),
        ),
    ),
    Situation(
        "lost",
        REST,
        "Lost disc",
        "search, three minutes, stolen, taken, found",
        Ask(
            "What is known?",
            (
                ("not found in three minutes", _DROP_ZONE),
                ("scored as lost, and now shown to have been taken", _one("lost_disc_taken")),
                (
                    "found within three minutes",
                    Free("Found in time it is not lost.", f"{OR}805.03"),
                ),
            ),
        ),
    ),
    Situation(
        "vote",
        REST,
        "The group does not agree where the disc was",
        "vote, dispute, majority, benefit",
        Ask(
            "How many of the group, the thrower included, say that it costs a penalty?",
            votes=True,
            answers=(
                (
                    "more than half",
                    Ask(
                        "What do they say?",
                        (
                            ("out of bounds", _one("out_of_bounds")),
                            ("in a hazard", _one("hazard")),
                            ("a missed mandatory", _one("missed_mandatory")),
                        ),
                    ),
                ),
                (
                    "half or fewer",
                    Free("Without a majority the thrower has the benefit.", f"{OR}801.02, question QA-APP-4"),
                ),
            ),
        ),
    ),
    # ------------------------------------------------------------------------------------------ conduct and equipment
    Situation(
        "courtesy",
        CONDUCT,
        "Courtesy",
        "noise, swearing, distracting, littering, phone, search, smoking",
        Ask(
            "Which rule of courtesy? A warning counts for the same one only.",
            (
                ("distracted others: noise, movement, out of turn, ahead", _one("courtesy_distracting")),
                ("threw while somebody could be hit", _one("courtesy_danger")),
                ("refused to search, to move discs or bags, or to keep score", _one("courtesy_help")),
                ("left litter, or let others breathe smoke", _one("courtesy_litter")),
                ("another one", _one("courtesy")),
            ),
        ),
    ),
    Situation(
        "interference",
        CONDUCT,
        "Somebody or something stopped or moved a disc",
        "interference, hit a bag, caught",
        Ask(
            "Whose doing was it?",
            (
                ("the thrower, or the thrower’s own bag or cart", _one("interference")),
                ("a player, on purpose", _one("interference_intentional")),
                (
                    "somebody else, by mistake",
                    Free("Nobody has a penalty throw.", "Official Rules 2025, 810 (from memory)"),
                ),
            ),
        ),
    ),
    Situation("damage", CONDUCT, "Damaged the course on purpose", "broke, cut, vandal", _one("damage")),
    Situation("device", CONDUCT, "Used an illegal device", "aid, support, pad", _one("illegal_device")),
    Situation(
        "disc",
        CONDUCT,
        "Threw an illegal or unmarked disc",
        "broken, crack, too heavy, no name",
        Elsewhere(DISCS, "Calls about a thrown disc have a page of their own, with the player’s discs."),
    ),
    Situation(
        "conduct",
        CONDUCT,
        "Warning for the whole event",
        "director, conduct, unsporting, behaviour, 3.03",
        Elsewhere(EVENT_WARNING, "Only the director gives it. It lasts for all rounds and playoffs."),
    ),
)
