"""The append-only log: one chain of hashed rows per event, and one for the installation ("")."""

from django.db import models

from events.log.actions import Action


class AppendOnly(Exception):
    """Somebody tried to change or delete a row of the log."""


class Chain(models.Model):
    """The head of one chain. Locking this row orders the writers; it also shows a cut-off tail."""

    key = models.CharField(
        max_length=60, primary_key=True, help_text='Event slug, or "" for the installation'
    )
    length = models.PositiveBigIntegerField(default=0)
    head = models.CharField(max_length=64, default="")
    former = models.JSONField(
        default=list,
        help_text="[last number, key] of rows written under another key, before the event was opened here",
    )

    def __str__(self) -> str:
        return f"{self.key or 'installation'} ({self.length})"

    def key_at(self, number: int) -> str:
        """The key under which the row of this number was hashed."""
        return next((key for last, key in self.former if number <= last), self.key)


class Act(models.Model):
    """One act: who did what to which thing, when, and why. Never changed, never deleted."""

    chain = models.ForeignKey(Chain, on_delete=models.PROTECT, related_name="acts")
    number = models.PositiveBigIntegerField(help_text="1, 2, 3 … within the chain")
    at = models.DateTimeField()
    actor_id = models.BigIntegerField(
        null=True, help_text="Account, kept as a number so that it outlives the account"
    )
    actor = models.CharField(max_length=150, help_text="Name of the actor at that time")
    # No choices here: `record` takes members of Action only, and a new act needs no migration.
    action = models.CharField(max_length=40)
    subject = models.CharField(max_length=200, help_text="What it was done to, in words")
    detail = models.JSONField(default=dict, help_text="Old and new values, inputs, counts")
    reason = models.TextField(default="", blank=True)
    before = models.CharField(max_length=64, help_text="Hash of the row before")
    hash = models.CharField(max_length=64)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["chain", "number"], name="act_number_once_per_chain"),
            models.CheckConstraint(condition=models.Q(number__gte=1), name="act_number_from_one"),
        ]
        indexes = [models.Index(fields=["chain", "-number"], name="act_newest_first")]

    def __str__(self) -> str:
        return f"{self.number} {self.action} {self.subject}"

    def save(self, *args: object, **kwargs: object) -> None:
        if not self._state.adding:
            raise AppendOnly("The log is append-only: write a new act instead.")
        super().save(*args, **kwargs)  # type: ignore[arg-type]

    def delete(self, *args: object, **kwargs: object) -> tuple[int, dict[str, int]]:
        raise AppendOnly("The log is append-only: nothing is deleted from it.")

    @property
    def action_words(self) -> str:
        """The act in words; its bare name where a newer version of the house has written it."""
        return str(Action(self.action).label) if self.action in Action.values else self.action
