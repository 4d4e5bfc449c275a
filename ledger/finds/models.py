"""A find as rows: the record, its readings, its photographs and the history of every change."""

import uuid
from datetime import datetime, timedelta

from django.conf import settings
from django.db import models

from ledger.finds.querysets import FindQuerySet
from ledger.words import later, say_again


class Status(models.TextChoices):
    LOGGED = "logged", later("Logged")  # nothing asks for the curator
    HELD = "held", later("Held")  # open flags
    SENT_BACK = "sent back", later("Sent back")  # a question waits for its finder
    SETTLED = "settled", later("Settled")  # the curator has decided


# The version of a find that nobody has changed since it was logged.
FIRST_VERSION = 1
# A find without a day stands last on either database, not first on the one and last on the other.
LATEST_FIRST = (models.F("found_on").desc(nulls_last=True), models.F("logged_at").desc())


class Find(models.Model):
    """One fungus seen at one place and time. Its UUID is made where the find is made."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    finder = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="finds", db_index=False
    )
    # The collecting number is the finder's code as it was then, and a serial. It may repeat by mistake on paper:
    # a repeat is flagged, not refused, so no constraint stands here.
    collecting_code = models.CharField(max_length=6)
    collecting_serial = models.PositiveIntegerField()
    # A, B ... where a mixed collection was split: each share bears the number of the gathering and a letter of its own.
    collecting_suffix = models.CharField(max_length=2, blank=True, editable=False)
    split_from = models.ForeignKey(
        "self",
        null=True,
        blank=True,
        editable=False,
        on_delete=models.PROTECT,
        related_name="shares",
        db_index=False,
    )
    # Who found it, where that is no member: a guest of a foray. `finder` is then the member who keyed it in.
    found_by = models.CharField(max_length=120, blank=True)
    # Told by the register of vouchers, which is the one that gives it: what a photo of the packet shows is held against it.
    accession_number = models.CharField(max_length=24, blank=True, editable=False)
    kept = models.BooleanField(default=True, help_text="Material was taken; otherwise seen only.")
    # Keyed at a foray's table for whoever brought it: nobody there has a camera in hand, or stood where it grew.
    keyed_at_table = models.BooleanField(default=False)

    found_on = models.DateField(null=True, blank=True)
    found_at_time = models.TimeField(null=True, blank=True)
    utc_offset_minutes = models.SmallIntegerField(null=True, blank=True)

    latitude = models.FloatField(null=True, blank=True)
    longitude = models.FloatField(null=True, blank=True)
    datum = models.CharField(max_length=40, default="WGS84", blank=True)
    uncertainty_m = models.FloatField(null=True, blank=True)
    position_source = models.CharField(max_length=10, blank=True)  # phone, photo, typed, table
    position_typed = models.CharField(max_length=200, blank=True)
    altitude_m = models.FloatField(null=True, blank=True)
    facing_deg = models.FloatField(null=True, blank=True)  # which way the cap faces, by the phone's compass
    locality = models.CharField(max_length=300, blank=True)
    region = models.CharField(max_length=120, blank=True)
    country = models.CharField(max_length=80, blank=True)
    own_blur_step_deg = models.FloatField(null=True, blank=True)
    # The coarsest step that any name ever given to it asks for, see `finds.sensitive`: a typo or another opinion must
    # not tell a place that an earlier name kept back. Only a curator opens it, on record.
    named_blur_step_deg = models.FloatField(null=True, blank=True, editable=False)
    place_opened = models.BooleanField(default=False, editable=False)

    host = models.CharField(max_length=120, blank=True)
    host_known_by = models.CharField(max_length=10, blank=True)  # bark, leaves, wood, guess, told
    trees_nearby = models.CharField(max_length=200, blank=True)
    wood_position = models.CharField(
        max_length=20, blank=True
    )  # upper, side, under, cut end, wound, base, root
    height_m = models.FloatField(null=True, blank=True)
    diameter_cm = models.FloatField(null=True, blank=True)
    decay_scale = models.CharField(max_length=40, blank=True)
    decay_class = models.CharField(max_length=10, blank=True)

    foray = models.ForeignKey(
        "ledger.Foray", null=True, blank=True, on_delete=models.PROTECT, related_name="finds"
    )
    permission = models.CharField(max_length=200, blank=True)
    fruit_bodies = models.PositiveIntegerField(null=True, blank=True)
    smell = models.CharField(max_length=120, blank=True)
    note = models.TextField(blank=True)
    # How the specimen was when most readings were made; a reading may say otherwise for itself.
    specimen_state = models.CharField(max_length=10, blank=True)
    specimen_age = models.CharField(max_length=10, blank=True)

    current_determination = models.ForeignKey(
        "ledger.Determination", null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    status = models.CharField(max_length=10, choices=Status.choices, default=Status.LOGGED, db_index=True)
    # Worst open flag: 0 none, 1 note, 2 doubt, 3 stop; where its kind stands in the table of flags, 0 the first; and
    # their number. Written by the flag action only, so that the bench can be ordered by an index.
    worst_flag = models.PositiveSmallIntegerField(default=0)
    worst_flag_rank = models.PositiveSmallIntegerField(default=0)
    open_flags = models.PositiveSmallIntegerField(default=0)
    version = models.PositiveIntegerField(default=FIRST_VERSION)
    # How far the clock of the phone was ahead of the ledger's when the find was sent; None: not sent by a phone.
    clock_off_s = models.BigIntegerField(null=True, blank=True, editable=False)
    # By that phone's own clock: when the form was opened, which filled in the day, and its last key before it was kept.
    begun_at = models.DateTimeField(null=True, blank=True, editable=False)
    kept_at = models.DateTimeField(null=True, blank=True, editable=False)
    logged_at = models.DateTimeField()
    logged_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", db_index=False
    )
    changed_at = models.DateTimeField()

    objects = FindQuerySet.as_manager()

    class Meta:
        ordering = LATEST_FIRST
        indexes = [
            models.Index(fields=["collecting_code", "collecting_serial"]),
            models.Index(
                fields=["status", "-worst_flag", "worst_flag_rank", "logged_at"], name="find_bench_order"
            ),
            models.Index(fields=["-found_on", "-logged_at"], name="find_ledger_order"),
            # The newest finds of a member, as a phone keeps them.
            models.Index(fields=["finder", "-logged_at"], name="find_of_finder"),
            models.Index(fields=["logged_by", "-logged_at"], name="find_of_logger"),
            # Settled and without a number, the oldest first.
            models.Index(
                fields=[
                    *("status", "accession_number", "found_on"),
                    *("collecting_code", "collecting_serial", "collecting_suffix"),
                ],
                name="find_without_number",
            ),
            # Guests by name, of whom it is asked whether they agreed to be named.
            models.Index(fields=["found_by"], name="find_guests"),
            # Of the few that were split off alone: an index that is empty for nearly all tells SQLite to read them all.
            models.Index(
                fields=["split_from"], name="find_shares", condition=models.Q(split_from__isnull=False)
            ),
        ]

    def __str__(self) -> str:
        return self.collecting_number

    @property
    def collecting_number(self) -> str:
        return f"{self.collecting_code} {self.collecting_serial}{self.collecting_suffix}"

    @property
    def found_by_name(self) -> str:
        """Who found it, as pages and labels say it: a guest of a foray, or the member."""
        return self.found_by or self.finder.full_name

    @property
    def blur_step_deg(self) -> float | None:
        """The coarsest of the find's own step and those its names ask for; None where the place is not sensitive."""
        steps = [self.own_blur_step_deg]
        if not self.place_opened:
            determined = self.current_determination
            of_taxon = determined.taxon.blur_step_deg if determined and determined.taxon else None
            steps += [self.named_blur_step_deg, of_taxon]
        asked = [step for step in steps if step]
        return max(asked) if asked else None


