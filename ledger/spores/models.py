"""Spores measured one by one: the raw pairs, in what they lay, how they were read, by whom. A later set ends an earlier."""

import uuid

from django.conf import settings
from django.db import models

from ledger.finds.models import Find, Reading
from ledger.words import later


class SporeSet(models.Model):
    """Spores of one find in one mount. Never changed: amended, it ends and another row takes its place; both stay.

    `pairs` are [length, width] in µm in the order they were typed. The readings of spore length and width that were made
    of it hold the same numbers in the same order.
    """

    class Mount(models.TextChoices):
        WATER = "water", later("water")
        KOH = "koh", later("KOH")
        MELZER = "melzer", later("Melzer's reagent")
        COTTON_BLUE = "cotton blue", later("cotton blue")
        LACTIC_ACID = "lactic acid", later("lactic acid")
        AMMONIA = "ammonia", later("ammonia")
        DRY = "dry", later("dry, no medium")
        OTHER = "other", later("another, see the note")

    class Material(models.TextChoices):
        PRINT = "print", later("a spore print")
        MATURE_FRESH = "mature fresh", later("a mature fruit body, fresh")
        MATURE_DRIED = "mature dried", later("a mature fruit body, dried")
        NOT_KNOWN_RIPE = "not known ripe", later("a fruit body that may not be mature")

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    find = models.ForeignKey(Find, on_delete=models.CASCADE, related_name="spore_sets")
    pairs = models.JSONField()
    typed = models.TextField(blank=True)  # as it was pasted; pairs are what was made of it
    mount = models.CharField(max_length=12, choices=Mount.choices)
    material = models.CharField(max_length=16, choices=Material.choices)
    fruit_bodies = models.PositiveSmallIntegerField(null=True, blank=True)
    magnification = models.PositiveIntegerField(null=True, blank=True)
    um_per_division = models.FloatField(null=True, blank=True)  # of the eyepiece scale, as calibrated
    resolution_um = models.FloatField(null=True, blank=True)  # to what the spores were read
    measured_on = models.DateField(null=True, blank=True)
    measured_by = models.CharField(max_length=120, blank=True)
    note = models.CharField(max_length=300, blank=True)
    length_reading = models.ForeignKey(
        Reading, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    width_reading = models.ForeignKey(
        Reading, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    replaces = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="replaced_by"
    )
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    ended_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["made_at", "id"]

    @property
    def spores(self) -> list[tuple[float, float]]:
        return [(length, width) for length, width in self.pairs]

    @property
    def is_reading(self) -> bool:
        """Whether the find's readings of length and of width are both made of it now."""
        return all(
            row is not None and row.ended_at is None for row in (self.length_reading, self.width_reading)
        )
