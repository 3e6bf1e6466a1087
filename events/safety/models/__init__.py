"""What the weather does, when play is stopped, and what everybody is told."""

from events.safety.models.completions import Completion
from events.safety.models.duties import Assignment, EmergencyPlan
from events.safety.models.notices import Notice
from events.safety.models.readings import Evidence, Reading, ThresholdSet
from events.safety.models.suspensions import HornSound, Position, Suspension

__all__ = [
    "Assignment",
    "Completion",
    "EmergencyPlan",
    "Evidence",
    "HornSound",
    "Notice",
    "Position",
    "Reading",
    "Suspension",
    "ThresholdSet",
]
