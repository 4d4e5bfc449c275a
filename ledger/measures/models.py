"""What was measured on a photograph, with what scale, by whom: enough to do it again in ten years."""

import uuid

from django.conf import settings
from django.db import models

from ledger.finds.models import Photo, Reading
from ledger.words import Said, later, say_again


class PhotoScale(models.Model):
    """The scale of one photo: the printed card as it was found, or a ruler in frame as a person pointed it out.

    A photo that was looked at without finding a card has a row as well: it says why. A later look ends the earlier.
    Pixels are those of the upright original.
    """

    class Kind(models.TextChoices):
        CARD = "card", later("scale card")
        RULER = "ruler", later("ruler in frame")
        NONE = "none", later("no scale found")

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    photo = models.ForeignKey(Photo, on_delete=models.CASCADE, related_name="scales")
    kind = models.CharField(max_length=8, choices=Kind.choices)
    sentence = models.CharField(max_length=600, blank=True)  # how good it is, or why there is none
    said = models.JSONField(default=dict, blank=True)  # what that is made of, to be said in other languages
    view = models.JSONField(default=dict)  # see ledger/measuring/scale_json.py
    tilt_deg = models.FloatField(null=True, blank=True)
    mm_per_px = models.FloatField(null=True, blank=True)  # in the middle of the card, or along the ruler
    u_mm_per_px = models.FloatField(null=True, blank=True)
    grey_gains = models.JSONField(
        default=list
    )  # red, green, blue: for the view only, see ledger/measuring/grey.py
    printed_line_mm = models.FloatField(default=50.0)  # what the card's 50 mm line measured on paper
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )  # None: the ledger, when the photo came
    made_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["made_at", "id"]

    @property
    def in_words(self) -> Said:
        """The sentence in the reader's language."""
        return say_again(self.said, otherwise=self.sentence)


class PrintedLine(models.Model):
    """What the 50 mm line of a member's own card measured on paper. Told anew or taken back it ends, and stays on record."""

    member = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    card = models.CharField(max_length=8)  # a code of ledger.measuring.card.KINDS
    line_mm = models.FloatField()
    read_to_mm = models.FloatField()  # the resolution of what it was read with
    told_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["told_at", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["member", "card"], condition=models.Q(ended_at__isnull=True), name="printed_line_once"
            ),
        ]


class Measurement(models.Model):
    """One length, or one count of pores, on one photo. Done again by another person it is another row; both stay.

    `u` is the standard uncertainty (k = 1) in `unit`; `parts` says what it is made of. `points` are pixels of the
    upright original: the two ends of a line, the ends and taps of a counted line, or the corner and size of a patch.
    """

    class Way(models.TextChoices):
        LINE = "line", later("between two points")
        TAPS = "taps", later("pores tapped along a line")
        COUNT = "count", later("pores counted by the program")

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    photo = models.ForeignKey(Photo, on_delete=models.PROTECT, related_name="measurements")
    scale = models.ForeignKey(PhotoScale, on_delete=models.PROTECT, related_name="measurements")
    trait = models.CharField(max_length=40, blank=True)  # empty: a free line
    way = models.CharField(max_length=8, choices=Way.choices)
    points = models.JSONField()
    value = models.FloatField()
    unit = models.CharField(max_length=10)
    u = models.FloatField()
    parts = models.JSONField(default=dict)
    n = models.PositiveIntegerField(null=True, blank=True)  # pores the count rests on
    above_mm = models.FloatField(default=0.0)  # how far above the card's plane it lies
    note = models.CharField(max_length=200, blank=True)
    taken_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    taken_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)  # by whoever took it: a slip of the finger
    reading = models.ForeignKey(
        Reading, null=True, blank=True, on_delete=models.SET_NULL, related_name="measurements"
    )

    class Meta:
        ordering = ["taken_at", "id"]
