"""A table of text, as CSV in whatever form a program wrote it: encoding, mark at the start, line ends, separator. Pure."""

import codecs
import csv
import io
import re
from collections.abc import Iterator, Mapping, Sequence
from itertools import islice

from ledger.record.table_rows import DELIMITERS
from ledger.taking_in.grid import LONGEST_CELL, MOST_COLUMNS, Grid, grid_of
from ledger.taking_in.refused import NOTHING, FileRefused

UTF_8 = "utf-8"
ENCODINGS: Mapping[str, str] = {
    UTF_8: "Unicode (UTF-8)",
    "cp1252": "Western European (Windows 1252)",
    "iso-8859-1": "Western European (ISO 8859-1)",
    "cp1250": "Central European (Windows 1250)",
    "mac_roman": "Western European (older Macintosh)",
}
MOST_BYTES = 40_000_000
# The longer marks first: the one of UTF-32 begins as that of UTF-16 does.
_MARKS = (
    (codecs.BOM_UTF32_LE, "utf-32", "UTF-32"),
    (codecs.BOM_UTF32_BE, "utf-32", "UTF-32"),
    (codecs.BOM_UTF8, "utf-8-sig", "UTF-8"),
    (codecs.BOM_UTF16_LE, "utf-16", "UTF-16"),
    (codecs.BOM_UTF16_BE, "utf-16", "UTF-16"),
)
_LOOKED_AT = 10
_LINE_ENDS = re.compile(r"\r\n|\r|\n")
_END_WORDS = {"\r\n": "CR LF", "\n": "LF", "\r": "CR"}
_SEP = re.compile(r"sep=(.)\Z", re.IGNORECASE)
_Rows = Iterator[tuple[int, Sequence[str], str]]


def read_text_table(data: bytes, encoding: str = UTF_8) -> Grid:
    """The table of a whole file. `encoding`: one of ENCODINGS; a mark at the start of the file says more than it.
    Raises FileRefused."""
    if len(data) > MOST_BYTES:
        raise FileRefused(
            f"The file has {len(data) // 1_000_000} MB; {MOST_BYTES // 1_000_000} MB are the most for a table. {NOTHING} "
            "Part it into several files."
        )
    if not data.strip():
        raise FileRefused(f"The file is empty. {NOTHING} See whether it is the right one.")
    text, notes = _decoded(data, encoding)
    if "\0" in text[:4000]:
        raise FileRefused(
            f"The file is no table of text: it holds bytes that no text has. {NOTHING} Save the table as CSV in UTF-8, or "
            "as XLSX."
        )
    ends = set(_LINE_ENDS.findall(text))
    if len(ends) > 1:
        told = " and ".join(_END_WORDS[end] for end in sorted(ends))
        notes.append(f"Its lines end in different ways ({told}); each was read as the end of a line.")
    lines = io.StringIO(text, newline="")
    first, header_line, delimiter = _first_line(lines)
    notes.append(f"Cells are parted by a {DELIMITERS[delimiter]}.")
    rows = _rows(lines, delimiter, first, header_line)
    _, header, _ = next(rows)
    return grid_of(header, header_line, rows, notes)


