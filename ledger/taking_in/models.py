"""What was taken in, from which file, and how the columns of such files were understood."""

import uuid

from django.conf import settings
from django.db import models

from ledger.words import later


class State(models.TextChoices):
    LOOKED_AT = "looked at", later("Looked at")  # nothing of it is written
    TAKEN_IN = "taken in", later("Taken in")
    UNDONE = "undone", later("Undone")


class TakingIn(models.Model):
    """One file that was given. Until somebody accepts it, this row and the file beside the ledger are all there is of it.

    `mapped`: what the columns are (`columns.Mapped`), empty where the file says so itself. `report`: what the dry run, or
    taking it in, said of each line, in English, and what each sentence is made of (`report.told_again`). `made`: keys of
    what was made beside the finds, to be undone with them.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    name = models.CharField(max_length=200)
    kind = models.CharField(max_length=10)  # archive, table, workbook
    sha256 = models.CharField(max_length=64)
    byte_size = models.PositiveBigIntegerField()
    encoding = models.CharField(max_length=20, blank=True)
    sheet = models.CharField(max_length=100, blank=True)
    mapped = models.JSONField(default=dict)
    waypoints = models.CharField(max_length=200, blank=True)  # name of the GPX file that came with it
    state = models.CharField(max_length=10, choices=State.choices, default=State.LOOKED_AT)
    report = models.JSONField(default=dict)
    made = models.JSONField(default=dict)
    given_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    given_at = models.DateTimeField()
    accepted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    accepted_at = models.DateTimeField(null=True, blank=True)
    undone_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    undone_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-given_at"]
        indexes = [models.Index(fields=["-given_at"], name="taking_in_newest")]

    def __str__(self) -> str:
        return self.name


class TakenFind(models.Model):
    """A find that came by a file. `identity` is what the record is known by, so that the same one given again changes
    nothing; `digest` is that of its row, so that a row which differs is told.

    `stood`: how the find stood right after, by which a later change of anybody is seen. `kept`: what the file told that
    the ledger has no box for.
    """

    taking_in = models.ForeignKey(TakingIn, on_delete=models.PROTECT, related_name="finds")
    find = models.OneToOneField("ledger.Find", on_delete=models.PROTECT, related_name="taken_in")
    line = models.PositiveIntegerField()
    identity = models.CharField(max_length=300, unique=True)
    digest = models.CharField(max_length=64)
    stood = models.CharField(max_length=64)
    kept = models.JSONField(default=dict)

    class Meta:
        ordering = ["line"]


class RememberedColumns(models.Model):
    """How the columns of a header were understood the last time, by its digest."""

    header = models.CharField(max_length=64, unique=True)
    mapped = models.JSONField(default=dict)
    kept_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    kept_at = models.DateTimeField()
