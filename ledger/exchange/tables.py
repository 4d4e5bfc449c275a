"""Which columns each table of the archive has, in their order, and CSV as we write and read it.

UTF-8 without a mark at its start, commas, quotation marks where needed, lines ended by CR LF (RFC 4180): in this form
a line break within a cell is always quoted, so that every reader gives it back.
"""

import csv
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from ledger.exchange import terms as known
from ledger.exchange.formulas import guarded_row

LINE_END = "\r\n"


@dataclass(frozen=True, slots=True)
class TablePlan:
    """One file of the archive: its columns as short terms; the first is the key (`id`, or `coreid` of an extension)."""

    table: str
    file: str
    columns: tuple[str, ...]
    is_core: bool = False
    # Of a core the key is a column like the others; of an extension it stands before them and is no term.
    constants: Mapping[str, str] = field(default_factory=dict)

    @property
    def header(self) -> list[str]:
        names = [column.partition(":")[2] for column in self.columns]
        return names if self.is_core else ["coreid", *names]


OCCURRENCE_COLUMNS = (
    "dwc:occurrenceID",
    "dwc:basisOfRecord",
    "dcterms:modified",
    "dwc:catalogNumber",
    "dwc:otherCatalogNumbers",
    "dwc:recordNumber",
    "dwc:recordedBy",
    "dwc:recordedByID",
    "dwc:organismQuantity",
    "dwc:organismQuantityType",
    "dwc:preparations",
    "dwc:disposition",
    "dwc:materialEntityRemarks",
    "dwc:associatedTaxa",
    "dwc:occurrenceRemarks",
    "dwc:parentEventID",
    "dwc:eventDate",
    "dwc:year",
    "dwc:month",
    "dwc:day",
    "dwc:country",
    "dwc:countryCode",
    "dwc:stateProvince",
    "dwc:locality",
    "dwc:minimumElevationInMeters",
    "dwc:maximumElevationInMeters",
    "dwc:decimalLatitude",
    "dwc:decimalLongitude",
    "dwc:geodeticDatum",
    "dwc:coordinateUncertaintyInMeters",
    "dwc:coordinatePrecision",
    "dwc:verbatimCoordinates",
    "dwc:georeferenceSources",
    "dwc:dataGeneralizations",
    "dwc:informationWithheld",
    "dwc:identificationID",
    "dwc:scientificName",
    "dwc:scientificNameAuthorship",
    "dwc:taxonRank",
    "dwc:order",
    "dwc:family",
    "dwc:vernacularName",
    "dwc:identificationQualifier",
    "dwc:verbatimIdentification",
    "dwc:identifiedBy",
    "dwc:identifiedByID",
    "dwc:dateIdentified",
    "dwc:identificationRemarks",
    "dwc:identificationVerificationStatus",
)
# The same in every row, so told once in meta.xml; the flat table has them as columns.
CONSTANT_COLUMNS = (
    "dwc:occurrenceStatus",
    "dcterms:license",
    "dcterms:rightsHolder",
    "dwc:institutionID",
    "dwc:institutionCode",
    "dwc:datasetName",
    "dwc:kingdom",
    "dwc:nomenclaturalCode",
)
MEASUREMENT_COLUMNS = (
    "dwc:measurementID",
    "dwc:measurementType",
    "dwc:verbatimMeasurementType",
    "dwc:measurementValue",
    "dwc:measurementAccuracy",
    "dwc:measurementUnit",
    "dwc:measurementDeterminedBy",
    "dwc:measurementDeterminedDate",
    "dwc:measurementMethod",
    "dwc:measurementRemarks",
)
IDENTIFICATION_COLUMNS = (
    "dwc:identificationID",
    "dwc:verbatimIdentification",
    "dwc:scientificName",
    "dwc:scientificNameAuthorship",
    "dwc:taxonRank",
    "dwc:identificationQualifier",
    "dwc:vernacularName",
    "dwc:identifiedBy",
    "dwc:identifiedByID",
    "dwc:dateIdentified",
    "dwc:identificationRemarks",
)
MEDIA_COLUMNS = (
    "dcterms:identifier",
    "dc:type",
    "ac:caption",
    "ac:subjectPartLiteral",
    "xmp:CreateDate",
    "dc:creator",
    "ac:accessURI",
    "dc:format",
    "ac:hashFunction",
    "ac:hashValue",
    "exif:PixelXDimension",
    "exif:PixelYDimension",
)
RELATION_COLUMNS = (
    "dwc:resourceRelationshipID",
    "dwc:resourceID",
    "dwc:relationshipOfResource",
    "dwc:relatedResourceID",
    "dwc:relationshipEstablishedDate",
    "dwc:relationshipRemarks",
)


