"""Which taxa stand on a pocket sheet beside the one it is made for."""

from __future__ import annotations

from collections.abc import Iterable

from ledger.traits.bands import reading_of
from ledger.traits.check import check_specimen
from ledger.traits.ranges import judges
from ledger.traits.readings import Reading, Specimen
from ledger.traits.reference import Reference
from ledger.traits.reference_files import LookAlikePair

# With more, a small page is hard to read (judged by eye); a chosen list may hold two more.
USUAL = 6


def company_of(
    reference: Reference, taxon: str, pairs: Iterable[LookAlikePair], *, many: int = USUAL
) -> tuple[str, ...]:
    """Return the taxon, those the pairs of look-alikes set beside it, then those the check ranks close.

    Close is what the check does not rule out for a specimen that shows all that is documented of the taxon, best
    weight first. KeyError for a taxon the reference does not hold.
    """
    reference.taxa[taxon]
    found = [taxon]
    for pair in pairs:
        if taxon in (pair.taxon_a, pair.taxon_b):
            found.append(pair.taxon_b if pair.taxon_a == taxon else pair.taxon_a)
    close = [
        one.taxon
        for one in check_specimen(reference, _typical(reference, taxon)).look_alikes
        if one.standing != "ruled out"
    ]
    return tuple(dict.fromkeys([*found, *close]))[:many]


def _typical(reference: Reference, taxon: str) -> Specimen:
    """A fresh specimen that shows all that the sources document of the taxon, each trait as they print it."""
    readings: dict[str, Reading] = {}
    for code, trait in reference.vocabulary.traits.items():
        rows = [
            row for row in reference.ranges_for(taxon, code) if judges(row.condition, "fresh", None) != "no"
        ]
        reading = reading_of(trait, rows) if rows else None
        if reading is not None:
            readings[code] = reading
    return Specimen(taxon, readings, state="fresh")