def _decoded(data: bytes, encoding: str) -> tuple[str, list[str]]:
    notes = []
    for mark, marked, words in _MARKS:
        if data.startswith(mark):
            encoding = marked
            notes.append(f"The file is marked as {words} and was read so.")
            break
    if encoding not in (*ENCODINGS, "utf-8-sig", "utf-16", "utf-32"):
        raise FileRefused(f"{encoding!r} is no encoding that is read here. {NOTHING} Choose one of the list.")
    if encoding in ENCODINGS and encoding != UTF_8 and _is_utf_8(data):
        raise FileRefused(
            f"The file is in UTF-8, and not {ENCODINGS[encoding]}: read so, its letters with accents would come out as "
            f"others. {NOTHING} Choose {ENCODINGS[UTF_8]}."
        )
    try:
        return data.decode(encoding), notes
    except UnicodeDecodeError as problem:
        if encoding not in ENCODINGS:
            raise FileRefused(
                f"The file begins with the mark of {notes[0].split()[5]} and is not written so to its end; it may be cut "
                f"off. {NOTHING} Save the table anew, in UTF-8."
            ) from None
        before = data[: problem.start]
        line = before.count(b"\n") + 1 if b"\n" in data else before.count(b"\r") + 1
        near = re.sub(
            r"[^ -~]", "?", re.split(rb"[\r\n]", before)[-1][-16:].decode("ascii", "replace")
        ).strip()
        where = f"behind “{near}”" if near else "at its beginning"
        raise FileRefused(
            f"In line {line}, {where}, stands a letter that is not written in {ENCODINGS[encoding]} "
            f"(byte {data[problem.start]:#04x}). {NOTHING} Choose the letters that it was saved in, often Western European "
            "(Windows 1252), or save the table in UTF-8."
        ) from None


def _is_utf_8(data: bytes) -> bool:
    if data.isascii():
        return False
    try:
        data.decode(UTF_8)
    except UnicodeDecodeError:
        return False
    return True


def _first_line(lines: io.StringIO) -> tuple[str, int, str]:
    """The line of the names as it stands, its number, and the sign that parts cells. A line `sep=;`, as one program
    writes it, is no line of names."""
    said, number = "", 0
    for line in lines:
        number += 1
        plain = line.strip("\r\n")
        if not plain.strip():
            continue
        found = _SEP.match(plain.strip('\ufeff "'))
        if number == 1 and found and found[1] in DELIMITERS:
            said = found[1]
            continue
        bare = re.sub(r'"(?:[^"]|"")*"', "", plain)
        if bare.count('"'):
            # A name may go over two lines; the reader joins them, or says that it never ends.
            bare = bare.partition('"')[0]
        return line, number, said or _delimiter(bare, lines)
    raise FileRefused(f"The file holds no line with words in it. {NOTHING} See whether it is the right one.")


def _delimiter(first: str, lines: io.StringIO) -> str:
    """The sign that is most in the first line; where there is none, as in a title, in the first line that has any."""
    here = lines.tell()
    bare = first
    for line in islice(lines, _LOOKED_AT):
        if any(bare.count(sign) for sign in DELIMITERS):
            break
        bare = re.sub(r'"(?:[^"]|"")*"', "", line)
    lines.seek(here)
    return max(DELIMITERS, key=bare.count)


def _rows(lines: io.StringIO, delimiter: str, first: str, header_line: int) -> _Rows:
    """(line, cells, "") of the header and of every row."""

    def all_lines() -> Iterator[str]:
        yield first
        yield from lines

    csv.field_size_limit(LONGEST_CELL * 10)
    reader = csv.reader(all_lines(), delimiter=delimiter, strict=True)
    line = header_line
    while True:
        try:
            cells = next(reader, None)
        except csv.Error as trouble:
            raise FileRefused(_why(str(trouble), line)) from None
        if cells is None:
            return
        if len(cells) > MOST_COLUMNS * 10:
            raise FileRefused(
                f"Line {line} has {len(cells):,} cells; {MOST_COLUMNS} are the most. {NOTHING} See whether the line ends "
                "were lost when the file was saved."
            )
        yield line, cells, ""
        line = header_line + reader.line_num


def _why(said: str, line: int) -> str:
    if "unexpected end of data" in said or "field limit" in said:
        return (
            f"A quotation mark is opened in line {line}, or in a cell that begins there, and never closed. {NOTHING} "
            "Close it, or save the table anew from its source."
        )
    if "expected after" in said:
        return (
            f"In line {line} letters follow a closing quotation mark. {NOTHING} Write a quotation mark within a cell twice, "
            "or save the table anew from its source."
        )
    return f"Line {line} cannot be parted into cells ({said}). {NOTHING} Save the table anew from its source."
