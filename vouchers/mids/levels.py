"""How complete a specimen's record is, by Minimum Information about a Digital Specimen (TDWG MIDS, draft of 2026-04-30,
mapping for biology of 2026-01-12, CC0). Pure.

A level needs every element of its own and of all levels below. An element is met by any one of several ways; a way is one
term, or several that must all be there: a latitude alone is no position.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from ledger.words import later, lowered, say

Rows: TypeAlias = Mapping[str, Sequence[Mapping[str, str]]]

CORE = "dwc:Occurrence"
# The mapping's own placeholder for what nobody typed in; it counts as empty.
UNDIGITIZED = "unknown:undigitized"


@dataclass(frozen=True, slots=True)
class Way:
    """One way to meet an element: these terms, all with a value, in one row of that table."""

    terms: tuple[str, ...]
    table: str = CORE
    # Values that say nothing, beside the empty one and the placeholder.
    nothing: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Element:
    code: str
    label: str
    level: int
    ways: tuple[Way, ...]


def _any(*terms: str, table: str = CORE) -> tuple[Way, ...]:
    return tuple(Way((term,), table) for term in terms)


_ZERO = frozenset({"0"})
_UNSURE = frozenset({"incertae sedis"})

ELEMENTS: tuple[Element, ...] = (
    Element(
        "PhysicalSpecimenID",
        later("number of the specimen"),
        0,
        _any(
            "dwc:materialSampleID",
            "dwc:catalogNumber",
            "dwc:otherCatalogNumbers",
            "dwc:occurrenceID",
            "dwc:materialEntityID",
        ),
    ),
    Element(
        "Organization",
        later("who keeps it"),
        0,
        _any("dwc:ownerInstitutionCode", "dwc:institutionID", "dwc:institutionCode"),
    ),
    Element(
        "Name",
        later("a name"),
        1,
        (
            Way(("dwc:scientificName",), nothing=_UNSURE),
            Way(("dwc:scientificNameID",), nothing=_ZERO),
            Way(("gbif:taxonKey",), nothing=_ZERO),
            *_any("dwc:vernacularName", "dwc:organismName"),
        ),
    ),
    Element(
        "ObjectType",
        later("what kind of object it is"),
        1,
        _any("dwc:preparations", "dwc:materialEntityType"),
    ),
    Element("License", later("under which licence the record may be used"), 1, _any("dcterms:license")),
    Element("Modified", later("when the record was last changed"), 1, _any("dcterms:modified")),
    Element(
        "QualitativeLocation",
        later("the place in words"),
        2,
        _any(
            "dwc:locality",
            "dwc:county",
            "dwc:municipality",
            "dwc:verbatimLocality",
            "dwc:island",
            "dwc:verbatimCoordinates",
            "dwc:verbatimLongitude",
            "dwc:verbatimLatitude",
            "dwc:continent",
            "dwc:country",
            "dwc:countryCode",
            "dwc:islandGroup",
            "dwc:stateProvince",
            "dwc:waterBody",
            "dwc:higherGeography",
        ),
    ),
    Element(
        "QuantitativeLocation",
        later("the position"),
        2,
        (
            *_any("dwc:locationID", "dwc:footprintWKT"),
            Way(("dwc:decimalLatitude", "dwc:decimalLongitude")),
        ),
    ),
    Element("CollectingAgent", later("who collected it"), 2, _any("dwc:recordedBy", "dwc:recordedByID")),
    Element(
        "DateCollected",
        later("when it was collected"),
        2,
        _any("dwc:eventDate", "dwc:year", "dwc:verbatimEventDate"),
    ),
    Element(
        "CollectingNumber", later("its collecting number"), 2, _any("dwc:fieldNumber", "dwc:recordNumber")
    ),
    Element(
        "Media",
        later("a photo"),
        2,
        (
            *_any("dwc:associatedMedia", "gbif:mediaType"),
            *_any("dcterms:identifier", "dcterms:references", table="gbif:Multimedia"),
            *_any("ac:accessURI", "dcterms:identifier", table="ac:Multimedia"),
        ),
    ),
    Element("OrganizationID", later("a public identifier of who keeps it"), 3, _any("dwc:institutionID")),
    Element("CollectingAgentID", later("a public identifier of the collector"), 3, _any("dwc:recordedByID")),
    Element(
        "IdentifiedAsID",
        later("a public identifier of the name"),
        3,
        (Way(("dwc:scientificNameID",), nothing=_ZERO), Way(("gbif:taxonKey",), nothing=_ZERO)),
    ),
    Element(
        "IdentifiedByID",
        later("a public identifier of the determiner"),
        3,
        (*_any("dwc:identifiedByID"), *_any("dwc:identifiedByID", table="dwc:Identification")),
    ),
    Element(
        "GeographicalLocalityID",
        later("the position with datum, error and precision"),
        3,
        (
            *_any("dwc:locationID"),
            Way(
                (
                    "dwc:decimalLatitude",
                    "dwc:decimalLongitude",
                    "dwc:geodeticDatum",
                    "dwc:coordinateUncertaintyInMeters",
                    "dwc:coordinatePrecision",
                )
            ),
            Way(("dwc:footprintWKT", "dwc:footprintSRS")),
        ),
    ),
    Element(
        "MediaID",
        later("a public identifier of a photo"),
        3,
        (
            *_any("dcterms:identifier", table="gbif:Multimedia"),
            *_any("dcterms:identifier", table="ac:Multimedia"),
        ),
    ),
)
LEVELS = {0: later("Bare"), 1: later("Basic"), 2: later("Intermediate"), 3: later("Extended")}


@dataclass(frozen=True, slots=True)
class Completeness:
    """`level` 0 to 3, None below the barest; `missing` are the elements still to come for the next level."""

    level: int | None
    missing: tuple[Element, ...]

    @property
    def next_level(self) -> int | None:
        """The level that the missing elements stand before; None where nothing is left."""
        return self.missing[0].level if self.missing else None

    @property
    def title(self) -> str:
        if self.level is None:
            return say("below MIDS 0")
        return say("MIDS {level}, {word}", level=self.level, word=lowered(LEVELS[self.level]))


def completeness(core: Mapping[str, str], rows: Rows | None = None) -> Completeness:
    """Return how complete a record is.

    `core` holds the values of the occurrence by term (`dwc:recordNumber`); `rows` those of further tables by the table's
    name (`ac:Multimedia`), one mapping a row. Empty, blank and the mapping's placeholder are no value; `s.n.` and `s.d.` are
    answers.
    """
    tables: Rows = {**(rows or {}), CORE: [core]}
    reached: int | None = None
    for level in LEVELS:
        missing = tuple(one for one in ELEMENTS if one.level == level and not is_met(one, tables))
        if missing:
            return Completeness(reached, missing)
        reached = level
    return Completeness(reached, ())


def is_met(element: Element, tables: Rows) -> bool:
    """Whether any of the element's ways has all its values in one row."""
    return any(
        all(_says(row.get(term, ""), way.nothing) for term in way.terms)
        for way in element.ways
        for row in tables.get(way.table, ())
    )


def _says(value: str, nothing: frozenset[str]) -> bool:
    tidy = value.strip()
    return bool(tidy) and tidy != UNDIGITIZED and tidy not in nothing
