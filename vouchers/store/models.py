"""The places of the store, as a tree, and every move in it."""

from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from ledger.words import later


class PlaceKind(models.TextChoices):
    ROOM = "room", later("Room")
    CABINET = "cabinet", later("Cabinet")
    SHELF = "shelf", later("Shelf")
    BOX = "box", later("Box")
    TRAY = "tray", later("Tray")


class StorePlaceQuerySet(models.QuerySet["StorePlace"]):
    def open(self) -> Self:
        return self.filter(closed_at__isnull=True)


class StorePlace(models.Model):
    """A place where parts lie: a room, a cabinet in it, a shelf, a box, a tray. It is closed, never deleted."""

    kind = models.CharField(max_length=10, choices=PlaceKind)
    name = models.CharField(max_length=80)
    parent = models.ForeignKey("self", null=True, blank=True, on_delete=models.PROTECT, related_name="inside")
    capacity = models.PositiveIntegerField(null=True, blank=True)  # parts it holds; None: nobody counted
    number = models.PositiveIntegerField(unique=True)  # for its code: `TFG PLACE 17`
    closed_at = models.DateTimeField(null=True, blank=True)

    objects = StorePlaceQuerySet.as_manager()

    class Meta:
        ordering = ["number"]
        constraints = [
            models.CheckConstraint(
                condition=Q(parent__isnull=True) | ~Q(parent=F("id")), name="place_not_in_itself"
            )
        ]

    def __str__(self) -> str:
        return self.name


class Move(models.Model):
    """A part went from one place to another. Written with `Part.place`, never changed: where it was at any time is told
    by these rows."""

    part = models.ForeignKey("vouchers.Part", on_delete=models.PROTECT, related_name="moves")
    from_place = models.ForeignKey(
        StorePlace, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    to_place = models.ForeignKey(
        StorePlace, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    at = models.DateTimeField(db_index=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    why = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["id"]


class PlaceMove(models.Model):
    """A place went from one place to another with all in it: a box to another shelf."""

    place = models.ForeignKey(StorePlace, on_delete=models.PROTECT, related_name="moves")
    from_parent = models.ForeignKey(
        StorePlace, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    to_parent = models.ForeignKey(
        StorePlace, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    why = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["id"]
