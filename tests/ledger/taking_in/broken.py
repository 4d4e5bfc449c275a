"""Files that are broken, each in its own way, with words of the sentence that says so.

Refused when they are given (GIVEN), or a line of them by what was said of their columns (MAPPED).
"""

import io
import zipfile
from typing import Any

from openpyxl import Workbook

from ledger.taking_in.columns import Mapped

META = (
    '<archive xmlns="http://rs.tdwg.org/dwc/text/"><core encoding="UTF-8" fieldsTerminatedBy="," linesTerminatedBy="\\n" '
    'fieldsEnclosedBy="&quot;" ignoreHeaderLines="1" rowType="http://rs.tdwg.org/dwc/terms/Occurrence"><files><location>'
    'occurrence.csv</location></files><id index="0"/><field index="0" term="http://rs.tdwg.org/dwc/terms/occurrenceID"/>'
    '<field index="1" term="http://rs.tdwg.org/dwc/terms/eventDate"/>'
    '<field index="2" term="http://rs.tdwg.org/dwc/terms/decimalLatitude"/></core></archive>'
)


def zipped(**files: str | bytes) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        for name, content in files.items():
            made.writestr(name.replace("__", "/").replace("_xml", ".xml").replace("_csv", ".csv"), content)
    return out.getvalue()


def archive(rows: str, meta: str = META) -> bytes:
    return zipped(meta_xml=meta, occurrence_csv="occurrenceID,eventDate,decimalLatitude\n" + rows)


