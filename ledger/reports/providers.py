"""Facts that stand in a report and are not the ledger's own: of specimens, and of the permits they were taken under.

A room elsewhere gives them as an object of `Provider`; the settings name it by text (`REPORTED_ELSEWHERE`), since the
ledger knows no vouchers.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import lru_cache
from uuid import UUID

from django.conf import settings
from django.utils.module_loading import import_string

from ledger.exchange.people import PeopleOut
from ledger.finds.models import Find
from ledger.forays.models import Foray


@dataclass(frozen=True, slots=True)
class PermitSaid:
    """A permit or leave in its own words: what it is called, and a word and a text each of what it says."""

    called: str
    says: Sequence[tuple[str, str]]


Permits = Mapping[int, PermitSaid]


@dataclass(frozen=True, slots=True)
class Specimen:
    """What was kept of a find: its lines, and its permits by key with why the day is beyond their dates, or nothing."""

    lines: Sequence[str] = ()
    under: Mapping[int, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Figure:
    """A number of one year. `note` says of what it is made."""

    word: str
    n: int
    note: str = ""


class Provider:
    """What a room elsewhere may tell; it overrides what it knows of. A handful of queries each."""

    def permits_of_foray(self, foray: Foray) -> Sequence[int]:
        """The keys of the permits that the foray itself goes under."""
        return ()

    def permits(self, keys: Sequence[int], people: PeopleOut) -> Permits:
        """Permits in words, members in them named as they agreed."""
        return {}

    def specimens(self, finds: Sequence[Find]) -> Mapping[UUID, Specimen]:
        """What was kept of some hundred finds."""
        return {}

    def of_year(self, first: date, last: date) -> Sequence[Figure]:
        """The figures of the collection for those days; the same words in the same order whichever days they are."""
        return ()


@lru_cache(maxsize=1)
def provider() -> Provider:
    """The one room that tells of specimens; one that tells nothing where none is named."""
    name = settings.REPORTED_ELSEWHERE
    found = import_string(name) if name else Provider()
    assert isinstance(found, Provider)
    return found
