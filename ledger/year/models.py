"""Counts from which the map, the season and the checklists are drawn, however many finds there are.

Derived from the index of finds, written by `year.counts` only. Each find is counted under its taxon and year, and under all
taxa and all years, so that no question adds up more rows than it draws.
"""

from django.db import models


class MapCount(models.Model):
    """Finds in one cell. `net` and `side` are places in `cells.SIDES_DEG`; side is coarser where a place is kept back."""

    id = models.BigAutoField(primary_key=True)
    net = models.SmallIntegerField()
    taxon = (
        models.IntegerField()
    )  # a taxon's key, cells.ALL or cells.NONE; no reference, since it has two of its own
    year = models.SmallIntegerField()
    side = models.SmallIntegerField()
    cell = models.IntegerField()  # as `search.keys.cell_number`
    n = models.IntegerField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["net", "taxon", "year", "side", "cell"], name="map_count_once")
        ]
        indexes = [models.Index(fields=["net", "side", "cell", "year", "taxon"], name="map_count_cell")]


class SeasonCount(models.Model):
    """Finds of one ISO week, 1 to 53; cells.NONE: without a day."""

    id = models.BigAutoField(primary_key=True)
    year = models.SmallIntegerField()
    taxon = models.IntegerField()
    week = models.SmallIntegerField()
    n = models.IntegerField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["year", "taxon", "week"], name="season_count_once")]


class CountMove(models.Model):
    """A find that came under other counts and is not yet added to them.

    Saving a find adds a row here and locks none, so that two who save at once do not wait for each other's counts.
    """

    id = models.BigAutoField(primary_key=True)
    by = models.SmallIntegerField()  # +1 or -1
    taxon = models.IntegerField()
    year = models.SmallIntegerField()
    week = models.SmallIntegerField()
    step_deg = models.FloatField(null=True)
    cell_10 = models.IntegerField(null=True)
    cell_1 = models.IntegerField(null=True)
    cell_01 = models.IntegerField(null=True)
    cell_001 = models.IntegerField(null=True)
