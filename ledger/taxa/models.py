"""The reference as rows: taxa, sources, documented ranges, look-alikes; and the club's own ranges beside them."""

import uuid

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models

from ledger.languages import name_of


class Taxon(models.Model):
    name = models.CharField(max_length=120, unique=True)
    slug = models.SlugField(max_length=130, unique=True)
    authority = models.CharField(max_length=160, blank=True)
    family = models.CharField(max_length=80, blank=True)
    order = models.CharField(max_length=80, blank=True)
    vernacular = models.CharField(max_length=300, blank=True)
    note = models.CharField(max_length=500, blank=True)
    # Decimal degrees of the cell in which exact places are told to those not entitled; empty: not sensitive.
    blur_step_deg = models.FloatField(
        null=True,
        blank=True,
        choices=[
            (0.001, "0.001° (110 m)"),
            (0.01, "0.01° (1.1 km)"),
            (0.1, "0.1° (11 km)"),
            (1.0, "1° (111 km)"),
        ],
    )

    class Meta:
        ordering = ["name"]
        verbose_name_plural = "taxa"

    def __str__(self) -> str:
        return self.name


class Synonym(models.Model):
    taxon = models.ForeignKey(Taxon, on_delete=models.CASCADE, related_name="synonyms")
    name = models.CharField(max_length=160)

    class Meta:
        ordering = ["id"]
        constraints = [models.UniqueConstraint(fields=["taxon", "name"], name="synonym_once_per_taxon")]


class ClubName(models.Model):
    """A name that the club has for a taxon, in a language of its choice. One that is no longer used is ended, and is still
    understood. It replaces no other name."""

    taxon = models.ForeignKey(Taxon, on_delete=models.PROTECT, related_name="club_names")
    name = models.CharField(max_length=120)
    language = models.CharField(max_length=10)  # as html has it: de, cy
    source = models.CharField(max_length=300)  # who calls it so: a book, a person, "the club"
    # Nobody: it came with the ledger.
    added_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    added_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["language", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["taxon", "language", "name"],
                condition=models.Q(ended_at__isnull=True),
                name="club_name_once",
            )
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def language_called(self) -> str:
        return name_of(self.language)


class Source(models.Model):
    id = models.CharField(max_length=80, primary_key=True)
    citation = models.TextField()
    url = models.CharField(max_length=500, blank=True)
    year = models.CharField(max_length=20, blank=True)
    kind = models.CharField(max_length=40)
    voice = models.CharField(
        max_length=80, blank=True, help_text="The work it belongs to; sources of one voice are one."
    )

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return self.id


class DocumentedRange(models.Model):
    """What one source says of one trait of one taxon. Rows of the club's own have `entered_by`."""

    taxon = models.ForeignKey(Taxon, on_delete=models.CASCADE, related_name="ranges")
    trait = models.CharField(max_length=40)
    low_extreme = models.FloatField(null=True, blank=True, validators=[MinValueValidator(0)])
    low = models.FloatField(null=True, blank=True, validators=[MinValueValidator(0)])
    high = models.FloatField(null=True, blank=True, validators=[MinValueValidator(0)])
    high_extreme = models.FloatField(null=True, blank=True, validators=[MinValueValidator(0)])
    unit = models.CharField(max_length=10, blank=True)
    states = models.CharField(max_length=200, blank=True, help_text="State codes joined by |")
    condition = models.CharField(max_length=10, default="any")
    source = models.ForeignKey(Source, on_delete=models.PROTECT, related_name="ranges")
    note = models.CharField(max_length=300, blank=True)
    doubtful = models.BooleanField(default=False)
    binding = models.BooleanField(
        default=False, help_text="A house rule: beyond it is flagged even where a book allows."
    )
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT)
    entered_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True, help_text="A club range is ended, never deleted.")
    end_reason = models.CharField(max_length=300, blank=True)
    ended_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["taxon_id", "trait", "id"]
        verbose_name = "documented range"
        indexes = [models.Index(fields=["taxon", "trait"])]


class LookAlike(models.Model):
    """A pair that is confused, and what parts it."""

    taxon_a = models.ForeignKey(Taxon, on_delete=models.CASCADE, related_name="+")
    taxon_b = models.ForeignKey(Taxon, on_delete=models.CASCADE, related_name="+")
    what_parts_them = models.TextField()
    source = models.ForeignKey(Source, on_delete=models.PROTECT)


class ReferenceStamp(models.Model):
    """One row, marked anew by every change of the reference, so that each process knows when to read it again."""

    # Random, not a counter: a change rolled back and another made in its place must not look the same.
    mark = models.UUIDField(default=uuid.uuid4)
    loaded_at = models.DateTimeField(auto_now=True)
