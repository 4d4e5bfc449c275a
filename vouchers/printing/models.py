"""What was printed on each label, so that the next print can say what changed since."""

from django.conf import settings
from django.db import models


class PrintedLabel(models.Model):
    """One label in one PDF that was made. Never changed: the next print of the same label is another row.

    `key` says of what it is the label (`packet 12`, `slip 55`), whatever sheet it was printed on; `lines` is a list of
    [word of the line, text] as drawn, `digest` that of kind and lines. Lines hold the place as whoever printed saw it:
    they are shown through `compare.differences` only.
    """

    kind = models.CharField(max_length=12)
    key = models.CharField(max_length=60, db_index=True)
    number = models.CharField(max_length=40)
    voucher = models.ForeignKey(
        "vouchers.Voucher", null=True, blank=True, on_delete=models.PROTECT, related_name="printed_labels"
    )
    lines = models.JSONField()
    digest = models.CharField(max_length=64)
    sheet = models.CharField(max_length=20)
    paper = models.CharField(max_length=12)
    printed_at = models.DateTimeField()
    printed_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.number}, {self.kind}"
