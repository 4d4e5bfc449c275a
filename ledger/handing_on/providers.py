"""Facts that are handed on with a find and are not the ledger's own: of its specimen, or of where it was taken in from.

A room elsewhere gives them as an object of `Provider`; the settings name it by text (`HANDED_ON_ELSEWHERE`), since the
ledger knows no vouchers. What a provider tells fills cells that the ledger leaves empty, the first provider first.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from uuid import UUID

from django.conf import settings
from django.utils.module_loading import import_string

from ledger.exchange.media import RelationOut
from ledger.exchange.plain import PlainTable
from ledger.finds.models import Find
from ledger.handing_on.choices import Choices


@dataclass(frozen=True, slots=True)
class FindFacts:
    """Of one find: `terms` by short name (`dwc:catalogNumber`), relations to other records, and who is to be told as the
    reader of a trait where the ledger's own row cannot say it."""

    terms: Mapping[str, str] = field(default_factory=dict)
    relations: Sequence[RelationOut] = ()
    read_by: Mapping[str, str] = field(default_factory=dict)
    # Rows of MeasurementOrFact that are nobody's reading here, by short term.
    measurements: Sequence[Mapping[str, str]] = ()


def _nothing(finds: Sequence[Find], choices: Choices) -> Mapping[UUID, FindFacts]:
    return {}


def _no_tables(choices: Choices, *, whole: bool) -> Iterable[PlainTable]:
    return ()


def _no_files(choices: Choices) -> Iterator[tuple[str, str, bytes]]:
    return iter(())


@dataclass(frozen=True, slots=True)
class Provider:
    """`of_finds`: asked for some hundred finds at a time; a handful of queries. `tables`: further tables of the readable
    export (`whole`: for the club's own safe). `files`: whole files of it as (path, what it is, bytes)."""

    of_finds: Callable[[Sequence[Find], Choices], Mapping[UUID, FindFacts]] = _nothing
    tables: Callable[..., Iterable[PlainTable]] = _no_tables
    files: Callable[[Choices], Iterator[tuple[str, str, bytes]]] = _no_files


@lru_cache(maxsize=1)
def providers() -> Sequence[Provider]:
    return tuple(import_string(name) for name in settings.HANDED_ON_ELSEWHERE)


def facts_of(finds: Sequence[Find], choices: Choices) -> dict[UUID, FindFacts]:
    """What all providers tell of these finds."""
    found: dict[UUID, FindFacts] = {}
    for provider in providers():
        for key, facts in provider.of_finds(finds, choices).items():
            found[key] = _together(found[key], facts) if key in found else facts
    return found


def _together(first: FindFacts, later: FindFacts) -> FindFacts:
    return FindFacts(
        terms={**later.terms, **{term: value for term, value in first.terms.items() if value}},
        relations=[*first.relations, *later.relations],
        read_by={**later.read_by, **first.read_by},
        measurements=[*first.measurements, *later.measurements],
    )
