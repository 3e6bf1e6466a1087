"""What the director planned for the prizes, what was posted, what players said, what was handed out.

What is due to whom is never stored: it is worked out from the posted payout, the final places and these rows.
"""

from django.core.serializers.json import DjangoJSONEncoder
from django.db import models
from django.db.models import Q

from events.entries.models import Entry
from events.setup.models import Division, Event

UNITS = ((1, "to the cent"), (100, "whole units"), (500, "fives"))


class PrizePlan(models.Model):
    """The prizes of an event as far as they do not belong to one division."""

    event = models.OneToOneField(Event, on_delete=models.CASCADE, related_name="prize_plan")
    added_cents = models.PositiveIntegerField(
        default=0, help_text="Added cash for the professional divisions"
    )
    how = models.CharField(max_length=200, blank=True, help_text="How prizes are handed out, as published")
    fees_published_at = models.DateTimeField(
        null=True, blank=True, help_text="When the fees that pass through the entry fee were published"
    )
    fees_published_by = models.CharField(max_length=150, blank=True)
    version = models.PositiveIntegerField(default=1, editable=False)

    def __str__(self) -> str:
        return f"prizes of {self.event}"


class TakenTable(models.Model):
    """A table of percentages by place that the director brought in. Never changed: a new file is a new table."""

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="place_tables")
    name = models.CharField(max_length=60)
    source = models.CharField(max_length=300)
    rows = models.JSONField(help_text="Places paid → percentages as text")
    sha256 = models.CharField(max_length=64)
    taken_at = models.DateTimeField()
    taken_by = models.CharField(max_length=150)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["event", "name"],
                name="place_table_name_once",
                violation_error_message="A table of this name is here already: give it another one.",
            ),
            models.CheckConstraint(
                condition=Q(source__gt=""),
                name="place_table_has_source",
                violation_error_message="Say where the table comes from.",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class DivisionPlan(models.Model):
    """What the director chose for one division; what is empty follows the rules."""

    class Kind(models.TextChoices):
        MERCHANDISE = "merchandise", "merchandise"
        VOUCHER = "voucher", "vouchers"

    class Method(models.TextChoices):
        NONE = "", "not chosen"
        TABLE = "table", "a table"
        CURVE = "curve", "a curve"

    division = models.OneToOneField(Division, on_delete=models.CASCADE, related_name="prize_plan")
    method = models.CharField(max_length=5, choices=Method, default=Method.NONE, blank=True)
    table = models.ForeignKey(
        TakenTable, on_delete=models.PROTECT, null=True, blank=True, related_name="used_by"
    )
    curve_first_percent = models.PositiveSmallIntegerField(null=True, blank=True)
    curve_last_cents = models.PositiveIntegerField(default=0)
    unit_cents = models.PositiveSmallIntegerField(choices=UNITS, default=1)
    share_percent = models.PositiveSmallIntegerField(null=True, blank=True)
    fixed_cents = models.PositiveIntegerField(null=True, blank=True)
    extra_cents = models.PositiveIntegerField(default=0)
    extra_note = models.CharField(max_length=200, blank=True)
    places = models.PositiveSmallIntegerField(null=True, blank=True)
    pack_cents = models.PositiveIntegerField(default=0, help_text="Retail value of each player's pack")
    true_amateur = models.BooleanField(default=False, help_text="Trophies only")
    trophies = models.PositiveSmallIntegerField(null=True, blank=True)
    amateur_kind = models.CharField(max_length=11, choices=Kind, default=Kind.MERCHANDISE)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(method__in=["", "table", "curve"]), name="division_plan_method_known"
            ),
            models.CheckConstraint(
                condition=~Q(method="table") | Q(table__isnull=False),
                name="division_plan_names_its_table",
                violation_error_message="Choose the table.",
            ),
            models.CheckConstraint(
                condition=Q(unit_cents__in=[1, 100, 500]), name="division_plan_unit_known"
            ),
            models.CheckConstraint(
                condition=Q(amateur_kind__in=["merchandise", "voucher"]), name="division_plan_kind_known"
            ),
            models.CheckConstraint(
                condition=Q(curve_first_percent__isnull=True) | Q(curve_first_percent__range=(1, 100)),
                name="division_plan_first_in_range",
                violation_error_message="The first prize is 1 to 100 per cent of the purse.",
            ),
            models.CheckConstraint(
                condition=Q(share_percent__isnull=True) | Q(share_percent__range=(0, 500)),
                name="division_plan_share_in_range",
                violation_error_message="The share returned is 0 to 500 per cent.",
            ),
            models.CheckConstraint(
                condition=Q(places__isnull=True) | Q(places__range=(1, 200)),
                name="division_plan_places_in_range",
                violation_error_message="1 to 200 places are paid.",
            ),
        ]

    def __str__(self) -> str:
        return f"prizes of {self.division}"


