"""The core of a Darwin Core archive as rows to be checked, read out of the zip without unpacking it.

Source: Darwin Core text guide, 2023-09-13: attributes of `core` and their defaults, `field` with `index`, `term`, `default`.
Only what a check needs is read; extensions and metadata are left.
"""

import io
import re
import zipfile
import zlib
from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import islice
from typing import IO
from xml.etree import ElementTree

from ledger.record.table_rows import Columns, Row, Shape, TableError, folded, rows_of, term_of

_NAMESPACE = "{http://rs.tdwg.org/dwc/text/}"
_MOST_META_BYTES = 4_000_000
_ESCAPES: Mapping[str, str] = {"\\t": "\t", "\\n": "\n", "\\r": "\r", "\\r\\n": "\r\n"}
_ENTITY = re.compile(rb"<!(DOCTYPE|ENTITY)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class _Core:
    """What meta.xml says of the core: its files in order, how they are cut, term by place, and fixed values."""

    files: tuple[str, ...]
    encoding: str
    shape: Shape
    header_lines: int
    terms: Mapping[int, str]
    fixed: Mapping[str, str]
    unknown: tuple[str, ...]


@contextmanager
def opened(stream: IO[bytes], terms: Collection[str]) -> Iterator[tuple[Columns, Iterator[Row]]]:
    """The core's columns and rows. Raises TableError where the file is no archive that can be read."""
    try:
        archive = zipfile.ZipFile(stream)
    except zipfile.BadZipFile as trouble:
        raise TableError(
            "The file begins like a zip and cannot be opened as one. Nothing was checked. Fetch it anew."
        ) from trouble
    with archive:
        core = _core(_meta(archive), folded(terms))
        # The width is that of the row: meta.xml names places, and need not name all of them.
        columns = Columns(core.terms, max(core.terms, default=-1) + 1, core.unknown)
        yield columns, _rows(archive, core, columns)


def _meta(archive: zipfile.ZipFile) -> ElementTree.Element:
    if "meta.xml" not in archive.namelist():
        raise TableError(
            "The zip holds no meta.xml, so it is no Darwin Core archive. Nothing was checked. "
            "Unpack it and name the table inside; a spreadsheet's own file is to be saved as CSV."
        )
    with archive.open("meta.xml") as file:
        text = file.read(_MOST_META_BYTES + 1)
    if len(text) > _MOST_META_BYTES or _ENTITY.search(text):
        raise TableError(
            "The archive's meta.xml is not one: it is too long, or declares entities. Nothing was checked."
        )
    try:
        return ElementTree.fromstring(text)
    except ElementTree.ParseError as trouble:
        raise TableError(f"The archive's meta.xml is no XML: {trouble}. Nothing was checked.") from trouble


def _core(meta: ElementTree.Element, known: Mapping[str, str]) -> _Core:
    core = meta.find(f"{_NAMESPACE}core")
    if core is None:
        raise TableError("The archive's meta.xml names no core. Nothing was checked.")
    places: dict[int, str] = {}
    fixed: dict[str, str] = {}
    unknown = []
    for field in core.iter(f"{_NAMESPACE}field"):
        term = term_of(field.get("term", ""), known)
        index = field.get("index", "")
        if term is None:
            unknown.append(field.get("term", "").rpartition("/")[2])
        elif index.isascii() and index.isdigit() and int(index) < 10_000:
            places[int(index)] = term
        if term is not None and field.get("default"):
            fixed[term] = field.get("default", "")
    if not places and not fixed:
        raise TableError(
            "The archive's core has no column that a check reads. Nothing was checked; see whether meta.xml names the terms."
        )
    files = tuple(found.text.strip() for found in core.iter(f"{_NAMESPACE}location") if found.text)
    lines = core.get("ignoreHeaderLines", "0") or "0"
    return _Core(
        files,
        core.get("encoding") or "UTF-8",
        Shape(_sign(core.get("fieldsTerminatedBy", ",")), _sign(core.get("fieldsEnclosedBy", '"'))[:1]),
        int(lines) if lines.isdigit() else 0,
        places,
        fixed,
        tuple(unknown),
    )


def _sign(written: str) -> str:
    return _ESCAPES.get(written, written)


def _rows(archive: zipfile.ZipFile, core: _Core, columns: Columns) -> Iterator[Row]:
    if len(core.shape.delimiter) != 1:
        raise TableError(
            f"The archive cuts its cells at “{core.shape.delimiter}”; one letter is read. Nothing was checked."
        )
    done = 0
    for name in core.files:
        try:
            file = archive.open(name)
        except KeyError as trouble:
            raise TableError(
                f"The archive names {name} and does not hold it. {done} records were checked. Fetch it anew."
            ) from trouble
        encoding = "utf-8-sig" if core.encoding.casefold() in ("utf-8", "utf8") else core.encoding
        with io.TextIOWrapper(file, encoding=encoding, errors="surrogateescape", newline="") as lines:
            skipped = sum(1 for _ in islice(lines, core.header_lines))
            before = done
            rows = rows_of(
                lines, columns, core.shape, lines_before=skipped, encoding=core.encoding, is_whole=False
            )
            try:
                for row in rows:
                    done = before + row.number
                    filled = {term: row.record.get(term) or value for term, value in core.fixed.items()}
                    yield Row(done, row.line, {**row.record, **filled}, row.wrong)
            except (zipfile.BadZipFile, zlib.error, EOFError) as trouble:
                raise TableError(
                    f"{name} in the archive is damaged: {trouble}. {done} rows before it were read. Fetch it anew."
                ) from trouble
