"""What is decided about a find: names given, flags raised and settled, questions asked and answered."""

from django.conf import settings
from django.db import models

from ledger.words import Said, say_again


class Determination(models.Model):
    """An opinion of a name. A later one is another row; none is ever changed, but that the day of the name which came with
    the find follows the day of the find."""

    find = models.ForeignKey("ledger.Find", on_delete=models.CASCADE, related_name="determinations")
    # The name as it was typed, with its qualifier in place: "Trametes cf. versicolor", "Stereum sp.", or "" (unnamed).
    name_typed = models.CharField(max_length=200, blank=True)
    # The words in the box where they were an English name: name_typed is then the Latin one they were read as.
    vernacular_typed = models.CharField(max_length=200, blank=True)
    taxon = models.ForeignKey(
        "ledger.Taxon", null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    qualifier = models.CharField(max_length=10, blank=True)  # cf., aff., group, s.l., sp.
    determiner = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    determiner_name = models.CharField(
        max_length=120, blank=True, help_text="Where somebody else gave the name."
    )
    # None: nobody has said. A name that came with the find is of the day of the find, and that may be unknown.
    determined_on = models.DateField(null=True, blank=True)
    basis = models.CharField(max_length=200, blank=True)
    note = models.TextField(blank=True)
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["made_at", "id"]
        indexes = [
            models.Index(fields=["determiner_name"], name="determination_others"),
            # Names as they were typed, each once, and what was so named.
            models.Index(fields=["name_typed"], name="determination_typed"),
        ]


class Flag(models.Model):
    """A reason for the curator to look. Settled or withdrawn it stays on record."""

    find = models.ForeignKey("ledger.Find", on_delete=models.CASCADE, related_name="flags")
    code = models.CharField(max_length=40)
    severity = models.CharField(max_length=5)  # note, doubt, stop
    subject = models.CharField(max_length=60, blank=True)  # a trait, a photo, or empty: the find
    sentence = models.TextField()
    # What the sentence is made of, so that it is said in the language of its reader; empty in rows of before.
    said = models.JSONField(default=dict, blank=True)
    numbers = models.JSONField(default=dict)
    fingerprint = models.CharField(max_length=64)
    raised_at = models.DateTimeField()
    settled_at = models.DateTimeField(null=True, blank=True)
    settled_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    settle_reason = models.TextField(blank=True)
    withdrawn_at = models.DateTimeField(
        null=True, blank=True
    )  # the numbers under it changed and it no longer holds

    class Meta:
        ordering = ["find_id", "raised_at", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["find", "fingerprint"],
                condition=models.Q(settled_at__isnull=True, withdrawn_at__isnull=True),
                name="flag_open_once",
            )
        ]

    @property
    def is_open(self) -> bool:
        return self.settled_at is None and self.withdrawn_at is None

    @property
    def in_words(self) -> Said:
        """The sentence in the reader's language."""
        return say_again(self.said, otherwise=self.sentence)


class Question(models.Model):
    """A question with which a find went back to its finder, and the answer."""

    find = models.ForeignKey("ledger.Find", on_delete=models.CASCADE, related_name="questions")
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    asked_at = models.DateTimeField()
    text = models.TextField()
    answered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    answered_at = models.DateTimeField(null=True, blank=True)
    answer = models.TextField(blank=True)

    class Meta:
        ordering = ["asked_at", "id"]
        indexes = [
            models.Index(
                fields=["asked_at", "id"], name="question_open", condition=models.Q(answered_at__isnull=True)
            ),
        ]
