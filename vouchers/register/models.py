"""The register of vouchers: accession numbers given once, for life."""

from typing import Any, NoReturn

from django.conf import settings
from django.db import models

from vouchers.register.chain import BEGINNING, Head, Row
from vouchers.register.numbers import AccessionNumber
from vouchers.register.reasons import REASONS


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
    # Out of the collection: the number is retired, never given again.
    deaccessioned_at = models.DateTimeField(null=True, blank=True)
    deaccessioned_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    deaccession_reason = models.CharField(max_length=10, blank=True, choices=list(REASONS.items()))
    deaccession_words = models.CharField(max_length=400, blank=True)

    class Meta:
        ordering = ["-year", "-serial"]
        constraints = [
            models.UniqueConstraint(fields=["prefix", "year", "serial"], name="accession_number_once"),
        ]
        indexes = [models.Index(fields=["-year", "-serial"], name="voucher_newest")]

    def __str__(self) -> str:
        return str(self.number)

    @property
    def number(self) -> AccessionNumber:
        return AccessionNumber(self.prefix, self.year, self.serial)

    @property
    def slug(self) -> str:
        """The number as it stands in the address of its page: `TFG-2026-0118`."""
        return str(self).replace(" ", "-")


class EntryChanged(TypeError):
    """An entry of the register is only ever followed by a later one."""


class RegisterEntryQuerySet(models.QuerySet["RegisterEntry"]):
    def update(self, **_: Any) -> NoReturn:
        raise EntryChanged(
            "Entries of the register are never changed. Append another with register.entries.append."
        )

    def delete(self) -> NoReturn:
        raise EntryChanged(
            "Entries of the register are never deleted. Append another with register.entries.append."
        )


class RegisterEntry(models.Model):
    """One line of the register, in the order of writing. Appended by `register.entries.append` only.

    `body` is the JSON exactly as it was hashed; `kind` and `accession_number` are copies to look up by.
    """

    number = models.PositiveBigIntegerField(primary_key=True)
    kind = models.CharField(max_length=20)
    accession_number = models.CharField(max_length=24, db_index=True)
    body = models.TextField()
    before = models.CharField(max_length=64)
    digest = models.CharField(max_length=64)

    objects = RegisterEntryQuerySet.as_manager()

    class Meta:
        ordering = ["number"]

    def __str__(self) -> str:
        return f"Entry {self.number}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        if not self._state.adding:
            self.__class__.objects.update()
        super().save(*args, **{**kwargs, "force_insert": True})

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        self.__class__.objects.all().delete()

    @property
    def row(self) -> Row:
        return Row(self.number, self.kind, self.accession_number, self.body, self.before, self.digest)


class RegisterHead(models.Model):
    """One row: how far the register has come. Locked by whoever appends, after all other locks."""

    count = models.PositiveBigIntegerField(default=0)
    digest = models.CharField(max_length=64, default=BEGINNING)

    @property
    def head(self) -> Head:
        return Head(self.count, self.digest)
