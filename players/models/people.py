"""Who plays. A person is known across events; what an event knows of them is its entry."""

from django.db import models
from django.db.models import Q

from players.names import fold, sort_key


class Membership(models.TextChoices):
    CURRENT = "current", "current"
    EXPIRED = "expired", "expired"
    NONE = "none", "no member"
    UNKNOWN = "unknown", "not known"


class PlayingClass(models.TextChoices):
    PRO = "pro", "professional"
    AM = "am", "amateur"
    UNKNOWN = "unknown", "not known"


class Person(models.Model):
    """One player. Birth year only: competition age counts by calendar year."""

    given_name = models.CharField(max_length=60, blank=True)
    family_name = models.CharField(max_length=60)
    member_number = models.PositiveIntegerField(null=True, blank=True)
    birth_year = models.PositiveSmallIntegerField(null=True, blank=True)
    may_enter_f = models.BooleanField(
        null=True, blank=True, verbose_name="may enter F divisions", help_text="Empty: not known"
    )
    playing_class = models.CharField(
        max_length=8, choices=PlayingClass, default=PlayingClass.UNKNOWN, verbose_name="class"
    )
    rating = models.PositiveSmallIntegerField(null=True, blank=True)
    rating_date = models.DateField(null=True, blank=True)
    rated_rounds = models.PositiveIntegerField(null=True, blank=True)
    membership = models.CharField(max_length=8, choices=Membership, default=Membership.UNKNOWN)
    membership_expires = models.DateField(null=True, blank=True)
    town = models.CharField(max_length=60, blank=True)
    club = models.CharField(max_length=60, blank=True)
    country = models.CharField(max_length=40, blank=True)
    # Kept by save(): what a volunteer's three letters are matched against, and the order of lists.
    search_text = models.CharField(max_length=200, editable=False, db_index=True)
    sort_name = models.CharField(max_length=130, editable=False, db_index=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["member_number"],
                condition=Q(member_number__isnull=False),
                name="person_member_number_once",
                violation_error_message="Another person already has this member number.",
            ),
            models.CheckConstraint(
                condition=Q(family_name__gt=""),
                name="person_has_a_name",
                violation_error_message="A person needs a name.",
            ),
            models.CheckConstraint(
                condition=Q(birth_year__isnull=True) | Q(birth_year__range=(1900, 2100)),
                name="person_birth_year_plausible",
                violation_error_message="Write the birth year with four digits.",
            ),
            models.CheckConstraint(
                condition=Q(rating__isnull=True) | Q(rating__range=(1, 1200)),
                name="person_rating_plausible",
                violation_error_message="A rating lies between 1 and 1200.",
            ),
            models.CheckConstraint(
                condition=Q(playing_class__in=PlayingClass.values), name="person_class_known"
            ),
            models.CheckConstraint(
                condition=Q(membership__in=Membership.values), name="person_membership_known"
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def save(self, *args: object, **kwargs: object) -> None:
        self.index()
        fields = kwargs.get("update_fields")
        if fields is not None:
            kwargs["update_fields"] = {*fields, "search_text", "sort_name"}  # type: ignore[misc]
        super().save(*args, **kwargs)  # type: ignore[arg-type]

    def index(self) -> None:
        """Set what is searched and sorted by. `save` does; saving in bulk has to call it."""
        self.search_text = fold(f"{self.given_name} {self.family_name} {self.member_number or ''}")[:200]
        self.sort_name = sort_key(self.family_name, self.given_name)[:130]

    @property
    def name(self) -> str:
        return f"{self.given_name} {self.family_name}".strip()


class Contact(models.Model):
    """How to reach a person. A table of its own, so that no public query can pick it up by accident."""

    person = models.OneToOneField(Person, on_delete=models.CASCADE, related_name="contact", primary_key=True)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    emergency_name = models.CharField(max_length=120, blank=True)
    emergency_phone = models.CharField(max_length=40, blank=True)

    def __str__(self) -> str:
        return f"contact of {self.person_id}"
