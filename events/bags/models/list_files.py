"""A list of approved discs on its way in: kept as it came, a snapshot only when confirmed."""

from django.db import models
from django.db.models import Q

from events.setup.models import Event
from players.models import ApprovedList


class ListFile(models.Model):
    """An uploaded file that waits for a look and a word. Once taken, only its name and its list stay."""

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="list_files")
    name = models.CharField(max_length=200)
    content = models.BinaryField()
    sha256 = models.CharField(max_length=64)
    as_of = models.DateField(help_text="The day that the list was taken from its publisher")
    kept_at = models.DateTimeField()
    kept_by = models.CharField(max_length=150)
    taken = models.ForeignKey(
        ApprovedList, null=True, on_delete=models.PROTECT, related_name="files", help_text="Empty: it waits"
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["event", "sha256", "as_of"],
                condition=Q(taken__isnull=True),
                name="list_file_waits_once",
            ),
        ]

    def __str__(self) -> str:
        return self.name