def workbook(rows: list[list[Any]], *, hidden: bool = False) -> bytes:
    book = Workbook()
    page = book.active
    assert page is not None
    for row in rows:
        page.append(row)
    if hidden:
        book.create_sheet("shown")
        page.sheet_state = "hidden"
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def with_part(data: bytes, name: str, content: bytes) -> bytes:
    """The workbook with one of its parts replaced."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for entry in old.namelist():
            new.writestr(entry, content if entry == name else old.read(entry))
    return out.getvalue()


def locked(data: bytes) -> bytes:
    """The same zip with the mark of a password on its first file."""
    place = data.index(b"PK\x01\x02") + 8
    return data[:place] + bytes([data[place] | 1]) + data[place + 1 :]


SHEET = workbook([["Date", "Name"], ["2026-10-03", "Stereum hirsutum"]])
LAUGHS = (
    b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;">]><worksheet>&b;</worksheet>'
)

GIVEN: dict[str, tuple[bytes, str]] = {
    "empty": (b"", "is empty"),
    "blank lines only": (b"\n \n\n", "is empty"),
    "names of columns and nothing under them": (b"Date,Name\n", "no row under"),
    "wrong encoding": (
        "Date,Place\n2026-10-03,Forêt\n".encode("cp1252"),
        "In line 2, behind “2026-10-03,For”, stands a letter that is not written in Unicode",
    ),
    "mark of UTF-16 and half a letter": (b"\xff\xfeD\x00a", "begins with the mark of UTF-16"),
    "UTF-16 without its mark": ("Date,Name\n2026-10-03,x\n".encode("utf-16-le"), "bytes that no text has"),
    "500 columns": (
        ",".join(f"c{n}" for n in range(500)).encode() + b"\n",
        "has 500 columns; 200 are the most",
    ),
    "lost line ends": (b"Date,Name" + b",x" * 3000, "3,002 cells; 200 are the most"),
    "duplicate headers": (b"Date,Name,date\n2026-10-03,x,2026\n", "Columns 1 and 3 are both called"),
    "no names of columns": (b",,\n1,2,3\n", "no names of columns"),
    "quotes unclosed": (b'Date,Name\n2026-10-03,"Stereum\n2026-10-04,x\n', "opened in line 2"),
    "letters behind a closing quote": (
        b'Date,Name\n2026-10-03,"a"b\n',
        "letters follow a closing quotation mark",
    ),
    "200 MB": (b"Date,Name\n" + b"2026-10-03,x\n" * 16_000_000, "MB; 40 MB are the most"),
    "too many rows": (b"Date,Name\n" + b"2026-10-03,x\n" * 20_001, "more than 20,000 rows"),
    "zip of nothing we know": (zipped(readme="hello"), "neither an archive"),
    "zip cut off": (SHEET[: len(SHEET) // 2], "damaged or cut off"),
    "zip bomb": (
        zipped(**{"[Content_Types]_xml": "<x/>", "xl__a_xml": b" " * 250_000_000}),
        "packed beyond what a table",
    ),
    "entities in a workbook": (
        with_part(SHEET, "xl/worksheets/sheet1.xml", LAUGHS),
        "declares a document type",
    ),
    "workbook with a broken sheet": (with_part(SHEET, "xl/worksheets/sheet1.xml", b"<worksheet"), "damaged"),
    "workbook with a password": (locked(SHEET), "locked with a password"),
    "older workbook": (b"\xd0\xcf\x11\xe0" + b"\0" * 600, "older kind"),
    "empty sheet": (workbook([], hidden=True), "is empty"),
    "another office document": (
        zipped(mimetype="application/vnd.oasis.opendocument.text"),
        "kind that is not read",
    ),
    "PDF": (b"%PDF-1.7 ...", "is a PDF"),
    "page of a browser": (b"<!DOCTYPE html><html></html>", "is a page or XML"),
    "archive without its core": (zipped(meta_xml=META), "is named in meta.xml and is not in the archive"),
    "archive with entities": (archive("", LAUGHS.decode()), "declares a document type"),
    "archive in another encoding": (
        zipped(
            meta_xml=META, occurrence_csv="occurrenceID,eventDate,decimalLatitude\né,,\n".encode("cp1252")
        ),
        "not written in utf-8",
    ),
    "archive whose coding lacks its mark": (
        archive("a,2026-10-03,\n", META.replace('encoding="UTF-8"', 'encoding="UTF-16"')),
        "not written in utf-16",
    ),
    "archive bomb": (zipped(meta_xml=META, occurrence_csv=b"a" * 40_000_000), "made to fill a disk"),
}

_DAY = Mapped({0: "found_on", 1: "note"})
MAPPED: dict[str, tuple[bytes, Mapped, str]] = {
    "date in no order that was said": (b"d,n\n3.4.2026,x\n", _DAY, "can be read in several orders"),
    "day, month, year read as month first": (
        b"d,n\n13.4.2026,x\n",
        Mapped({0: "found_on"}, "mdy"),
        "no day of the calendar",
    ),
    "month first read as day first": (
        b"d,n\n4/13/2026,x\n",
        Mapped({0: "found_on"}, "dmy"),
        "no day of the calendar",
    ),
    "year first read as day first": (
        b"d,n\n2026/4/3,x\n",
        Mapped({0: "found_on"}, "dmy"),
        "does not have its year where",
    ),
    "day in the middle read as month": (
        b"d,n\n2026/13/4,x\n",
        Mapped({0: "found_on"}, "ymd"),
        "no day of the calendar",
    ),
    "year of two figures": (b"d,n\n3.4.26,x\n", Mapped({0: "found_on"}, "dmy"), "century is not told"),
    "decimal comma where a point was said": (
        b"lat;lon\n51,5;-2,3\n",
        Mapped({0: "latitude", 1: "longitude"}, mark="point"),
        "is no number",
    ),
    "decimal point where a comma was said": (
        b"lat;lon\n51.5;-2.3\n",
        Mapped({0: "latitude", 1: "longitude"}, mark="comma"),
        "is no number",
    ),
    "thousands": (b'a,b\n"1,234.5",x\n', Mapped({0: "altitude_m"}, mark="point"), "is no number"),
    "beyond the globe": (
        b"lat,lon\n151.5,-2.3\n",
        Mapped({0: "latitude", 1: "longitude"}, mark="point"),
        "Latitude: 151.5 is beyond 90 degrees",
    ),
    "one of latitude and longitude": (
        b"lat,lon,n\n51.5,,x\n",
        Mapped({0: "latitude", 1: "longitude"}),
        "only one is there",
    ),
    "formula": (b"d,n\n2026-10-03,=1+1\n", _DAY, "is a formula, =1+1"),
    "formula in a workbook": (
        workbook([["d", "n"], ["2026-10-03", "=A1+1"]]),
        _DAY,
        "B2 is a formula, =A1+1",
    ),
    "error in a workbook": (workbook([["d", "n"], ["2026-10-03", "#REF!"]]), _DAY, "shows the error #REF!"),
    "row too long": (b"d,n\n2026-10-03,a,b\n", _DAY, "has 3 cells where there are 2 columns"),
    "row too short": (b"d,n,m\n2026-10-03,a\n", _DAY, "has 2 cells where there are 3 columns"),
    "cell in a column without a name": (b"d,,n\n2026-10-03,x,y\n", _DAY, "column without a name"),
    "zero byte": (b"d,n\n2026-10-03,a" + b"x" * 5000 + b"\0\n", _DAY, "zero byte"),
    "letters that were lost": ("d,n\n2026-10-03,For\ufffdt\n".encode(), _DAY, "lost when the file was saved"),
    "cell beyond all bounds": (b"d,n\n2026-10-03," + b"x" * 30_000 + b"\n", _DAY, "30,000 letters"),
    "no time of the day": (
        b"d,n\n2026-10-03,25:71\n",
        Mapped({0: "found_on", 1: "found_at_time"}),
        "no time of the day",
    ),
    "neither yes nor no": (b"d,n\n2026-10-03,perhaps\n", Mapped({1: "kept"}), "neither yes nor no"),
    "state that is none": (
        b"d,n\n2026-10-03,purple\n",
        Mapped({1: "trait:underside"}),
        "“purple” is no state of it",
    ),
    "archive whose row is short": (archive("a,2026-10-03\n"), Mapped(), "it has 2 cells"),
    "archive with a decimal comma": (
        archive('a,2026-10-03,"51,5"\n'),
        Mapped(),
        "decimalLatitude is '51,5', which is no number",
    ),
    "one identity for two": (
        b"d,n\n1,a\n1,b\n",
        Mapped({0: "identity", 1: "note"}),
        "same identity as line 2",
    ),
}
