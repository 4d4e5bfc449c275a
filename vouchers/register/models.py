"""The register of vouchers: accession numbers given once, for life."""

from django.conf import settings
from django.db import models

from vouchers.register.numbers import AccessionNumber


class RegisterYear(models.Model):
    """The counter of one prefix and year; locked while a number is given, so that the row of numbers has no gap."""

    prefix = models.CharField(max_length=8)
    year = models.PositiveSmallIntegerField()
    last_serial = models.PositiveIntegerField(default=0)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["prefix", "year"], name="register_year_once")]


class Voucher(models.Model):
    """A specimen kept as proof of a find."""

    find = models.OneToOneField("ledger.Find", on_delete=models.PROTECT, related_name="voucher")
    prefix = models.CharField(max_length=8)
    year = models.PositiveSmallIntegerField()
    serial = models.PositiveIntegerField()
    accessioned_at = models.DateTimeField()
    accessioned_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-year", "-serial"]
        constraints = [
            models.UniqueConstraint(fields=["prefix", "year", "serial"], name="accession_number_once"),
        ]

    def __str__(self) -> str:
        return str(self.number)

    @property
    def number(self) -> AccessionNumber:
        return AccessionNumber(self.prefix, self.year, self.serial)
