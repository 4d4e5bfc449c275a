"""Queries for screens, each named for its screen."""

from typing import TYPE_CHECKING, Any

from django.apps import apps
from django.db import models

if TYPE_CHECKING:
    from ledger.people.models import Member


def _related(model: str, *names: str) -> "models.QuerySet[Any]":
    # By name: the models of this room import this file.
    return apps.get_model("ledger", model).objects.select_related(*names)


class FindQuerySet(models.QuerySet[Any]):
    def for_list(self) -> "FindQuerySet":
        """The ledger's rows: name, finder, foray in one query."""
        return self.select_related("finder", "foray", "current_determination__taxon")

    def for_page(self) -> "FindQuerySet":
        """One find with everything its page shows: name and foray in one query, each list in one of its own."""
        # The voucher is known here by the name of its key back to the find only; a find without one has none.
        return self.select_related(
            "finder", "logged_by", "foray__leader", "current_determination__taxon", "voucher", "split_from"
        ).prefetch_related(
            "shares",
            "readings",
            "photos",
            "flags__settled_by",
            models.Prefetch("determinations", _related("Determination", "taxon", "determiner")),
            models.Prefetch("questions", _related("Question", "asked_by", "answered_by")),
            models.Prefetch("changes", _related("Change", "by")),
            models.Prefetch(
                "waiting_versions", _related("WaitingVersion", "by").filter(ended_at__isnull=True)
            ),
            models.Prefetch(
                "announced_photos", _related("AnnouncedPhoto", "by").filter(arrived_at__isnull=True)
            ),
        )

    def for_form(self) -> "FindQuerySet":
        """One find as the log form shows it for amending: no flags, names or history."""
        return self.select_related(
            "finder", "foray__leader", "current_determination__taxon"
        ).prefetch_related("readings", "photos")

    def for_bench(self) -> "FindQuerySet":
        """Held finds and those sent back with an answer: by severity, by the kind of the worst flag, then the oldest.

        How many flags a find has says how they were raised, not how bad it is.
        """
        return (
            self.filter(status="held")
            .select_related("finder", "foray", "current_determination__taxon")
            .order_by("-worst_flag", "worst_flag_rank", "logged_at", "id")
        )

    def of(self, member: "Member") -> "FindQuerySet":
        return self.filter(finder=member)
