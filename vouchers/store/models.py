"""The places of the store, as a tree."""

from django.db import models


class PlaceKind(models.TextChoices):
    ROOM = "room", "Room"
    CABINET = "cabinet", "Cabinet"
    SHELF = "shelf", "Shelf"
    BOX = "box", "Box"
    TRAY = "tray", "Tray"


class StorePlace(models.Model):
    """A place where parts lie: a room, a cabinet in it, a shelf, a box, a tray."""

    kind = models.CharField(max_length=10, choices=PlaceKind)
    name = models.CharField(max_length=80)
    parent = models.ForeignKey("self", null=True, blank=True, on_delete=models.PROTECT, related_name="inside")
    capacity = models.PositiveIntegerField(null=True, blank=True)  # parts it holds; None: nobody counted
    number = models.PositiveIntegerField(unique=True)  # for its code: `TFG PLACE 17`
    closed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["number"]

    def __str__(self) -> str:
        return self.name
