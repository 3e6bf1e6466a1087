"""People at work: who helps, how to reach them, what they may do, and which shift they stand."""

from django.db import models
from django.db.models import F, Q

from events.course.models import LayoutHole
from events.entries.models import Entry
from events.logistics.crew.duties import ANCHORS, CERTIFICATES, DUTIES, FARTHEST_MINUTES, label_of
from events.setup.models import Event, Round

ANCHOR_CHOICES = list(ANCHORS.items())


class Helper(models.Model):
    """A volunteer or one of the staff at one event. Whoever leaves stays as a row, so that it can be taken back."""

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="helpers")
    name = models.CharField(max_length=80)
    role = models.CharField(max_length=60, blank=True, help_text="As head official, or volunteer")
    channel = models.CharField(max_length=40, blank=True, help_text="Radio channel; a telephone is a contact")
    duties = models.JSONField(
        default=list, help_text="Codes of the duties they do; empty: any that asks no certificate"
    )
    entry = models.ForeignKey(
        Entry,
        null=True,
        blank=True,
        on_delete=models.SET_NULL,
        related_name="helpers",
        help_text="Plays here",
    )
    left_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(name__gt=""), name="helper_named", violation_error_message="Write a name."
            ),
            models.UniqueConstraint(
                fields=["event", "entry"],
                name="helper_once_per_entry",
                violation_error_message="This player helps already.",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class HelperContact(models.Model):
    """How to reach somebody, and whether they are of age. A table of its own, so that no roster picks it up."""

    helper = models.OneToOneField(Helper, on_delete=models.CASCADE, related_name="contact", primary_key=True)
    phone = models.CharField(max_length=40, blank=True)
    email = models.EmailField(blank=True)
    emergency = models.CharField(max_length=120, blank=True, help_text="Whom to call for them")
    minor = models.BooleanField(null=True, blank=True, help_text="Empty: not asked")
    guardian = models.CharField(max_length=160, blank=True, help_text="Of a minor: name and telephone")

    def __str__(self) -> str:
        return f"contact of {self.helper_id}"


class Certificate(models.Model):
    """What somebody may show. Without a day of expiry nobody knows whether it holds, so it does not count."""

    helper = models.ForeignKey(Helper, on_delete=models.CASCADE, related_name="certificates")
    kind = models.CharField(max_length=10, choices=list(CERTIFICATES.items()))
    expires_on = models.DateField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["helper", "kind"],
                name="certificate_once",
                violation_error_message="This certificate is there already.",
            ),
            models.CheckConstraint(condition=Q(kind__in=list(CERTIFICATES)), name="certificate_kind_known"),
        ]

    def __str__(self) -> str:
        return self.get_kind_display()


class FreeHours(models.Model):
    """When somebody can help. No row at all: nobody has asked."""

    helper = models.ForeignKey(Helper, on_delete=models.CASCADE, related_name="free_hours")
    starts_at = models.DateTimeField()
    ends_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(ends_at__gt=F("starts_at")),
                name="free_hours_end_after_start",
                violation_error_message="The hours end before they begin.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.starts_at:%d %H:%M}–{self.ends_at:%H:%M}"


class Need(models.Model):
    """A shift that has to be stood: what, where, when, by how many. Tied to a round it moves with the round."""

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="shift_needs")
    duty = models.CharField(max_length=9, choices=[(code, duty.label) for code, duty in DUTIES.items()])
    place = models.CharField(max_length=80)
    layout_hole = models.ForeignKey(
        LayoutHole, null=True, blank=True, on_delete=models.SET_NULL, related_name="shift_needs"
    )
    round = models.ForeignKey(
        Round, null=True, blank=True, on_delete=models.CASCADE, related_name="shift_needs"
    )
    from_anchor = models.CharField(max_length=14, choices=ANCHOR_CHOICES, blank=True)
    from_minutes = models.SmallIntegerField(default=0)
    to_anchor = models.CharField(max_length=14, choices=ANCHOR_CHOICES, blank=True)
    to_minutes = models.SmallIntegerField(default=0)
    starts_at = models.DateTimeField(null=True, blank=True)
    ends_at = models.DateTimeField(null=True, blank=True)
    people = models.PositiveSmallIntegerField(default=1)
    channel = models.CharField(max_length=40, blank=True)
    task = models.CharField(max_length=400, blank=True, help_text="Empty: as the duty says")
    road = models.BooleanField(default=False, help_text="Vehicles pass there")
    key = models.CharField(
        max_length=120, blank=True, editable=False, help_text="What it was worked out from; empty: by hand"
    )
    dropped_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["event", "key"], condition=Q(key__gt=""), name="need_key_once"),
            models.CheckConstraint(condition=Q(duty__in=list(DUTIES)), name="need_duty_known"),
            models.CheckConstraint(
                condition=Q(place__gt=""), name="need_placed", violation_error_message="Say where."
            ),
            models.CheckConstraint(
                condition=Q(people__range=(1, 30)),
                name="need_people_in_range",
                violation_error_message="A shift takes 1 to 30 people.",
            ),
            models.CheckConstraint(
                condition=Q(from_minutes__range=(-FARTHEST_MINUTES, FARTHEST_MINUTES))
                & Q(to_minutes__range=(-FARTHEST_MINUTES, FARTHEST_MINUTES)),
                name="need_within_a_day",
                violation_error_message="A shift begins and ends within a day of its round.",
            ),
            models.CheckConstraint(
                condition=Q(
                    round__isnull=False,
                    from_anchor__in=list(ANCHORS),
                    to_anchor__in=list(ANCHORS),
                    starts_at__isnull=True,
                    ends_at__isnull=True,
                )
                | Q(
                    round__isnull=True,
                    from_anchor="",
                    to_anchor="",
                    starts_at__isnull=False,
                    ends_at__isnull=False,
                    ends_at__gt=F("starts_at"),
                ),
                name="need_has_hours",
                violation_error_message="Tie it to a round, or write from when to when: the end after the start.",
            ),
        ]

    def __str__(self) -> str:
        return f"{label_of(self.duty)}, {self.place}"


class Post(models.Model):
    """Somebody on a shift. Taken off, the row goes and the log keeps it."""

    need = models.ForeignKey(Need, on_delete=models.CASCADE, related_name="posts")
    helper = models.ForeignKey(Helper, on_delete=models.PROTECT, related_name="posts")
    batch = models.UUIDField(null=True, blank=True, help_text="Of one suggestion taken as a whole")
    there_at = models.DateTimeField(null=True, blank=True, help_text="Seen at the post")
    made_at = models.DateTimeField()
    made_by = models.CharField(max_length=150)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["need", "helper"],
                name="post_once",
                violation_error_message="They stand this shift already.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.helper_id} at {self.need_id}"
