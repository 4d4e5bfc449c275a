"""Forays: group collecting trips, with the leave under which they go."""

from django.conf import settings
from django.db import models

from ledger.days import short_day_text


class Foray(models.Model):
    name = models.CharField(max_length=120)
    held_on = models.DateField()
    place = models.CharField(max_length=200, blank=True)
    leader = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="forays_led")
    permission = models.CharField(
        max_length=200, blank=True, help_text="Leave or permit: who gave it, its number, its limits."
    )
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["-held_on", "name"]

    def __str__(self) -> str:
        return f"{self.name}, {short_day_text(self.held_on)}"