class Reading(models.Model):
    """One trait as observed once. A later reading of the same trait is another row; the first is kept."""

    find = models.ForeignKey(Find, on_delete=models.CASCADE, related_name="readings")
    trait = models.CharField(max_length=40)
    looked = models.CharField(max_length=12, default="read")  # read, not looked, cannot say, absent
    values = models.JSONField(default=list)  # replicates as floats, in `unit`
    low = models.FloatField(null=True, blank=True)
    high = models.FloatField(null=True, blank=True)
    n = models.PositiveIntegerField(null=True, blank=True)
    unit = models.CharField(max_length=10, blank=True)
    resolution = models.FloatField(null=True, blank=True)
    typed = models.CharField(max_length=200, blank=True)
    states = models.JSONField(default=list)  # state codes, sorted
    state = models.CharField(max_length=10, blank=True)  # fresh, moist, air-dry, oven-dry, weathered
    age = models.CharField(max_length=10, blank=True)
    read_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    read_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)  # replaced by a later one

    class Meta:
        ordering = ["find_id", "id"]


def original_path(photo: "Photo", filename: str) -> str:
    """Where an original lies: by its digest, so that the same bytes lie once and nothing is overwritten."""
    return f"originals/{photo.sha256[:2]}/{photo.sha256}.{photo.format}"


