"""A table of Darwin Core records as text, row by row in constant memory: which column is which term, and what is wrong.

A column is a term by its name (`eventDate`), with its prefix (`dwc:eventDate`) or by its address
(`http://rs.tdwg.org/dwc/terms/eventDate`), whatever the capitals. Columns of other names are left out and told.
"""

import csv
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from _csv import Reader as CsvReader

_ADDRESSES: Mapping[str, str] = {
    "http://rs.tdwg.org/dwc/terms/": "dwc:",
    "http://purl.org/dc/terms/": "dcterms:",
    "http://purl.org/dc/elements/1.1/": "dc:",
}
# A parameter of the tests, as the published validation data give it beside each record.
AUTHORITY = "bdqval:sourceAuthority"
DELIMITERS: Mapping[str, str] = {",": "comma", "\t": "tab", ";": "semicolon", "|": "bar"}

_UNDECODED = re.compile(
    "[\udc80-\udcff]"
)  # what `surrogateescape` makes of bytes that are not of the encoding
_MOST_COLUMNS = 2_000
_NAMES_TOLD = 8


class TableError(ValueError):
    """The table cannot be checked, or not any further; the text says where, what was wrong and what to do."""


@dataclass(frozen=True, slots=True)
class Columns:
    """What the header says: term by place, in order; and the names that are none of ours."""

    terms: Mapping[int, str]
    count: int
    unknown: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Row:
    """One row: its place in the table from 1, its line in the file, and its record; or what is wrong with it."""

    number: int
    line: int
    record: Mapping[str, str] = field(default_factory=dict)
    wrong: str = ""


@dataclass(frozen=True, slots=True)
class Shape:
    """How the text is cut into cells. ``quote`` empty: quotes are letters like any other."""

    delimiter: str
    quote: str = '"'


def guess_shape(first_line: str) -> Shape:
    """By the sign that stands most often in the header."""
    return Shape(max(DELIMITERS, key=first_line.count))


def term_of(name: str, known: Mapping[str, str]) -> str | None:
    """The term of a column's name; `known` is term by folded name, see `folded`."""
    for address, prefix in _ADDRESSES.items():
        if name.strip().casefold().startswith(address):
            name = prefix + name.strip()[len(address) :]
    return known.get(name.strip().casefold())


def folded(terms: Iterable[str]) -> dict[str, str]:
    """Each term by its name in small letters, with its prefix and without."""
    names: dict[str, str] = {}
    for term in terms:
        names[term.casefold()] = term
        names[term.partition(":")[2].casefold()] = term
    return names


def columns_of(header: Sequence[str], terms: Iterable[str]) -> Columns:
    """Raises TableError where no column is a term, or two are the same."""
    if len(header) > _MOST_COLUMNS:
        raise TableError(
            f"The first line has {len(header)} columns; {_MOST_COLUMNS} at most are read. Nothing was checked. "
            "See whether the line ends were lost when the file was saved."
        )
    known = {**folded(terms), AUTHORITY.casefold(): AUTHORITY}
    found: dict[int, str] = {}
    unknown = []
    for place, name in enumerate(header):
        term = term_of(name, known)
        if term is None:
            unknown.append(name.strip())
        elif term in found.values():
            raise TableError(
                f"Two columns are {term}. Nothing was checked, since either may be meant. "
                "Take one out, or give it another name."
            )
        else:
            found[place] = term
    if not set(found.values()) - {AUTHORITY}:
        seen = ", ".join(f"“{name[:40]}”" for name in unknown[:_NAMES_TOLD]) or "nothing"
        raise TableError(
            f"No column has a name of Darwin Core that a check reads; the first line says {seen}. Nothing was checked. "
            "Name the columns as Darwin Core does, such as eventDate, decimalLatitude, scientificName."
        )
    return Columns(found, len(header), tuple(unknown))


