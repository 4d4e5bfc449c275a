"""What was done to the material of a find before it lay in its packet: steps, and the drying runs they belong to."""

from typing import Any, NoReturn, Self

from django.conf import settings
from django.db import models
from django.utils import timezone

from ledger.taxa.queries import vocabulary
from ledger.words import lowered, say
from vouchers.preparation import order
from vouchers.preparation.units import CELSIUS, UNITS, temperature_text


class StepChanged(TypeError):
    """A step is never changed or deleted: a later row withdraws it."""


class DryingRun(models.Model):
    """One load of a drier. Temperature and hours are as entered; sources disagree on them, so nothing is said of them."""

    drier = models.CharField(max_length=80)
    temperature = models.FloatField(null=True, blank=True)
    temperature_unit = models.CharField(max_length=1, choices=list(UNITS.items()), default=CELSIUS)
    planned_hours = models.FloatField(null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)
    started_at = models.DateTimeField()
    started_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-started_at", "-id"]

    def __str__(self) -> str:
        return say("Run {number}: {drier}", number=self.pk, drier=self.drier)

    @property
    def temperature_text(self) -> str:
        return temperature_text(self.temperature, self.temperature_unit)


class StepQuerySet(models.QuerySet["PreparationStep"]):
    def in_force(self) -> Self:
        """Steps that hold: neither withdrawn nor themselves the withdrawal of another."""
        return self.exclude(kind=order.WITHDRAWN).filter(withdrawal__isnull=True)

    def update(self, **_: Any) -> NoReturn:
        raise StepChanged("Steps are never changed. Withdraw one by preparation.actions.withdraw.")

    def delete(self) -> NoReturn:
        raise StepChanged("Steps are never deleted. Withdraw one by preparation.actions.withdraw.")


class PreparationStep(models.Model):
    """One step of one find, on record. Appended by `preparation.actions` only."""

    find = models.ForeignKey("ledger.Find", on_delete=models.PROTECT, related_name="preparation_steps")
    kind = models.CharField(max_length=12, choices=list(order.WORDS.items()), db_index=True)
    at = models.DateTimeField()  # when it was done
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    run = models.ForeignKey(DryingRun, null=True, blank=True, on_delete=models.PROTECT, related_name="steps")
    tray = models.PositiveIntegerField(null=True, blank=True)  # the number of its tag: TFG TRAY 5
    temperature = models.FloatField(null=True, blank=True)  # of the freezer
    temperature_unit = models.CharField(max_length=1, choices=list(UNITS.items()), blank=True)
    hours = models.FloatField(null=True, blank=True)  # how much longer in the drier
    days = models.FloatField(null=True, blank=True)  # planned in the freezer
    # What was left out, joined by |: codes of traits, spore print, drying, freezing.
    subjects = models.CharField(max_length=500, blank=True)
    words = models.CharField(max_length=200, blank=True)  # why it was left out or withdrawn; else a note
    withdraws = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="withdrawal"
    )

    objects = StepQuerySet.as_manager()

    class Meta:
        ordering = ["find_id", "at", "id"]
        indexes = [models.Index(fields=["find", "at"])]

    def __str__(self) -> str:
        return str(self.get_kind_display())

    def save(self, *args: Any, **kwargs: Any) -> None:
        if not self._state.adding:
            raise StepChanged("Steps are never changed. Withdraw one by preparation.actions.withdraw.")
        super().save(*args, **{**kwargs, "force_insert": True})

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        raise StepChanged("Steps are never deleted. Withdraw one by preparation.actions.withdraw.")

    @property
    def step(self) -> order.Step:
        """As the order reads it, in the ledger's own time, in which its refusals name it."""
        subjects = tuple(self.subjects.split("|")) if self.subjects else ()
        return order.Step(self.kind, timezone.localtime(self.at), self.pk or 0, subjects)

    @property
    def temperature_text(self) -> str:
        return temperature_text(self.temperature, self.temperature_unit) if self.temperature_unit else ""

    @property
    def subject_words(self) -> str:
        """What was left out, in words."""
        traits = vocabulary().traits
        subjects = self.subjects.split("|") if self.subjects else []
        return "; ".join(
            lowered(traits[one].label) if one in traits else say(order.SUBJECT_WORDS.get(one, one))
            for one in subjects
        )
