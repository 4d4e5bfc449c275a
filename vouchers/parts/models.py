"""What a voucher consists of: each part bears the number, with a suffix, and has a place of its own."""

from typing import Self

from django.conf import settings
from django.db import models

from ledger.words import Said
from vouchers.codes import LETTER_OF_KIND, PART_KINDS, kind_word


class PartQuerySet(models.QuerySet["Part"]):
    def there(self) -> Self:
        """Parts that are in the collection still; an ended one keeps its last place as a record of where it was."""
        return self.filter(ended_at__isnull=True)

    def with_number(self) -> Self:
        return self.select_related("voucher")


class Part(models.Model):
    """A packet, slide, spore print, tube ... of one voucher. It ends (used up, given away), it is never deleted.

    `place` is written by the store's move action only.
    """

    voucher = models.ForeignKey("vouchers.Voucher", on_delete=models.PROTECT, related_name="parts")
    kind = models.CharField(max_length=12, choices=[(kind.code, kind.label) for kind in PART_KINDS])
    suffix = models.CharField(max_length=4, blank=True)  # S1, D2; empty: the first packet
    note = models.CharField(max_length=200, blank=True)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    place = models.ForeignKey(
        "vouchers.StorePlace", null=True, blank=True, on_delete=models.PROTECT, related_name="parts"
    )
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_why = models.CharField(max_length=200, blank=True)

    objects = PartQuerySet.as_manager()

    class Meta:
        # In the order they were made: the packet first, S10 after S9.
        ordering = ["voucher_id", "id"]
        constraints = [models.UniqueConstraint(fields=["voucher", "suffix"], name="part_suffix_once")]

    def __str__(self) -> str:
        return self.number

    @property
    def number(self) -> str:
        """What its label says and its code holds: `TFG 2026-0118`, `TFG 2026-0118 S1`."""
        return f"{self.voucher} {self.suffix}".rstrip()

    @property
    def kind_word(self) -> Said:
        """Its kind within a sentence; `get_kind_display` where it stands alone."""
        return kind_word(self.kind)

    @property
    def letter(self) -> str:
        return LETTER_OF_KIND[self.kind]
