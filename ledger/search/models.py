"""What the search, the list, the map and the season read instead of the finds themselves. Derived, never typed.

Written by `search.keeping` only, which the actions call by name; `manage.py rebuild_search` makes it anew. Every index
is named for the question it answers. A sort key is one number, so that a page goes on from the last row of the one
before, however many finds there are.
"""

from django.conf import settings
from django.db import models

from ledger.finds.models import Find, Status


class FindIndex(models.Model):
    """One find as one row. Positions are twofold: exact, and as every member may see them."""

    id = models.BigAutoField(primary_key=True)
    find = models.OneToOneField(Find, on_delete=models.CASCADE, related_name="indexed")
    # Day and moment of logging in one number, see `search.keys`; a find without a day stands before all others.
    latest = models.BigIntegerField()
    logged_at = models.DateTimeField()

    found_on = models.DateField(null=True)
    year = models.SmallIntegerField(null=True)
    month = models.SmallIntegerField(null=True)
    week = models.SmallIntegerField(null=True)  # ISO week, 1 to 53

    finder = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", db_index=False
    )
    logged_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", db_index=False
    )
    foray = models.ForeignKey(
        "ledger.Foray", null=True, on_delete=models.PROTECT, related_name="+", db_index=False
    )
    # Of the current determination, where it is known to the reference.
    taxon = models.ForeignKey(
        "ledger.Taxon", null=True, on_delete=models.PROTECT, related_name="+", db_index=False
    )
    name_key = models.CharField(max_length=120)  # by which names are sorted; unnamed finds last
    status = models.CharField(max_length=10, choices=Status.choices)

    collecting_code = models.CharField(max_length=6)
    collecting_serial = models.PositiveIntegerField()
    collecting_suffix = models.CharField(max_length=2, blank=True)
    accession_number = models.CharField(max_length=24, blank=True)

    # Side of the cell in which the place is told to those not entitled; None: every member sees it exactly.
    step_deg = models.FloatField(null=True)
    latitude = models.FloatField(null=True)
    longitude = models.FloatField(null=True)
    # As every member may see it: the middle of the cell of `step_deg`, else the exact place.
    open_latitude = models.FloatField(null=True)
    open_longitude = models.FloatField(null=True)
    # Cells of the open place on nets of 10, 1, 0.1 and 0.01 degrees, numbered by `search.keys.cell_number`. On a net
    # as coarse as `step_deg` or coarser it is the cell of the exact place too: those nets lie in each other.
    cell_10 = models.IntegerField(null=True)
    cell_1 = models.IntegerField(null=True)
    cell_01 = models.IntegerField(null=True)
    cell_001 = models.IntegerField(null=True)

    class Meta:
        indexes = [
            models.Index(fields=["-latest", "-id"], name="search_latest"),
            models.Index(fields=["-logged_at", "-id"], name="search_came_in"),
            models.Index(fields=["name_key", "-latest", "-id"], name="search_by_name"),
            models.Index(
                fields=["collecting_code", "collecting_serial", "collecting_suffix", "id"],
                name="search_by_number",
            ),
            models.Index(fields=["collecting_serial"], name="search_bare_number"),
            models.Index(fields=["accession_number"], name="search_accession"),
            models.Index(fields=["taxon", "-latest", "-id"], name="search_taxon"),
            models.Index(fields=["finder", "-latest", "-id"], name="search_finder"),
            models.Index(
                fields=["finder", "collecting_code", "collecting_serial", "collecting_suffix", "id"],
                name="search_finder_number",
            ),
            models.Index(fields=["month", "-latest", "-id"], name="search_month"),
            models.Index(fields=["logged_by", "-latest", "-id"], name="search_logged_by"),
            # With what tells whether a member may know that it is of the foray, so that a list of forays counts by it alone.
            models.Index(
                fields=["foray", "-latest", "-id", "step_deg", "finder", "logged_by"], name="search_foray"
            ),
            models.Index(fields=["status", "-latest", "-id"], name="search_status"),
            models.Index(fields=["cell_001"], name="search_cell"),
        ]

    def __str__(self) -> str:
        return f"{self.collecting_code} {self.collecting_serial}{self.collecting_suffix}"


class SearchWord(models.Model):
    """A folded word that stands somewhere in a find, once for each kind of thing it stands in."""

    class Kind(models.TextChoices):
        PLACE = "place"  # locality, region, country, the foray's name and place
        NAME = "name"  # the current name as typed, the taxon's, the English one
        GUEST = "guest"  # who found it, where that is no member
        HOST = "host"
        FLAG = "flag"  # the code of an open flag, whole

    kind = models.CharField(max_length=5, choices=Kind.choices)
    word = models.CharField(max_length=40, db_index=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["kind", "word"], name="search_word_once")]

    def __str__(self) -> str:
        return f"{self.kind} {self.word}"


class WordUse(models.Model):
    """A word in a find. Not open: it tells of an exact place, and counts only for those who may see that."""

    id = models.BigAutoField(primary_key=True)
    word = models.ForeignKey(SearchWord, on_delete=models.CASCADE, related_name="uses", db_index=False)
    entry = models.ForeignKey(FindIndex, on_delete=models.CASCADE, related_name="words", db_index=False)
    latest = (
        models.BigIntegerField()
    )  # that of the entry, so that one word's finds come in the order of the list
    is_open = models.BooleanField()

    class Meta:
        indexes = [
            models.Index(fields=["word", "-latest", "-entry", "is_open"], name="search_word_latest"),
            models.Index(fields=["entry", "word", "is_open"], name="search_words_of_find"),
        ]


class NameOfWord(models.Model):
    """A name, by the key under which it is sorted, whose finds were once met by that word of a name. Never taken away: a
    name too many costs a look into an index. So a word is looked for in the order of names, name by name."""

    id = models.BigAutoField(primary_key=True)
    word = models.ForeignKey(SearchWord, on_delete=models.CASCADE, related_name="names", db_index=False)
    name_key = models.CharField(max_length=120)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["word", "name_key"], name="search_name_of_word")]

    def __str__(self) -> str:
        return self.name_key
