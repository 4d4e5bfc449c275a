"""Permits and leaves: in whose hands, from whom, for what, until when; and which forays and finds go under them."""

from datetime import date
from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import Q

from ledger.words import Later
from vouchers.permits.wording import FIELD_WORDS


class Permit(models.Model):
    """One permit or leave, in the words of whoever gave it. The ledger keeps the words; the law is the country's own."""

    issuer = models.CharField(max_length=160)
    reference = models.CharField(max_length=80, blank=True)
    holder = models.CharField(max_length=160)
    area = models.TextField()
    valid_from = models.DateField(null=True, blank=True)
    valid_until = models.DateField(null=True, blank=True)
    limits = models.TextField(blank=True)
    source = models.CharField(max_length=300)
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-valid_until", "issuer", "reference"]

    def __str__(self) -> str:
        return f"{self.issuer}, {self.reference}" if self.reference else self.issuer

    def covers(self, day: date) -> bool:
        """Whether the day lies within its dates; an open end covers all on that side."""
        return (self.valid_from is None or day >= self.valid_from) and (
            self.valid_until is None or day <= self.valid_until
        )


class PermitChange(models.Model):
    """One line of a permit's history: what was entered before. Never edited, never deleted."""

    permit = models.ForeignKey(Permit, on_delete=models.PROTECT, related_name="changes")
    field = models.CharField(max_length=20)
    old = models.TextField(blank=True)
    new = models.TextField(blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["at", "id"]

    @property
    def field_word(self) -> Later:
        return FIELD_WORDS[self.field]


class PermitUseQuerySet(models.QuerySet["PermitUse"]):
    def in_force(self) -> Self:
        return self.filter(ended_at__isnull=True)


class PermitUse(models.Model):
    """A foray, or a find alone, that went under a permit. Wrongly linked it is ended, with a reason."""

    permit = models.ForeignKey(Permit, on_delete=models.PROTECT, related_name="uses")
    foray = models.ForeignKey(
        "ledger.Foray", null=True, blank=True, on_delete=models.PROTECT, related_name="permit_uses"
    )
    find = models.ForeignKey(
        "ledger.Find", null=True, blank=True, on_delete=models.PROTECT, related_name="permit_uses"
    )
    linked_at = models.DateTimeField()
    linked_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    ended_why = models.CharField(max_length=200, blank=True)

    objects = PermitUseQuerySet.as_manager()

    class Meta:
        ordering = ["linked_at", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(foray__isnull=False, find__isnull=True)
                | Q(foray__isnull=True, find__isnull=False),
                name="permit_use_of_one_thing",
            ),
            models.UniqueConstraint(
                fields=["permit", "foray"], condition=Q(ended_at__isnull=True), name="permit_use_foray_once"
            ),
            models.UniqueConstraint(
                fields=["permit", "find"], condition=Q(ended_at__isnull=True), name="permit_use_find_once"
            ),
        ]
