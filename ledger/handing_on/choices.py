"""What is to be handed on, as it was chosen on the page or the command line, and the finds that it means."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any, Self

from django.db.models import QuerySet

from ledger.finds import access
from ledger.finds.models import Find, Status
from ledger.words import later

KINDS: Mapping[str, str] = {
    "archive": later("Darwin Core archive"),
    "csv": later("One flat table (CSV)"),
    "geojson": later("Map layer (GeoJSON)"),
    "readable": later("Readable in thirty years"),
}
ENDINGS = {"archive": "zip", "csv": "csv", "geojson": "geojson", "readable": "zip"}
TYPES = {
    "archive": "application/zip",
    "csv": "text/csv; charset=utf-8",
    "geojson": "application/geo+json",
    "readable": "application/zip",
}
# The words of occurrenceStatus changed with Darwin Core of 2026-05-26; the readers of today know the older ones.
STATUS_WORDS: Mapping[str, str] = {
    "present": later("present (Darwin Core before 26 May 2026)"),
    "detected": later("detected (since then)"),
}
REVIEWED, ALL = "reviewed", "all"
WHICH: Mapping[str, str] = {
    REVIEWED: later("finds that nothing holds"),
    ALL: later("all finds, held ones and those with a question too"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Choices:
    """`year_from`, `year_to`: of the day of the find. `foray`: its key. `taxon`: its slug. Empty: no limit.

    `notes`, `photos`, `permits`: whether these go along; written freely, or large, they do so only where somebody asked.
    """

    kind: str
    which: str = REVIEWED
    status_word: str = "present"
    year_from: int | None = None
    year_to: int | None = None
    foray: int | None = None
    taxon: str = ""
    notes: bool = False
    photos: bool = False
    permits: bool = False

    @classmethod
    def from_json(cls, kind: str, stored: Mapping[str, Any]) -> Self:
        known = {name: value for name, value in stored.items() if name in cls.__dataclass_fields__}
        return cls(**known | {"kind": kind})

    def as_json(self) -> dict[str, Any]:
        return {name: value for name, value in asdict(self).items() if name != "kind"}

    @property
    def is_narrow(self) -> bool:
        """Whether few of many finds may be meant."""
        limits = (self.year_from, self.year_to, self.foray)
        return bool(self.taxon) or any(limit is not None for limit in limits)

    def finds(self) -> QuerySet[Find]:
        """The finds, without an order."""
        rows = Find.objects.all()
        if self.which == REVIEWED:
            rows = rows.exclude(status__in=(Status.HELD, Status.SENT_BACK))
        if self.year_from is not None:
            rows = rows.filter(found_on__gte=f"{self.year_from:04d}-01-01")
        if self.year_to is not None:
            rows = rows.filter(found_on__lte=f"{self.year_to:04d}-12-31")
        if self.foray is not None:
            # Whose foray is kept back with the place, is not told to be of it by being in the file.
            rows = access.with_foray_told(rows.filter(foray=self.foray))
        if self.taxon:
            rows = rows.filter(current_determination__taxon__slug=self.taxon)
        return rows.order_by()
