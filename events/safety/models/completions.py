"""What was chosen for a division whose round could not be finished."""

from django.db import models
from django.db.models import Q

from events.setup.models import Division, Event, Round


class Completion(models.Model):
    """One choice for one division and round; a later row takes its place, and the earlier stays to be read."""

    class Option(models.TextChoices):
        FINISH_LATER = "finish_later", "finish this round on a scheduled day"
        COMMON_HOLES = "common_holes", "count the holes that everyone has finished"
        LAST_ROUND = "last_round", "results after the last finished round"
        NOT_OFFICIAL = "not_official", "reschedule, or refund"

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="completions")
    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="completions")
    division = models.ForeignKey(Division, on_delete=models.CASCADE, related_name="completions")
    option = models.CharField(max_length=12, choices=Option)
    common = models.JSONField(default=list, help_text="Labels of the holes that everyone has finished")
    approval = models.CharField(max_length=200, blank=True, help_text="Who approved it, when and how")
    reason = models.CharField(max_length=200, blank=True)
    at = models.DateTimeField()
    by = models.CharField(max_length=150)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(option__in=["finish_later", "common_holes", "last_round", "not_official"]),
                name="completion_option_known",
            ),
            models.CheckConstraint(
                condition=Q(option__in=["finish_later", "not_official"]) | Q(approval__gt=""),
                name="completion_approved",
                violation_error_message="Write who approved it.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.division}: {self.option}"
