"""Loans out, with each part by itself; loans in, kept apart from our numbers; the counters of their numbers."""

import uuid
from typing import ClassVar, Self

from django.conf import settings
from django.db import models
from django.db.models import Q

from ledger.words import later
from vouchers.loans import numbers
from vouchers.loans.numbers import PaperNumber


class SeriesYear(models.Model):
    """The counter of one series of papers and one year; locked while a number is given, so that none is left out."""

    letter = models.CharField(max_length=1)
    year = models.PositiveSmallIntegerField()
    last_serial = models.PositiveIntegerField(default=0)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["letter", "year"], name="series_year_once")]


class Paper(models.Model):
    """Something that bears a number of a series and went to, or came from, somebody of another house."""

    LETTER: ClassVar[str]

    year = models.PositiveSmallIntegerField()
    serial = models.PositiveIntegerField()
    institution = models.CharField(max_length=160)
    person = models.CharField(max_length=120)
    address = models.TextField(blank=True)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        abstract = True
        ordering = ["-year", "-serial"]
        constraints = [models.UniqueConstraint(fields=["year", "serial"], name="%(class)s_number_once")]

    def __str__(self) -> str:
        return str(self.number)

    @property
    def number(self) -> PaperNumber:
        return PaperNumber(self.LETTER, self.year, self.serial)


# --- out ---


class Loan(Paper):
    """Parts of ours that somebody has for study, and is to return. The head of the institution asks for it."""

    LETTER = numbers.LOAN

    used_by = models.CharField(
        max_length=120, blank=True
    )  # who will study it, where that is not the one who asks
    purpose = models.CharField(max_length=300)
    terms = models.TextField()
    lent_on = models.DateField()
    due_on = models.DateField()


class LoanItemQuerySet(models.QuerySet["LoanItem"]):
    def out(self) -> Self:
        """Items that are with the borrower still."""
        return self.filter(returned_at__isnull=True, lost_at__isnull=True)

    def with_part(self) -> Self:
        return self.select_related(
            "part__voucher__find__finder", "part__voucher__find__current_determination__taxon"
        )


class LoanItem(models.Model):
    """One part on one loan. It is out until it is returned, or known to be lost."""

    loan = models.ForeignKey(Loan, on_delete=models.PROTECT, related_name="items")
    part = models.ForeignKey("vouchers.Part", on_delete=models.PROTECT, related_name="loan_items")
    returned_at = models.DateTimeField(null=True, blank=True)  # the preparation asks for the freezer after it
    returned_to = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    lost_at = models.DateTimeField(null=True, blank=True)
    lost_words = models.CharField(max_length=200, blank=True)

    objects = LoanItemQuerySet.as_manager()

    class Meta:
        ordering = ["loan_id", "id"]
        constraints = [
            models.UniqueConstraint(fields=["loan", "part"], name="part_once_on_a_loan"),
            models.UniqueConstraint(
                fields=["part"],
                condition=Q(returned_at__isnull=True, lost_at__isnull=True),
                name="part_lent_once",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.part} on {self.loan}"

    @property
    def is_out(self) -> bool:
        return self.returned_at is None and self.lost_at is None


class Moment(models.TextChoices):
    OUT = "out", later("as it left")
    BACK = "back", later("as it came back")


class Condition(models.Model):
    """How an item looked, in words, at one end of its loan. Said again it is another row; none is changed."""

    item = models.ForeignKey(LoanItem, on_delete=models.PROTECT, related_name="conditions")
    moment = models.CharField(max_length=4, choices=Moment)
    words = models.CharField(max_length=400)
    noted_at = models.DateTimeField()
    noted_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["noted_at", "id"]


def condition_photo_path(photo: "ConditionPhoto", filename: str) -> str:
    """Where an original lies: by its digest, and apart from those of finds, which may be taken back."""
    return f"conditions/{photo.sha256[:2]}/{photo.sha256}.{photo.format}"


class ConditionPhoto(models.Model):
    """A photo of how an item looked. No photo of a find: it counts for no check, and only curators see it."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    condition = models.ForeignKey(Condition, on_delete=models.PROTECT, related_name="photos")
    original = models.FileField(upload_to=condition_photo_path, max_length=200)
    sha256 = models.CharField(max_length=64)
    format = models.CharField(max_length=5)
    byte_size = models.PositiveBigIntegerField()
    added_at = models.DateTimeField()
    added_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["added_at", "id"]
        constraints = [models.UniqueConstraint(fields=["condition", "sha256"], name="condition_photo_once")]

    def __str__(self) -> str:
        return str(self.condition.item)


class Prolonging(models.Model):
    """A later due date given to a loan, in either direction: from when to when, and why."""

    loan = models.ForeignKey(
        Loan, null=True, blank=True, on_delete=models.PROTECT, related_name="prolongings"
    )
    borrowing = models.ForeignKey(
        "vouchers.Borrowing", null=True, blank=True, on_delete=models.PROTECT, related_name="prolongings"
    )
    from_due = models.DateField()
    to_due = models.DateField()
    why = models.CharField(max_length=200)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["at", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(loan__isnull=False, borrowing__isnull=True)
                | Q(loan__isnull=True, borrowing__isnull=False),
                name="prolonging_of_one_loan",
            )
        ]


class SentReminder(models.Model):
    """A curator wrote to the borrower, by whatever way. The ledger sends nothing itself."""

    loan = models.ForeignKey(Loan, on_delete=models.PROTECT, related_name="reminders")
    for_due = models.DateField()  # the due date it was about: prolonged, the reminders begin anew
    sent_on = models.DateField()
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["sent_on", "id"]


# --- in ---


class Borrowing(Paper):
    """Somebody else's specimens that are here for study. They have the lender's numbers and never one of ours."""

    LETTER = numbers.BORROWING

    their_number = models.CharField(max_length=60, blank=True)  # of the loan, with the lender
    purpose = models.CharField(max_length=300)
    terms = models.TextField(blank=True)
    received_on = models.DateField()
    due_on = models.DateField()


class BorrowedItemQuerySet(models.QuerySet["BorrowedItem"]):
    def here(self) -> Self:
        return self.filter(returned_at__isnull=True)


class BorrowedItem(models.Model):
    """One borrowed specimen, by the number that stands on its packet."""

    borrowing = models.ForeignKey(Borrowing, on_delete=models.PROTECT, related_name="items")
    their_number = models.CharField(max_length=60)
    name = models.CharField(max_length=200, blank=True)  # as it stands on the label
    condition_in = models.CharField(max_length=200, blank=True)
    returned_at = models.DateTimeField(null=True, blank=True)
    returned_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    condition_back = models.CharField(max_length=200, blank=True)

    objects = BorrowedItemQuerySet.as_manager()

    class Meta:
        ordering = ["borrowing_id", "id"]
        constraints = [
            models.UniqueConstraint(fields=["borrowing", "their_number"], name="borrowed_number_once")
        ]

    def __str__(self) -> str:
        return self.their_number

    @property
    def is_here(self) -> bool:
        return self.returned_at is None
