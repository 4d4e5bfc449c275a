"""The terms of a Darwin Core archive, read from `fixtures/darwin_core.csv`.

The file names, for each of the five tables that we write, the properties of its definition: Darwin Core Occurrence
(2025-07-10), MeasurementOrFact (2025-07-10), Identification history (2025-07-10), Audiovisual Media Description (2026-02-24)
and ResourceRelationship (2025-07-10). Names and addresses of Darwin Core and Audiovisual Core are by Biodiversity
Information Standards (TDWG), CC BY 4.0. No term of our own stands in it: what has no term goes into MeasurementOrFact.
"""

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

OCCURRENCE, MEASUREMENT, IDENTIFICATION = "occurrence", "measurement", "identification"
MEDIA, RELATION = "media", "relation"
TABLES = (OCCURRENCE, MEASUREMENT, IDENTIFICATION, MEDIA, RELATION)

ROW_TYPES: Mapping[str, str] = {
    OCCURRENCE: "http://rs.tdwg.org/dwc/terms/Occurrence",
    MEASUREMENT: "http://rs.tdwg.org/dwc/terms/MeasurementOrFact",
    IDENTIFICATION: "http://rs.tdwg.org/dwc/terms/Identification",
    MEDIA: "http://rs.tdwg.org/ac/terms/Multimedia",
    RELATION: "http://rs.tdwg.org/dwc/terms/ResourceRelationship",
}
TABLE_OF_ROW_TYPE: Mapping[str, str] = {address: table for table, address in ROW_TYPES.items()}

# How a term is written short, as the data-quality tests write it: dwc:eventDate.
PREFIXES: Mapping[str, str] = {
    "http://rs.tdwg.org/dwc/terms/": "dwc:",
    "http://purl.org/dc/terms/": "dcterms:",
    "http://purl.org/dc/elements/1.1/": "dc:",
    "http://rs.tdwg.org/ac/terms/": "ac:",
    "http://ns.adobe.com/xap/1.0/rights/": "xmpRights:",
    "http://ns.adobe.com/xap/1.0/": "xmp:",
    "http://ns.adobe.com/exif/1.0/": "exif:",
}


class TermsError(ValueError):
    """The list of terms is missing or broken; the message names the file."""


@dataclass(frozen=True, slots=True)
class Term:
    """One property of one table. `short` is its name with prefix; `required`: never empty in that table."""

    name: str
    iri: str
    required: bool

    @property
    def short(self) -> str:
        return short_of(self.iri)


Terms = Mapping[str, Mapping[str, Term]]
"""Table -> short name -> term."""


@lru_cache(maxsize=4)
def read_terms(folder: Path) -> Terms:
    """The list in *folder*, the folder of fixtures."""
    path = folder / "darwin_core.csv"
    terms: dict[str, dict[str, Term]] = {table: {} for table in TABLES}
    try:
        with path.open(encoding="utf-8", newline="") as file:
            for row in csv.DictReader(file):
                term = Term(row["name"], row["iri"], row["required"] == "yes")
                terms[row["table"]][term.short] = term
    except (OSError, KeyError, csv.Error) as problem:
        raise TermsError(
            f"{path} cannot be read ({problem}). Put it back as it was when the ledger was installed."
        ) from problem
    return terms


def short_of(iri: str) -> str:
    """`dwc:eventDate` for its address; an address of no known prefix stays as it is.

    >>> short_of("http://rs.tdwg.org/dwc/terms/eventDate")
    'dwc:eventDate'
    """
    start, name = iri[: _cut(iri)], iri[_cut(iri) :]
    return PREFIXES.get(start, start) + name


def iri_of(short: str) -> str:
    """The address of a short name; what has no known prefix stays as it is."""
    prefix, colon, name = short.partition(":")
    for address, known in PREFIXES.items():
        if known == prefix + colon:
            return address + name
    return short


def _cut(iri: str) -> int:
    return max(iri.rfind("/"), iri.rfind("#")) + 1