class Payout(models.Model):
    """The payout as it was posted: a version, never changed. The newest one is what is paid."""

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="payouts")
    number = models.PositiveIntegerField()
    content = models.JSONField(encoder=DjangoJSONEncoder, help_text="Division code → purse, prizes, working")
    sha256 = models.CharField(max_length=64)
    posted_at = models.DateTimeField()
    posted_by = models.CharField(max_length=150)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["event", "number"], name="payout_version_once")]

    def __str__(self) -> str:
        return f"payout {self.number}"


class PrizeAnswer(models.Model):
    """What was said for a player's prize. The newest row counts; an empty answer takes the one before back."""

    class Said(models.TextChoices):
        NONE = "", "as the rules say"
        CASH = "cash", "takes cash"
        MERCHANDISE = "merchandise", "takes merchandise"
        VOUCHER = "voucher", "takes a voucher"
        NO_CASH = "no_cash", "declines cash: trophy only"
        DECLINED = "declined", "declines the prize"

    entry = models.ForeignKey(Entry, on_delete=models.CASCADE, related_name="prize_answers")
    said = models.CharField(max_length=11, choices=Said, blank=True)
    reason = models.CharField(max_length=200, blank=True)
    at = models.DateTimeField()
    by = models.CharField(max_length=150)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(said__in=["", "cash", "merchandise", "voucher", "no_cash", "declined"]),
                name="prize_answer_known",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_said_display()}"


class HandOver(models.Model):
    """A prize that changed hands. Taken back by a mark on the row, never by deleting it."""

    class Method(models.TextChoices):
        CASH = "cash", "cash"
        CHEQUE = "cheque", "cheque"
        ELECTRONIC = "electronic", "electronic payment"
        VOUCHER = "voucher", "voucher or gift code"
        GOODS = "goods", "goods in hand"

    class Kind(models.TextChoices):
        CASH = "cash", "cash"
        MERCHANDISE = "merchandise", "merchandise"
        VOUCHER = "voucher", "voucher"
        TROPHY = "trophy", "trophy"

    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="prizes_taken")
    division = models.ForeignKey(Division, on_delete=models.PROTECT, related_name="prizes_taken")
    place = models.PositiveSmallIntegerField()
    cents = models.PositiveIntegerField()
    kind = models.CharField(max_length=11, choices=Kind)
    method = models.CharField(max_length=10, choices=Method)
    note = models.CharField(max_length=200, blank=True)
    at = models.DateTimeField()
    by = models.CharField(max_length=150)
    taken_back_at = models.DateTimeField(null=True, blank=True)
    taken_back_by = models.CharField(max_length=150, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(kind__in=["cash", "merchandise", "voucher", "trophy"]),
                name="hand_over_kind_known",
            ),
            models.CheckConstraint(
                condition=Q(method__in=["cash", "cheque", "electronic", "voucher", "goods"]),
                name="hand_over_method_known",
            ),
            models.CheckConstraint(
                condition=Q(cents__gt=0) | Q(kind="trophy"),
                name="hand_over_of_something",
                violation_error_message="A prize that is handed out is worth something, or a trophy.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.cents} {self.kind} to {self.entry_id}"


class Forfeit(models.Model):
    """A prize that nobody claimed in time, with whom the director wrote to. Taken back by a mark on the row."""

    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="prizes_forfeited")
    cents = models.PositiveIntegerField(help_text="What was open of the prize; 0 for a trophy alone")
    asked = models.CharField(max_length=200, help_text="Who was written to, and how")
    asked_on = models.DateField(help_text="The last time")
    at = models.DateTimeField()
    by = models.CharField(max_length=150)
    taken_back_at = models.DateTimeField(null=True, blank=True)
    taken_back_by = models.CharField(max_length=150, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["entry"], condition=Q(taken_back_at__isnull=True), name="prize_forfeited_once"
            ),
            models.CheckConstraint(
                condition=Q(asked__gt=""),
                name="forfeit_says_who_was_asked",
                violation_error_message="Say who was written to, and how.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.cents} forfeited by {self.entry_id}"
