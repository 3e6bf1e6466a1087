"""Spot checks that anybody can verify: pool and commitment first, public randomness after, never overwritten."""

from django.db import models
from django.db.models import Q

from events.setup.models import Round


class SpotCheck(models.Model):
    class Method(models.TextChoices):
        KEYED = "keyed", "ranked by keyed hash"
        RFC3797 = "rfc3797", "RFC 3797"

    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="spot_checks")
    number = models.PositiveSmallIntegerField(help_text="1, 2 … within the round")
    method = models.CharField(max_length=8, choices=Method)
    wanted = models.PositiveSmallIntegerField(help_text="Players to draw")
    spares = models.PositiveSmallIntegerField()
    source = models.CharField(max_length=300, help_text="Where the numbers will come from, and when")
    pool = models.JSONField(help_text="[label, entry, name] of each player, in the published order")
    secret = models.CharField(max_length=64, help_text="Shown only once the draw is made")
    commitment = models.CharField(max_length=64)
    frozen_at = models.DateTimeField()
    frozen_by = models.CharField(max_length=150)
    numbers = models.JSONField(null=True, help_text="The announced numbers, one list per source")
    result = models.JSONField(null=True, help_text="Labels in the order drawn: wanted, then spares")
    drawn_at = models.DateTimeField(null=True)
    drawn_by = models.CharField(max_length=150, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["round", "number"], name="spot_check_number_once"),
            models.CheckConstraint(
                condition=Q(numbers__isnull=True, result__isnull=True, drawn_at__isnull=True)
                | Q(numbers__isnull=False, result__isnull=False, drawn_at__isnull=False),
                name="spot_check_drawn_whole",
            ),
            models.CheckConstraint(condition=Q(wanted__gt=0), name="spot_check_wants_somebody"),
            models.CheckConstraint(
                condition=Q(method__in=["keyed", "rfc3797"]), name="spot_check_method_known"
            ),
        ]

    def __str__(self) -> str:
        return f"spot check {self.number} of round {self.round_id}"
