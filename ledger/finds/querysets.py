"""Queries for screens, each named for its screen."""

from typing import TYPE_CHECKING, Any

from django.db import models

if TYPE_CHECKING:
    from ledger.people.models import Member


class FindQuerySet(models.QuerySet[Any]):
    def for_list(self) -> "FindQuerySet":
        """The ledger's rows: name, finder, foray in one query."""
        return self.select_related("finder", "foray", "current_determination__taxon")

    def for_bench(self) -> "FindQuerySet":
        """Held finds and those sent back with an answer, the worst first, then the oldest."""
        return (
            self.filter(status="held")
            .select_related("finder", "foray", "current_determination__taxon")
            .order_by("-worst_flag", "-open_flags", "logged_at", "id")
        )

    def of(self, member: "Member") -> "FindQuerySet":
        return self.filter(finder=member)
