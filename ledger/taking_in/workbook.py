"""The first sheet of an XLSX workbook, or the one that was chosen, as a table. Pure.

Looked at before it is opened: how large it is unpacked, and whether its XML declares anything that grows by itself.
"""

import io
import re
import zipfile
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from itertools import repeat
from operator import is_
from typing import Any

from openpyxl import load_workbook
from openpyxl.cell.read_only import EMPTY_CELL

from ledger.exchange.tables import number_text
from ledger.taking_in.grid import MOST_COLUMNS, MOST_ROWS, Figure, Grid, grid_of
from ledger.taking_in.refused import FileRefused
from ledger.words import say, sentence_of

MOST_FILES = 2_000
MOST_UNPACKED = 200_000_000
MOST_TIMES = 200
_SMALL = 1_000_000
_PIECE = 1_000_000
_DECLARES = re.compile(rb"<!\s*(?:DOCTYPE|ENTITY)", re.IGNORECASE)
# Rows that are blank in between are no rows, but somebody must read them.
_MOST_LINES = MOST_ROWS * 5


def read_workbook(data: bytes, sheet: str = "") -> Grid:
    """Raises FileRefused. `sheet`: its name; empty: the first."""
    refuse_unsafe(data)
    try:
        book = load_workbook(io.BytesIO(data), read_only=True, data_only=False, keep_links=False)
    except FileRefused:
        raise
    except Exception:  # openpyxl raises whatever its parts raise
        raise _broken() from None
    try:
        names = [one.title for one in book.worksheets if one.sheet_state == "visible"]
        if not names:
            raise FileRefused(
                say(
                    "The workbook has no sheet that is shown. Nothing was written. Show the one with the finds."
                )
            )
        if sheet and sheet not in names:
            raise FileRefused(
                say(
                    "The workbook has no sheet “{sheet}”. Nothing was written. Choose another.",
                    sheet=sheet[:40],
                )
            )
        for chosen in [sheet] if sheet else names:
            # The first that holds anything: a page before the table is often left empty.
            rows = _rows(book[chosen])
            first = next(rows, None)
            if first is not None:
                return _grid(chosen, names, first, rows)
        raise FileRefused(
            say("The sheet “{sheet}” is empty. Nothing was written. Choose another.", sheet=sheet)
            if sheet
            else say(
                "Every sheet of the workbook is empty. Nothing was written. See whether it is the right file."
            )
        )
    except FileRefused:
        raise
    except Exception:
        raise _broken() from None
    finally:
        book.close()


def _grid(
    chosen: str,
    names: Sequence[str],
    first: tuple[int, Sequence[str], str],
    rows: Iterator[tuple[int, Sequence[str], str]],
) -> Grid:
    line, header, wrong = first
    if wrong:
        raise FileRefused(
            say("Row {line}, with the names of columns: {why} Nothing was written.", line=line, why=wrong)
        )
    notes = [say("Read from the sheet “{sheet}”.", sheet=chosen)]
    if len(names) > 1:
        notes.append(
            say(
                "Its other sheets were not read: {sheets}.",
                sheets=", ".join(name for name in names if name != chosen),
            )
        )
    return replace(grid_of(header, line, rows, notes, names), sheet=chosen)


def refuse_unsafe(data: bytes) -> None:
    """A zip that would grow beyond all bounds, is locked, or whose XML declares entities. Raises FileRefused."""
    try:
        files = zipfile.ZipFile(io.BytesIO(data))
    except (zipfile.BadZipFile, ValueError, OSError):
        raise _broken() from None
    with files:
        entries = files.infolist()
        if len(entries) > MOST_FILES:
            raise FileRefused(
                say(
                    "The workbook holds {n} files; {most} are the most. Nothing was written.",
                    n=f"{len(entries):,}",
                    most=f"{MOST_FILES:,}",
                )
            )
        left = MOST_UNPACKED
        for entry in entries:
            if entry.flag_bits & 1:
                raise FileRefused(
                    say("The workbook is locked with a password. Nothing was written. Save it without one.")
                )
            if entry.file_size > _SMALL and entry.file_size > MOST_TIMES * max(entry.compress_size, 1):
                raise _bomb()
            left = _looked_at(files, entry, left)


