"""The reference as one value: vocabulary, taxa, sources, documented ranges and calibration, compiled once.

Building takes a moment, checking must not: rows are grouped by taxon and trait, and tables that depend on the
condition of the specimen are made on first use and kept in `memo`.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from ledger.traits.calibration_values import Calibration
from ledger.traits.ranges import DocumentedRange, Source, TaxonEntry
from ledger.traits.vocabulary import Vocabulary


class UnknownInReference(ValueError):
    """A row of the reference cannot be taken; the message names it."""


@dataclass(frozen=True, slots=True, eq=False)
class Reference:
    """Everything a check needs. `taxa` keeps the order of names; `memo` is for compiled tables only."""

    vocabulary: Vocabulary
    taxa: Mapping[str, TaxonEntry]
    sources: Mapping[str, Source]
    calibration: Calibration
    digest: str
    _ranges: Mapping[tuple[str, str], tuple[DocumentedRange, ...]]
    synonyms: Mapping[str, tuple[str, ...]]
    memo: dict[Any, Any] = field(default_factory=dict, repr=False)

    @classmethod
    def build(
        cls,
        vocabulary: Vocabulary,
        taxa: Iterable[TaxonEntry],
        sources: Iterable[Source],
        ranges: Iterable[DocumentedRange],
        calibration: Calibration,
    ) -> Reference:
        """Compile; a range without a known taxon, trait or source raises UnknownInReference."""
        by_name = {entry.name: entry for entry in sorted(taxa, key=lambda entry: entry.name)}
        by_id = {source.id: source for source in sources}
        grouped: dict[tuple[str, str], list[DocumentedRange]] = {}
        for row in ranges:
            if row.taxon not in by_name or row.trait not in vocabulary.traits or row.source_id not in by_id:
                raise UnknownInReference(
                    f"range of {row.trait} of {row.taxon} by {row.source_id or 'no source'}: "
                    "the taxon, the trait or the source is not in the reference"
                )
            grouped.setdefault((row.taxon, row.trait), []).append(row)
        frozen = {key: tuple(sorted(rows, key=_row_key)) for key, rows in sorted(grouped.items())}
        synonyms: dict[str, list[str]] = {}
        for entry in by_name.values():
            for synonym in entry.synonyms:
                synonyms.setdefault(synonym, []).append(entry.name)
        return cls(
            vocabulary=vocabulary,
            taxa=by_name,
            sources=by_id,
            calibration=calibration,
            digest=_digest(by_name, frozen),
            _ranges=frozen,
            synonyms={name: tuple(names) for name, names in synonyms.items()},
        )

    def ranges_for(self, taxon: str, trait: str) -> tuple[DocumentedRange, ...]:
        """All rows of that taxon and trait, by source; empty when nothing is documented."""
        return self._ranges.get((taxon, trait), ())

    @property
    def ranges(self) -> tuple[DocumentedRange, ...]:
        """Every row, by taxon, trait and source."""
        return tuple(row for rows in self._ranges.values() for row in rows)


def _row_key(row: DocumentedRange) -> tuple[str, str]:
    return row.source_id, row.condition


def _digest(
    taxa: Mapping[str, TaxonEntry], ranges: Mapping[tuple[str, str], tuple[DocumentedRange, ...]]
) -> str:
    """SHA-256 over what a check can depend on: names and rows, in a fixed order, without the notes."""
    lines = [json.dumps(list(taxa), ensure_ascii=True)]
    for rows in ranges.values():
        for r in rows:
            bounds = (r.low_extreme, r.low, r.high, r.high_extreme)
            # Numbers as floats, so that 4 from a form and 4.0 from a table digest alike.
            numbers = [None if b is None else float(b) for b in bounds]
            key = [r.taxon, r.trait, numbers, r.unit or "", sorted(r.states), r.condition, r.source_id]
            lines.append(json.dumps([*key, r.doubtful, r.binding], ensure_ascii=True))
    return hashlib.sha256("\n".join(lines).encode()).hexdigest()