def plans(constants: Mapping[str, str], *, with_media: bool) -> list[TablePlan]:
    """The files of an archive, the core first. `constants` are values of CONSTANT_COLUMNS; empty ones are left out."""
    told = {column: constants[column] for column in CONSTANT_COLUMNS if constants.get(column)}
    made = [
        TablePlan(known.OCCURRENCE, "occurrence.csv", OCCURRENCE_COLUMNS, is_core=True, constants=told),
        TablePlan(known.MEASUREMENT, "measurement.csv", MEASUREMENT_COLUMNS),
        TablePlan(known.IDENTIFICATION, "identification.csv", IDENTIFICATION_COLUMNS),
        TablePlan(known.RELATION, "relation.csv", RELATION_COLUMNS),
    ]
    if with_media:
        made.append(TablePlan(known.MEDIA, "media.csv", MEDIA_COLUMNS))
    return made


class CsvLines:
    """Lines of a table. They wait until `taken` is called, so that they are encoded and packed in large pieces."""

    def __init__(self) -> None:
        self._lines: list[str] = []
        self.rows = 0

    def header(self, names: Iterable[str]) -> None:
        self._lines.append(line_of(names))

    def add(self, cells: list[str]) -> None:
        """A row; cells that would be formulas are made text (`formulas`)."""
        self.add_line(line_of(guarded_row(cells)))

    def add_line(self, line: str) -> None:
        """A line as `line_of` makes them of guarded cells."""
        self._lines.append(line)
        self.rows += 1

    def add_lines(self, lines: Sequence[str]) -> None:
        self._lines += lines
        self.rows += len(lines)

    def taken(self) -> bytes:
        text = "".join(self._lines)
        self._lines = []
        return text.encode()


def line_of(cells: Iterable[str]) -> str:
    """A line as csv.writer writes it, of cells that are guarded already."""
    return ",".join([quoted(cell) for cell in cells]) + LINE_END


def quoted(cell: str) -> str:
    """A cell as csv.writer writes it: in quotation marks where it holds what would end it.

    >>> quoted('a "b", c'), quoted("a b")
    ('"a ""b"", c"', 'a b')
    """
    if "," in cell or '"' in cell or "\n" in cell or "\r" in cell:
        return '"' + cell.replace('"', '""') + '"'
    return cell


def cells_of(lines: Sequence[str]) -> Iterator[list[str]]:
    """The cells of lines, guarded as they are."""
    return csv.reader(lines)


def read_lines(file: Iterable[str], **dialect: Any) -> Iterator[list[str]]:
    """The rows of an open text file (opened with newline="")."""
    yield from csv.reader(file, **dialect)


def number_text(value: float | None) -> str:
    """A number so that it comes back exactly, without an exponent: 58, 0.1, -2.34567.

    >>> number_text(58.0), number_text(1e-05), number_text(None)
    ('58', '0.00001', '')
    """
    if value is None:
        return ""
    text = repr(float(value))
    if text.endswith(".0"):
        return text[:-2]
    return text if "e" not in text else _without_exponent(text)


def _without_exponent(text: str) -> str:
    return format(Decimal(text), "f")