def _looked_at(files: zipfile.ZipFile, entry: zipfile.ZipInfo, left: int) -> int:
    """Unpacked piece by piece: what a zip says of itself need not be so. Returns the bytes that are left."""
    is_xml = entry.filename.endswith((".xml", ".rels", ".vml"))
    tail = b""
    try:
        with files.open(entry) as file:
            while piece := file.read(_PIECE):
                left -= len(piece)
                if left < 0:
                    raise _bomb()
                if is_xml and _DECLARES.search((tail + piece).replace(b"\0", b"")):
                    raise FileRefused(
                        say(
                            "The workbook declares a document type or entities, as no spreadsheet does. Nothing was "
                            "written. It is not read."
                        )
                    )
                tail = piece[-40:]
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, EOFError, OSError, ValueError) as problem:
        if isinstance(problem, FileRefused):
            raise
        raise _broken() from None
    return left


def _bomb() -> FileRefused:
    return FileRefused(
        say(
            "Unpacked the file would be more than {most} MB, or is packed beyond what a table can be. Nothing was "
            "written. Save the sheet with the finds by itself, as CSV.",
            most=MOST_UNPACKED // 1_000_000,
        )
    )


def _broken() -> FileRefused:
    return FileRefused(
        say(
            "The workbook is damaged or is no XLSX file. Nothing was written. Open it in the program that made it and save "
            "it anew, or save the sheet as CSV."
        )
    )


def _rows(page: Any) -> Iterator[tuple[int, Sequence[str], str]]:
    page.reset_dimensions()
    for line, cells in enumerate(page.iter_rows(max_col=MOST_COLUMNS * 5), 1):
        if line > _MOST_LINES:
            raise FileRefused(
                say(
                    "The sheet goes on beyond row {most}. Nothing was written. Delete the rows below the finds, or part "
                    "the file.",
                    most=f"{_MOST_LINES:,}",
                )
            )
        # A cell that is far below has thousands of lines above it that hold none: those are not read cell by cell.
        if all(map(is_, cells, repeat(EMPTY_CELL))):
            continue
        wrong, texts = "", []
        for cell in cells:
            try:
                texts.append(_text(cell))
            except ValueError as problem:
                wrong = wrong or sentence_of(problem)
                texts.append("")
        if not wrong and not any(texts):
            continue
        while len(texts) > 1 and not texts[-1]:
            texts.pop()
        # A row of a spreadsheet has as many cells as the sheet; the file leaves out the empty ones at its end.
        yield line, texts + [""] * (MOST_COLUMNS + 1 - len(texts)), wrong


def _text(cell: Any) -> str:
    value = cell.value
    if value is None:
        return ""
    where = getattr(cell, "coordinate", None) or say("A cell")
    if cell.data_type == "f" or type(value).__name__ in ("ArrayFormula", "DataTableFormula"):
        said = getattr(value, "text", value)
        raise ValueError(
            say(
                "{cell} is a formula, {formula}. A formula is not worked out here; put its value in its place, as by "
                "copying and pasting values only.",
                cell=where,
                formula=str(said)[:40],
            )
        )
    if cell.data_type == "e":
        raise ValueError(
            say("{cell} shows the error {error}. Mend it, or empty the cell.", cell=where, error=str(value))
        )
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return value.date().isoformat() if value.time() == time() else value.isoformat(" ", "seconds")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, time):
        return value.isoformat("seconds" if value.second else "minutes")
    if isinstance(value, timedelta):
        raise ValueError(
            say("{cell} is a length of time, which no column of a find holds. Format it as text.", cell=where)
        )
    if isinstance(value, int):
        return Figure(value)
    if isinstance(value, float):
        return Figure(number_text(value))
    return str(value)
