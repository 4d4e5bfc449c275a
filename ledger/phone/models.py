"""Blocks of collecting numbers that were handed out beforehand, and the numbers of them that came back unused."""

import uuid

from django.conf import settings
from django.db import models

from ledger.words import later


class Holder(models.TextChoices):
    PHONE = "phone", later("A phone")
    PAPER = "paper", later("Paper slips")


class NumberBlock(models.Model):
    """Serials `first` to `last` of one finder, for one phone or one set of paper slips. No two blocks overlap.

    The identity is made by whoever asks, so that a request sent twice gets one block.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    member = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="number_blocks"
    )
    holder = models.CharField(max_length=5, choices=Holder.choices)
    label = models.CharField(max_length=80, blank=True)  # which phone, or what the slips are for
    phone = models.UUIDField(
        null=True, blank=True
    )  # the phone's own identity, made by it; None: paper, or not told
    first = models.PositiveIntegerField()
    last = models.PositiveIntegerField()
    reserved_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    reserved_at = models.DateTimeField()
    returned_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-reserved_at", "-first"]
        indexes = [models.Index(fields=["member", "first"], name="block_of_member")]

    def __str__(self) -> str:
        return f"{self.member.collector_code} {self.first} to {self.last}"

    @property
    def is_out_on_a_phone(self) -> bool:
        """Whether a phone may still give one of these numbers, unseen by the ledger."""
        return self.holder == Holder.PHONE and self.returned_at is None


class VoidNumber(models.Model):
    """A reserved number that no find will ever have."""

    member = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="void_numbers"
    )
    serial = models.PositiveIntegerField()
    block = models.ForeignKey(NumberBlock, on_delete=models.PROTECT, related_name="void_numbers")
    voided_at = models.DateTimeField()

    class Meta:
        ordering = ["member_id", "serial"]
        constraints = [models.UniqueConstraint(fields=["member", "serial"], name="number_void_once")]


class Receipt(models.Model):
    """One message of a phone that the ledger took: sent again, it is answered as the first time and changes nothing.

    `typed_at` is the phone's own time of the last key in it, by which an older message is told from a newer one.
    """

    find = models.ForeignKey("ledger.Find", on_delete=models.CASCADE, related_name="receipts")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    phone = models.UUIDField(null=True)
    digest = models.CharField(max_length=64)
    typed_at = models.DateTimeField(null=True)
    version = models.PositiveIntegerField()
    taken_at = models.DateTimeField()

    class Meta:
        ordering = ["id"]


class AnnouncedPhoto(models.Model):
    """A photo that a phone said belongs to a find, and that comes after it. It stays on record when it has come.

    `refused_at`: it came and was no photo that the ledger takes; it lies in the outbox of the phone, and is not awaited.
    `is_told_late`: the find was checked again because the photo had not come for days.
    """

    find = models.ForeignKey("ledger.Find", on_delete=models.CASCADE, related_name="announced_photos")
    sha256 = models.CharField(max_length=64)
    view = models.CharField(max_length=20, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    phone = models.UUIDField(null=True)
    announced_at = models.DateTimeField()
    arrived_at = models.DateTimeField(null=True)
    refused_at = models.DateTimeField(null=True)
    is_told_late = models.BooleanField(default=False)

    class Meta:
        ordering = ["announced_at", "id"]
        constraints = [
            models.UniqueConstraint(fields=["find", "sha256"], name="photo_announced_once"),
        ]
        indexes = [
            models.Index(
                fields=["announced_at"],
                condition=models.Q(arrived_at__isnull=True, is_told_late=False),
                name="photo_on_its_way",
            )
        ]


class WaitingVersion(models.Model):
    """Another version of a find, on a phone whose holder has yet to choose between the two. Ended when one is taken."""

    find = models.ForeignKey("ledger.Find", on_delete=models.CASCADE, related_name="waiting_versions")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    phone = models.UUIDField(null=True)
    since = models.DateTimeField()
    ended_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["since", "id"]
