"""Money that no other room writes: own lines of income and expense, and counts of the cash box."""

from django.db import models
from django.db.models import Q

from events.entries.models import Payment
from events.setup.models import Event


class MoneyLine(models.Model):
    """One line of income (above zero) or expense (below). Put right by a line of the opposite sign."""

    class Category(models.TextChoices):
        ADDED_CASH = "added_cash", "added cash"
        DONATION = "donation", "donation"
        SALES = "sales", "things sold"
        OTHER_IN = "other_in", "other income"
        PACKS = "packs", "player packs bought"
        PRIZES = "prizes", "trophies and prizes bought"
        CHARGES = "charges", "transaction fees"
        PER_PLAYER = "per_player", "per-player fees"
        SANCTION = "sanction", "sanction fee"
        MEMBERSHIP = "membership", "temporary membership fees"
        GREENS = "greens", "greens fees"
        SERIES = "series", "series fees"
        TD_FEE = "td_fee", "TD fee"
        COURSE = "course", "course and hire"
        PRINTING = "printing", "printing and signs"
        STAFF = "staff", "food and staff"
        OTHER_OUT = "other_out", "other expense"

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="money_lines")
    category = models.CharField(max_length=12, choices=Category)
    amount_cents = models.IntegerField(help_text="Above zero: came in; below: went out")
    method = models.CharField(max_length=8, choices=Payment.Method)
    on = models.DateField("day")
    who = models.CharField(max_length=120, help_text="Who gave it, or was paid")
    receipt = models.CharField("receipt number", max_length=40, blank=True)
    note = models.CharField(max_length=200, blank=True)
    submission = models.UUIDField(unique=True, help_text="Made by the page: sent twice, kept once")
    at = models.DateTimeField()
    by = models.CharField(max_length=150)
    undoes = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="undone_by"
    )

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(amount_cents=0),
                name="money_line_not_zero",
                violation_error_message="An amount is not zero.",
            ),
            models.CheckConstraint(
                condition=Q(method__in=["cash", "card", "transfer", "online", "other"]),
                name="money_line_method_known",
            ),
            models.CheckConstraint(condition=Q(who__gt=""), name="money_line_says_who"),
        ]

    def __str__(self) -> str:
        return f"{self.get_category_display()}: {self.amount_cents}"


class BoxCount(models.Model):
    """The cash box counted piece by piece, and on closing what the other methods show. The newest of a kind holds."""

    class Kind(models.TextChoices):
        OPENING = "opening", "float at opening"
        CLOSING = "closing", "count"

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="box_counts")
    kind = models.CharField(max_length=7, choices=Kind)
    pieces = models.JSONField(help_text="[face in cents, how many], as counted")
    counted = models.JSONField(
        help_text="Method → cents as counted or read off; a missing one was not looked at"
    )
    expected = models.JSONField(help_text="Method → cents as the lines said at that moment")
    reason = models.CharField(max_length=300, blank=True, help_text="Why it differs")
    reason_by = models.CharField(max_length=150, blank=True)
    submission = models.UUIDField(unique=True, help_text="Made by the page: sent twice, kept once")
    at = models.DateTimeField()
    by = models.CharField(max_length=150)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(condition=Q(kind__in=["opening", "closing"]), name="box_count_kind_known"),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} at {self.at}"

    @property
    def differences(self) -> dict[str, int]:
        """Method → counted less expected, of those that were counted. A float has none."""
        if self.kind == self.Kind.OPENING:
            return {}
        return {method: cents - self.expected.get(method, 0) for method, cents in self.counted.items()}
