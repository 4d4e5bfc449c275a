"""A table of text, as CSV in whatever form a program wrote it: encoding, mark at the start, line ends, separator. Pure."""

import codecs
import csv
import io
import re
from collections.abc import Iterator, Mapping, Sequence
from itertools import islice

from ledger.record.table_rows import DELIMITERS
from ledger.taking_in.grid import LONGEST_CELL, MOST_COLUMNS, Grid, grid_of
from ledger.taking_in.refused import FileRefused, and_between
from ledger.words import later, say

UTF_8 = "utf-8"
ENCODINGS: Mapping[str, str] = {
    UTF_8: later("Unicode (UTF-8)"),
    "cp1252": later("Western European (Windows 1252)"),
    "iso-8859-1": later("Western European (ISO 8859-1)"),
    "cp1250": later("Central European (Windows 1250)"),
    "mac_roman": later("Western European (older Macintosh)"),
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
_PARTED_BY: Mapping[str, str] = {
    ",": later("Cells are parted by a comma."),
    "\t": later("Cells are parted by a tab."),
    ";": later("Cells are parted by a semicolon."),
    "|": later("Cells are parted by a bar."),
}
_SEP = re.compile(r"sep=(.)\Z", re.IGNORECASE)
_Rows = Iterator[tuple[int, Sequence[str], str]]


def read_text_table(data: bytes, encoding: str = UTF_8) -> Grid:
    """The table of a whole file. `encoding`: one of ENCODINGS; a mark at the start of the file says more than it.
    Raises FileRefused."""
    if len(data) > MOST_BYTES:
        raise FileRefused(
            say(
                "The file has {n} MB; {most} MB are the most for a table. Nothing was written. Part it into several files.",
                n=len(data) // 1_000_000,
                most=MOST_BYTES // 1_000_000,
            )
        )
    if not data.strip():
        raise FileRefused(say("The file is empty. Nothing was written. See whether it is the right one."))
    text, notes = _decoded(data, encoding)
    if "\0" in text[:4000]:
        raise FileRefused(
            say(
                "The file is no table of text: it holds bytes that no text has. Nothing was written. Save the table as CSV "
                "in UTF-8, or as XLSX."
            )
        )
    ends = set(_LINE_ENDS.findall(text))
    if len(ends) > 1:
        notes.append(
            say(
                "Its lines end in different ways ({ends}); each was read as the end of a line.",
                ends=and_between([_END_WORDS[end] for end in sorted(ends)]),
            )
        )
    lines = io.StringIO(text, newline="")
    first, header_line, delimiter = _first_line(lines)
    notes.append(say(_PARTED_BY[delimiter]))
    rows = _rows(lines, delimiter, first, header_line)
    _, header, _ = next(rows)
    return grid_of(header, header_line, rows, notes)


def _decoded(data: bytes, encoding: str) -> tuple[str, list[str]]:
    notes: list[str] = []
    for mark, marked, words in _MARKS:
        if data.startswith(mark):
            encoding = marked
            notes.append(say("The file is marked as {encoding} and was read so.", encoding=words))
            break
    if encoding not in (*ENCODINGS, "utf-8-sig", "utf-16", "utf-32"):
        raise FileRefused(
            say(
                "{encoding} is no encoding that is read here. Nothing was written. Choose one of the list.",
                encoding=repr(encoding),
            )
        )
    if encoding in ENCODINGS and encoding != UTF_8 and _is_utf_8(data):
        raise FileRefused(
            say(
                "The file is in UTF-8, and not {encoding}: read so, its letters with accents would come out as others. "
                "Nothing was written. Choose {other}.",
                encoding=ENCODINGS[encoding],
                other=ENCODINGS[UTF_8],
            )
        )
    try:
        return data.decode(encoding), notes
    except UnicodeDecodeError as problem:
        if encoding not in ENCODINGS:
            raise FileRefused(
                say(
                    "The file begins with the mark of {encoding} and is not written so to its end; it may be cut off. "
                    "Nothing was written. Save the table anew, in UTF-8.",
                    encoding=words,
                )
            ) from None
        before = data[: problem.start]
        line = before.count(b"\n") + 1 if b"\n" in data else before.count(b"\r") + 1
        near = re.sub(
            r"[^ -~]", "?", re.split(rb"[\r\n]", before)[-1][-16:].decode("ascii", "replace")
        ).strip()
        raise FileRefused(
            say(
                "In line {line}, {where}, stands a letter that is not written in {encoding} (byte {byte}). Nothing was "
                "written. Choose the letters that it was saved in, often Western European (Windows 1252), or save the "
                "table in UTF-8.",
                line=line,
                where=say("behind “{text}”", text=near) if near else say("at its beginning"),
                encoding=ENCODINGS[encoding],
                byte=f"{data[problem.start]:#04x}",
            )
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
    raise FileRefused(
        say("The file holds no line with words in it. Nothing was written. See whether it is the right one.")
    )


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
                say(
                    "Line {line} has {n} cells; {most} are the most. Nothing was written. See whether the line ends were "
                    "lost when the file was saved.",
                    line=line,
                    n=f"{len(cells):,}",
                    most=MOST_COLUMNS,
                )
            )
        yield line, cells, ""
        line = header_line + reader.line_num


def _why(said: str, line: int) -> str:
    if "unexpected end of data" in said or "field limit" in said:
        return say(
            "A quotation mark is opened in line {line}, or in a cell that begins there, and never closed. Nothing was "
            "written. Close it, or save the table anew from its source.",
            line=line,
        )
    if "expected after" in said:
        return say(
            "In line {line} letters follow a closing quotation mark. Nothing was written. Write a quotation mark within a "
            "cell twice, or save the table anew from its source.",
            line=line,
        )
    return say(
        "Line {line} cannot be parted into cells ({why}). Nothing was written. Save the table anew from its source.",
        line=line,
        why=said,
    )
