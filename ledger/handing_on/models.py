"""What was handed on, by whom; and who outside the club agreed to be named in it."""

import uuid

from django.conf import settings
from django.db import models


class AgreedName(models.Model):
    """Somebody who is no member (a guest, an outside determiner) and agreed that their name goes out with the records.

    `name` is as it stands beside the finds. Taken back it ends, and stays on record.
    """

    name = models.CharField(max_length=120)
    public_id = models.CharField(max_length=200, blank=True)
    noted_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    noted_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["name", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["name"], condition=models.Q(ended_at__isnull=True), name="agreed_name_once"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Handing(models.Model):
    """One file that was asked for: what of, and how far it has come. `done` counts finds; `sha256` is that of the
    whole file.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    kind = models.CharField(max_length=10)
    choices = models.JSONField(default=dict)
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    asked_at = models.DateTimeField()
    total = models.PositiveIntegerField(default=0)
    done = models.PositiveIntegerField(default=0)
    begun_at = models.DateTimeField(null=True, blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)
    byte_size = models.PositiveBigIntegerField(default=0)
    sha256 = models.CharField(max_length=64, blank=True)
    trouble = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-asked_at"]
        indexes = [models.Index(fields=["-asked_at"], name="handing_newest")]
