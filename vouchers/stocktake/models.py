"""Stocktakes: a place is walked with all in it, what is seen is held against the record, each difference is settled."""

import uuid

from django.conf import settings
from django.db import models

from ledger.words import say_again
from vouchers.stocktake.said import code_shown
from vouchers.stocktake.ways import KIND_WORDS, way_of


class Stocktake(models.Model):
    """One walk through a place and all inside it, from its opening until it is signed off, or given up.

    `scope`: the keys of those places as they stood at the opening. A box that is moved later is walked all the same.
    """

    place = models.ForeignKey("vouchers.StorePlace", on_delete=models.PROTECT, related_name="+")
    scope = models.JSONField()
    opened_at = models.DateTimeField()
    opened_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    signed_at = models.DateTimeField(null=True, blank=True)
    signed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    signed_words = models.CharField(max_length=300, blank=True)
    # What the record said at signing off: how many were expected, and how many of them were seen.
    expected = models.PositiveIntegerField(null=True, blank=True)
    seen = models.PositiveIntegerField(null=True, blank=True)
    # The record itself, as it was held against what was seen (`compare.told`): what somebody was writing at that moment,
    # with a time before it, changes nothing of what was signed. None for those signed before it was kept.
    record = models.JSONField(null=True, blank=True)
    given_up_at = models.DateTimeField(null=True, blank=True)
    given_up_why = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-opened_at"]

    @property
    def is_open(self) -> bool:
        return self.signed_at is None and self.given_up_at is None


class Sighting(models.Model):
    """One code as one person saw it, in one place. The key is made where it is seen, so that sending twice is harmless.

    `part` is None where the code names none of ours. A sighting is taken back, never deleted.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    stocktake = models.ForeignKey(Stocktake, on_delete=models.PROTECT, related_name="sightings")
    text = models.CharField(max_length=60)
    part = models.ForeignKey(
        "vouchers.Part", null=True, blank=True, on_delete=models.PROTECT, related_name="sightings"
    )
    place = models.ForeignKey("vouchers.StorePlace", on_delete=models.PROTECT, related_name="+")
    seen_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    received_at = models.DateTimeField()
    taken_back_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["seen_at", "id"]
        indexes = [models.Index(fields=["part", "-seen_at"], name="sighting_last_of_part")]


class Settlement(models.Model):
    """What a curator decided of one difference. `key` and `said` are the difference as it was then (compare.Finding)."""

    stocktake = models.ForeignKey(Stocktake, on_delete=models.PROTECT, related_name="settlements")
    key = models.CharField(max_length=140)
    kind = models.CharField(max_length=12)
    text = models.CharField(max_length=60)
    said = models.CharField(max_length=400)
    # What `said` is made of, so that it is said in the language of its reader; empty in rows of before.
    said_of = models.JSONField(default=dict, blank=True)
    part = models.ForeignKey(
        "vouchers.Part", null=True, blank=True, on_delete=models.PROTECT, related_name="settlements"
    )
    way = models.CharField(max_length=20)
    reason = models.CharField(max_length=300)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["id"]
        constraints = [models.UniqueConstraint(fields=["stocktake", "key"], name="settled_once")]

    @property
    def words(self) -> str:
        """What was done, in words."""
        way = way_of(self.kind, self.way)
        return way.words if way else self.way

    @property
    def said_shown(self) -> str:
        """The difference in the reader's language; `said` holds it in English."""
        return say_again(self.said_of, otherwise=self.said)

    @property
    def kind_words(self) -> str:
        return KIND_WORDS.get(self.kind, self.kind)

    @property
    def text_shown(self) -> str:
        return code_shown(self.text)
