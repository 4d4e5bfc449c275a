"""Duplicates sent to other collections for good, and who of them was told of a later name."""

from django.conf import settings
from django.db import models

from vouchers.loans import numbers
from vouchers.loans.models import Paper


class Sending(Paper):
    """A parcel of duplicates in exchange."""

    LETTER = numbers.SENDING

    sent_on = models.DateField()
    note = models.CharField(max_length=300, blank=True)


class SentDuplicate(models.Model):
    """One duplicate of a sending, and the name it bore when it left (None: it was not named)."""

    sending = models.ForeignKey(Sending, on_delete=models.PROTECT, related_name="duplicates")
    part = models.OneToOneField("vouchers.Part", on_delete=models.PROTECT, related_name="sent_in_exchange")
    named = models.ForeignKey(
        "ledger.Determination", null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["sending_id", "id"]

    def __str__(self) -> str:
        return f"{self.part} in {self.sending}"


class ToldOfName(models.Model):
    """The receiver of a duplicate was told of a later determination, by whatever way."""

    duplicate = models.ForeignKey(SentDuplicate, on_delete=models.PROTECT, related_name="told")
    determination = models.ForeignKey("ledger.Determination", on_delete=models.PROTECT, related_name="+")
    told_at = models.DateTimeField()
    told_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["told_at", "id"]
        constraints = [
            models.UniqueConstraint(fields=["duplicate", "determination"], name="told_once_of_a_name")
        ]
