"""Entries: who wants to play in which division, what they paid, whether they stand at the table."""

import secrets

from django.conf import settings
from django.db import models
from django.db.models import Q

from events.setup.models import AddOn, Division, Event
from players.models import Person

CODE_ALPHABET = "23456789ABCDEFGHJKMNPQRSTVWXYZ"  # no 0 O 1 I L U: read aloud and typed from paper


def new_code() -> str:
    return "".join(secrets.choice(CODE_ALPHABET) for _ in range(8))


class Status(models.TextChoices):
    APPLIED = "applied", "applied, not paid"
    CONFIRMED = "confirmed", "confirmed"
    WAITLISTED = "waitlisted", "on the waitlist"
    WITHDRAWN = "withdrawn", "withdrawn"
    DID_NOT_PLAY = "did_not_play", "did not play"
    DID_NOT_FINISH = "did_not_finish", "did not finish"
    DISQUALIFIED = "disqualified", "disqualified"


class RatingSource(models.TextChoices):
    """Where the rating of an entry comes from."""

    ENTERED = "entered", "as entered"
    ESTIMATED = "estimated", "estimated here from a history"


IN_THE_FIELD = (Status.CONFIRMED, Status.DID_NOT_FINISH, Status.DISQUALIFIED)


class Entry(models.Model):
    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="entries")
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="entries")
    division = models.ForeignKey(Division, on_delete=models.PROTECT, related_name="entries")
    status = models.CharField(max_length=14, choices=Status, default=Status.APPLIED)
    code = models.CharField(max_length=8, default=new_code, unique=True, editable=False)
    received_at = models.DateTimeField(
        help_text="When the fee arrived (else the application): the order of entry"
    )
    # The rating as it stood at entry: eligibility, seeding and propagators rest on it.
    rating = models.PositiveSmallIntegerField(null=True, blank=True)
    rating_date = models.DateField(null=True, blank=True)
    rated_rounds = models.PositiveIntegerField(null=True, blank=True)
    rating_source = models.CharField(max_length=9, choices=RatingSource, default=RatingSource.ENTERED)
    fee_cents = models.PositiveIntegerField()
    paid_elsewhere_cents = models.PositiveIntegerField(
        default=0, help_text="Paid before, as the imported list says; desk payments are rows of their own"
    )
    pack = models.CharField("pack", max_length=20, blank=True, help_text="Size or kind of the player pack")
    pack_given_at = models.DateTimeField(null=True, blank=True)
    guardian = models.CharField(max_length=120, blank=True)
    conduct_signed_at = models.DateTimeField(null=True, blank=True)
    checked_in_at = models.DateTimeField(null=True, blank=True)
    checked_in_by = models.CharField(max_length=150, blank=True)
    exception = models.TextField(blank=True, help_text="Approval for a division that the rules would refuse")
    exception_by = models.CharField(max_length=150, blank=True)
    left_at = models.DateTimeField(null=True, blank=True, help_text="When withdrawn, absent or disqualified")
    left_reason = models.TextField(blank=True)
    filled_by = models.OneToOneField(
        "self", on_delete=models.SET_NULL, null=True, blank=True, related_name="took_place_of"
    )
    note = models.TextField(blank=True)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["event", "person"],
                name="entry_once_per_event",
                violation_error_message="This player is entered already.",
            ),
            models.CheckConstraint(condition=Q(status__in=Status.values), name="entry_status_known"),
            models.CheckConstraint(
                condition=Q(rating_source="entered") | Q(rating_source="estimated", rating__isnull=False),
                name="entry_rating_source_known",
                violation_error_message="A rating is entered, or estimated from a history; none has no source.",
            ),
            models.CheckConstraint(
                condition=Q(checked_in_at__isnull=True) | Q(status__in=(*IN_THE_FIELD, Status.DID_NOT_PLAY)),
                name="entry_checked_in_only_when_confirmed",
            ),
            models.CheckConstraint(
                condition=~Q(status__in=(Status.DISQUALIFIED,)) | Q(left_reason__gt=""),
                name="entry_disqualified_with_reason",
                violation_error_message="A disqualification needs its reason.",
            ),
        ]
        indexes = [models.Index(fields=["event", "status"], name="entry_by_status")]

    def __str__(self) -> str:
        return f"{self.person} {self.division}"

    @property
    def rating_is_estimated(self) -> bool:
        """Worked out here, so no rating of anybody's list: never to be shown without saying so."""
        return self.rating_source == RatingSource.ESTIMATED


class EntryAddOn(models.Model):
    entry = models.ForeignKey(Entry, on_delete=models.CASCADE, related_name="addons")
    addon = models.ForeignKey(AddOn, on_delete=models.PROTECT, related_name="sold")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["entry", "addon"], name="addon_once_per_entry")]

    def __str__(self) -> str:
        return f"{self.addon} for {self.entry_id}"


class Payment(models.Model):
    """Money that changed hands: positive in, negative out. Undone by a row of the opposite sign."""

    class Method(models.TextChoices):
        CASH = "cash", "cash"
        CARD = "card", "card"
        TRANSFER = "transfer", "bank transfer"
        ONLINE = "online", "online"
        OTHER = "other", "other"

    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="payments")
    amount_cents = models.IntegerField()
    method = models.CharField(max_length=8, choices=Method)
    at = models.DateTimeField()
    by = models.CharField(max_length=150)
    note = models.CharField(max_length=200, blank=True)
    undoes = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="undone_by"
    )

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=~Q(amount_cents=0),
                name="payment_not_zero",
                violation_error_message="A payment is not zero.",
            ),
            models.CheckConstraint(
                condition=Q(method__in=["cash", "card", "transfer", "online", "other"]),
                name="payment_method_known",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.amount_cents} {self.method}"


class ImportFile(models.Model):
    """An uploaded list on its way in: kept as it came, changed into entries only when confirmed."""

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="import_files")
    name = models.CharField(max_length=200)
    content = models.BinaryField()
    sha256 = models.CharField(max_length=64)
    sheet = models.CharField(max_length=100, blank=True)
    mapping = models.JSONField(null=True, help_text="Field → column index")
    answers = models.JSONField(
        default=dict, help_text="Row → person chosen where it was unclear, and the like"
    )
    uploaded_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL)
    uploaded_at = models.DateTimeField()
    confirmed_at = models.DateTimeField(null=True)

    def __str__(self) -> str:
        return self.name