class Photo(models.Model):
    """A photograph: the original as it came, and what its metadata say. Copies for the screen are derived.

    Uploaded while a find is still being typed, a photo has no find yet: it carries the UUID the find will have.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    find = models.ForeignKey(Find, null=True, blank=True, on_delete=models.PROTECT, related_name="photos")
    draft_id = models.UUIDField(db_index=True)
    view = models.CharField(max_length=10, blank=True)  # cap, underside, side, cut, margin, place, scale
    original = models.FileField(upload_to=original_path, max_length=200)
    sha256 = models.CharField(max_length=64, db_index=True)
    format = models.CharField(max_length=5)
    byte_size = models.PositiveBigIntegerField()
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    taken_at = models.DateTimeField(
        null=True, blank=True
    )  # wall clock of the camera, stored as if UTC; see offset
    utc_offset_minutes = models.SmallIntegerField(null=True, blank=True)  # None: the camera did not say
    numbers_seen = models.JSONField(
        default=list
    )  # numbers read from codes in frame: "AT 57", "TFG 2026-0118"
    clock_shift_s = models.IntegerField(null=True, blank=True)  # to be added: what a photo of a clock showed
    latitude = models.FloatField(null=True, blank=True)
    longitude = models.FloatField(null=True, blank=True)
    error_m = models.FloatField(null=True, blank=True)
    altitude_m = models.FloatField(null=True, blank=True)
    direction_deg = models.FloatField(null=True, blank=True)
    camera = models.CharField(max_length=120, blank=True)
    orientation = models.PositiveSmallIntegerField(default=1)
    # What is odd about it: sentences as they can be said again, those of before in English.
    warnings = models.JSONField(default=list)
    uploaded_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    uploaded_at = models.DateTimeField()

    class Meta:
        ordering = ["uploaded_at", "id"]
        constraints = [
            models.UniqueConstraint(fields=["draft_id", "sha256", "uploaded_by"], name="photo_once_per_find"),
        ]

    def __str__(self) -> str:
        return str(self.find) if self.find else "no find yet"

    @property
    def remarks(self) -> list[str]:
        """What is odd about it, in the language of whoever reads it."""
        return [say_again(one) if isinstance(one, dict) else one for one in self.warnings]

    @property
    def moment(self) -> datetime | None:
        """When it was taken by a clock that was right: the camera's, shifted where a photo of a clock was read.

        Wall clock, stored as if UTC, as `taken_at` is; never taken for UTC.
        """
        if self.taken_at is None or self.clock_shift_s is None:
            return self.taken_at
        return self.taken_at + timedelta(seconds=self.clock_shift_s)


class Change(models.Model):
    """One line of a find's history: who changed what, when, from and to. Never edited, never deleted."""

    find = models.ForeignKey(Find, on_delete=models.CASCADE, related_name="changes")
    changed_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    field = models.CharField(max_length=60)
    old = models.TextField(blank=True)
    new = models.TextField(blank=True)
    # What `old` and `new` are made of, under these names, where they have words of ours: so that each is said in the
    # language of its reader. Empty in rows of before.
    said = models.JSONField(default=dict, blank=True)

    class Meta:
        ordering = ["changed_at", "id"]

    @property
    def old_shown(self) -> str:
        """What was, in the reader's language."""
        return say_again(self.said.get("old"), otherwise=self.old)

    @property
    def new_shown(self) -> str:
        """What is, in the reader's language."""
        return say_again(self.said.get("new"), otherwise=self.new)
