"""Leave to cut from a specimen: asked for, decided on, and what came of it. A loan never implies it."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from ledger.words import later
from vouchers.loans import numbers
from vouchers.loans.models import Paper
from vouchers.sampling.purposes import PURPOSES


class Decision(models.TextChoices):
    OPEN = "", later("Not decided")
    GRANTED = "granted", later("Granted")
    REFUSED = "refused", later("Refused")


class SamplingLeave(Paper):
    """One request for one part, from the asking to the result. `person` asks; `institution` may be empty for a member."""

    LETTER = numbers.LEAVE

    part = models.ForeignKey("vouchers.Part", on_delete=models.PROTECT, related_name="sampling_leaves")
    asked_on = models.DateField()
    purpose = models.CharField(max_length=10, choices=list(PURPOSES.items()))
    purpose_words = models.CharField(max_length=300)
    what = models.CharField(max_length=300)  # may be cut, as asked
    decision = models.CharField(max_length=7, blank=True, choices=Decision)
    decided_at = models.DateTimeField(null=True, blank=True)
    decided_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    decision_words = models.CharField(max_length=300, blank=True)  # conditions, or why not
    warned = models.TextField(blank=True)  # the notes that the curator saw when deciding, a line each
    cut_on = models.DateField(null=True, blank=True)
    cut_by = models.CharField(max_length=120, blank=True)
    cut_what = models.CharField(max_length=200, blank=True)
    result = models.CharField(max_length=400, blank=True)
    result_at = models.DateTimeField(null=True, blank=True)

    class Meta(Paper.Meta):
        constraints = [
            *Paper.Meta.constraints,
            models.CheckConstraint(
                condition=Q(cut_on__isnull=True) | Q(decision="granted"), name="cut_only_with_leave"
            ),
        ]
