"""What players carry in each round, what was looked at, and what was called."""

from events.bags.models.calls import Call
from events.bags.models.carrying import Bag, BagAct, InBag
from events.bags.models.examining import Examination, ListInUse, ModelDecision, Question
from events.bags.models.list_files import ListFile
from events.bags.models.spot_checks import SpotCheck
from events.bags.models.weighing import Scale, ScaleCheck, Weighing

__all__ = [
    "Bag",
    "BagAct",
    "Call",
    "Examination",
    "InBag",
    "ListFile",
    "ListInUse",
    "ModelDecision",
    "Question",
    "Scale",
    "ScaleCheck",
    "SpotCheck",
    "Weighing",
]