def rows_of(
    lines: Iterable[str],
    columns: Columns,
    shape: Shape,
    *,
    lines_before: int = 0,
    encoding: str = "UTF-8",
    is_whole: bool = True,
) -> Iterator[Row]:
    """The rows below the header. A row of the wrong length is told and left out; blank lines are no rows.

    ``is_whole``: the columns are all there are, as in a header; else a row may have more of them.

    Raises TableError where the text itself breaks off: bytes of another encoding, a quote that never ends.
    """
    reader = reader_of(_decoded(lines, lines_before, encoding), shape)
    number, line = 0, lines_before + 1
    while True:
        try:
            cells = next(reader, None)
        except csv.Error as trouble:
            raise TableError(
                f"Line {line} cannot be cut into cells: {_why(trouble)}. {number} rows before it were checked. "
                "Mend that line, or save the table anew, and run it again."
            ) from trouble
        if cells is None:
            return
        here, line = line, lines_before + reader.line_num + 1
        if not cells or (len(cells) == 1 and columns.count > 1 and not cells[0].strip()):
            continue
        number += 1
        if len(cells) < columns.count or (is_whole and len(cells) > columns.count):
            yield Row(number, here, wrong=_ragged(len(cells), columns.count))
            continue
        yield Row(number, here, {term: cells[place] for place, term in columns.terms.items()})


def reader_of(lines: Iterable[str], shape: Shape) -> "CsvReader":
    """Strict, so that a quote that never ends is said and does not swallow the rest of the file."""
    if shape.quote:
        return csv.reader(lines, delimiter=shape.delimiter, quotechar=shape.quote, strict=True)
    return csv.reader(lines, delimiter=shape.delimiter, quoting=csv.QUOTE_NONE, strict=True)


def header_of(
    lines: Iterator[str], shape: Shape | None = None, *, encoding: str = "UTF-8"
) -> tuple[list[str], Shape, int]:
    """The header's cells, how the text is cut, and the lines read. `lines` stands at the first row afterwards.

    Raises TableError for an empty file, or one whose first line is not text.
    """
    read = 0
    for first in _decoded(lines, 0, encoding):
        read += 1
        if first.strip():
            break
    else:
        raise TableError("The file is empty. Nothing was checked.")
    if "\0" in first:
        raise TableError(
            "The file is no table of text: its first line holds bytes that no text has. Nothing was checked. "
            "Save the table as CSV in UTF-8. A spreadsheet's own file is not read."
        )
    shape = shape or guess_shape(first)
    try:
        cells = next(reader_of([first], shape))
    except csv.Error as trouble:
        raise TableError(
            f"The first line cannot be cut into columns: {_why(trouble)}. Nothing was checked. "
            "The names of columns stand in one line."
        ) from trouble
    return cells, shape, read


def _decoded(lines: Iterable[str], before: int, encoding: str) -> Iterator[str]:
    for number, line in enumerate(lines, start=before + 1):
        if not line.isascii() and (found := _UNDECODED.search(line)):
            byte = ord(found[0]) - 0xDC00
            near = line[max(0, found.start() - 12) : found.start()]
            raise TableError(
                f"Line {number} is not {encoding}: a byte {byte:#04x} after “{_UNDECODED.sub('?', near)}”. "
                f"Lines before it were read. Save the table in UTF-8, or name its encoding: --encoding cp1252."
            )
        yield line


def _ragged(cells: int, columns: int) -> str:
    mend = (
        "Add the cells that are missing, empty ones too."
        if cells < columns
        else "Put a cell that holds the delimiter or a quote into quotes."
    )
    return (
        f"The row has {cells} cells where the header has {columns} columns, so that it is not certain which cell is which. "
        f"It was not checked. {mend}"
    )


def _why(trouble: csv.Error) -> str:
    said = str(trouble)
    if "unexpected end of data" in said:
        return "a quote is opened and never closed"
    if "field limit" in said:
        return f"a cell has more than {csv.field_size_limit()} letters, as where a quote is opened and not closed"
    if "expected after" in said:
        return "letters follow a closing quote"
    return said
