"""When backups were made and rehearsed, for the keeper's page."""

from django.db import models

from ledger.words import later


class BackupRun(models.Model):
    """One run of `backup` or `rehearse` that ended, well or not. One that was killed leaves none."""

    class Kind(models.TextChoices):
        BACKUP = "backup", later("Backup")
        REHEARSAL = "rehearsal", later("Rehearsal")

    kind = models.CharField(max_length=10, choices=Kind.choices)
    ended_at = models.DateTimeField()
    good = models.BooleanField()
    said = models.TextField()
    place = models.CharField(max_length=500)  # as it is told to people: without key and secret
    file = models.CharField(max_length=200, blank=True)
    made_at = models.DateTimeField(null=True)  # of the backup that was made or rehearsed
    sealed = models.BooleanField(default=False)
    rows = models.PositiveBigIntegerField(default=0)
    originals = models.PositiveBigIntegerField(default=0)
    byte_size = models.PositiveBigIntegerField(default=0)

    class Meta:
        ordering = ["-ended_at", "-id"]
        indexes = [models.Index(fields=["kind", "-ended_at"], name="backup_run_newest")]
