"""Box and bag. Acts are kept as they came, so that two people and a lost connection lose nothing."""

from django.db import models
from django.db.models import Q

from events.entries.models import Entry
from events.setup.models import Round
from players.models import Disc


class Bag(models.Model):
    """One entrant's bag of one round: made by the first act on it, from the bag of the round before."""

    entry = models.ForeignKey(Entry, on_delete=models.CASCADE, related_name="bags")
    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="bags")
    opened_from = models.ForeignKey(
        "self", null=True, on_delete=models.SET_NULL, related_name="+", help_text="The bag it started as"
    )
    declared_at = models.DateTimeField(null=True, blank=True)
    declared_by = models.CharField(max_length=150, blank=True)
    revision = models.PositiveIntegerField(default=0, help_text="Counts the acts on it")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["entry", "round"], name="bag_once_per_round")]

    def __str__(self) -> str:
        return f"bag of {self.entry_id} in round {self.round_id}"


class InBag(models.Model):
    """A piece in a bag, from when to when. A piece that joins after the declaration is a late addition."""

    bag = models.ForeignKey(Bag, on_delete=models.CASCADE, related_name="pieces")
    disc = models.ForeignKey(Disc, on_delete=models.PROTECT, related_name="in_bags")
    put_in_at = models.DateTimeField()
    put_in_by = models.CharField(max_length=150)
    late = models.BooleanField(default=False, help_text="Joined after the bag was declared")
    taken_out_at = models.DateTimeField(null=True, blank=True)
    taken_out_by = models.CharField(max_length=150, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["bag", "disc"], condition=Q(taken_out_at__isnull=True), name="piece_once_in_a_bag"
            )
        ]

    def __str__(self) -> str:
        return f"{self.disc_id} in {self.bag_id}"


class BagAct(models.Model):
    """One act as a phone or a desk sent it. `key` makes the same act sent twice one act."""

    class Kind(models.TextChoices):
        ADD = "add", "piece added to the box"
        CHANGE = "change", "piece changed"
        PUT_AWAY = "put_away", "piece put away"
        BRING_BACK = "bring_back", "piece back in the box"
        PUT_IN = "put_in", "put into the bag"
        TAKE_OUT = "take_out", "taken out of the bag"
        DECLARE = "declare", "bag declared"

    class Source(models.TextChoices):
        PHONE = "phone", "phone"
        DESK = "desk", "desk"

    key = models.UUIDField(unique=True)
    entry = models.ForeignKey(Entry, on_delete=models.CASCADE, related_name="bag_acts")
    round = models.ForeignKey(Round, null=True, on_delete=models.CASCADE, related_name="bag_acts")
    disc = models.ForeignKey(Disc, null=True, on_delete=models.PROTECT, related_name="acts")
    kind = models.CharField(max_length=10, choices=Kind)
    source = models.CharField(max_length=5, choices=Source)
    before = models.JSONField(default=dict, help_text="What stood in the fields that it changed")
    after = models.JSONField(default=dict)
    refused = models.CharField(max_length=200, blank=True, help_text="Why it was kept but not carried out")
    said_at = models.DateTimeField(null=True, help_text="The phone's own clock")
    received_at = models.DateTimeField()
    by = models.CharField(max_length=150)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    kind__in=[
                        "add",
                        "change",
                        "put_away",
                        "bring_back",
                        "put_in",
                        "take_out",
                        "declare",
                    ]
                ),
                name="bag_act_kind_known",
            ),
            models.CheckConstraint(condition=Q(source__in=["phone", "desk"]), name="bag_act_source_known"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} by {self.by}"
