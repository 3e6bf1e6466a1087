"""What a director adds to the run of a day."""

from django.db import models
from django.db.models import Q

from events.logistics.running.anchors import ANCHORS, CLOCK, FIXED, OF_A_ROUND
from events.logistics.running.laying import DESK, LANES
from events.setup.models import Event, Round

FARTHEST_MINUTES = 24 * 60


class RunItem(models.Model):
    """An item of a day: one of the director's own, or a usual one (`key`) that is kept otherwise, or taken out."""

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="run_items")
    day = models.DateField()
    key = models.CharField(max_length=40, blank=True, help_text="Of the usual item it stands for")
    label = models.CharField(max_length=80)
    lane = models.CharField(max_length=8, choices=list(LANES.items()), default=DESK)
    owner = models.CharField(max_length=60, blank=True)
    place = models.CharField(max_length=80, blank=True)
    anchor = models.CharField(max_length=14, choices=list(ANCHORS.items()))
    round = models.ForeignKey(
        Round, null=True, blank=True, on_delete=models.CASCADE, related_name="run_items"
    )
    clock = models.TimeField(null=True, blank=True)
    minutes = models.SmallIntegerField(default=0, help_text="After the anchor; before it, negative")
    lasts = models.PositiveSmallIntegerField(default=0, help_text="Minutes; 0: a moment")
    removed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["event", "day", "key"], condition=Q(key__gt=""), name="run_item_key_once"
            ),
            models.CheckConstraint(
                condition=Q(label__gt=""),
                name="run_item_labelled",
                violation_error_message="Say what happens.",
            ),
            models.CheckConstraint(condition=Q(lane__in=list(LANES)), name="run_item_lane_known"),
            models.CheckConstraint(
                condition=Q(minutes__range=(-FARTHEST_MINUTES, FARTHEST_MINUTES))
                & Q(lasts__range=(0, FARTHEST_MINUTES)),
                name="run_item_within_a_day",
                violation_error_message="It begins within a day of what it is tied to, and lasts a day at most.",
            ),
            models.CheckConstraint(
                condition=Q(anchor__in=[CLOCK, FIXED], clock__isnull=False, round__isnull=True)
                | Q(anchor__in=list(OF_A_ROUND), clock__isnull=True, round__isnull=False)
                | Q(
                    anchor__in=[name for name in ANCHORS if name not in {CLOCK, FIXED, *OF_A_ROUND}],
                    clock__isnull=True,
                    round__isnull=True,
                ),
                name="run_item_tied",
                violation_error_message="Write a time, or tie it to check-in, to a round or to the day.",
            ),
        ]

    def __str__(self) -> str:
        return self.label
