"""A table as it was read from whatever file: names of columns, and rows of texts. Pure."""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import chain, islice

from ledger.taking_in.refused import FileRefused, and_between
from ledger.words import say

MOST_COLUMNS = 200
MOST_ROWS = 20_000
LONGEST_CELL = 20_000
_SHOWN = 40
# A line of one cell is a title where, so many lines on, one of so many stands; the names of columns are that one.
_TITLE_LINES = 10
_COLUMNS_UNDER_A_TITLE = 3
_Row = tuple[int, Sequence[str], str]


class Figure(str):
    """A cell that the file holds as a number, and not as the text of one: its decimals stand behind a point, and how many
    they were is lost, since zeros at the end are not kept."""

    __slots__ = ()


@dataclass(frozen=True, slots=True)
class GridRow:
    """One row: its line in the file from 1 (of a spreadsheet, the number beside the row), its cells in the order of the
    columns; or what is wrong with it."""

    line: int
    cells: tuple[str, ...] = ()
    wrong: str = ""


@dataclass(frozen=True, slots=True)
class Grid:
    """`notes`: how it was read, in sentences for whoever gave the file. `sheets`: of a spreadsheet, its sheets; `sheet`: the
    one that was read."""

    header: tuple[str, ...]
    rows: tuple[GridRow, ...]
    notes: tuple[str, ...] = ()
    sheets: tuple[str, ...] = ()
    sheet: str = ""


def grid_of(
    header: Sequence[str],
    header_line: int,
    rows: Iterable[_Row],
    notes: Sequence[str] = (),
    sheets: Sequence[str] = (),
) -> Grid:
    """Hold rows (line, cells, what is wrong) against the names of their columns. Raises FileRefused.

    Columns without a name and without a cell are none; a blank row is none.
    """
    header_line, header, rows, title = _below_the_title((header_line, header, ""), iter(rows))
    notes = [*notes, *title]
    names = [" ".join(name.split()) for name in header]
    while names and not names[-1]:
        names.pop()
    if not any(names):
        raise FileRefused(
            say(
                "The file has no names of columns in its first line. Nothing was written. Name each column there."
            )
        )
    if len(names) > MOST_COLUMNS:
        raise FileRefused(
            say(
                "The first line has {n} columns; {most} are the most. Nothing was written. Take out the columns that "
                "say nothing of a find; or see whether the line ends were lost when the file was saved.",
                n=len(names),
                most=MOST_COLUMNS,
            )
        )
    _refuse_doubles(names)
    made: list[GridRow] = []
    for line, cells, wrong in rows:
        if not any(cell.strip() for cell in cells) and not wrong:
            continue
        if len(made) >= MOST_ROWS:
            raise FileRefused(
                say(
                    "The file has more than {most} rows, and all of a file is taken in as one act. Nothing was "
                    "written. Part it into several files.",
                    most=f"{MOST_ROWS:,}",
                )
            )
        made.append(_row(line, cells, wrong, names))
    if not made:
        raise FileRefused(
            say(
                "The file has names of columns in line {line} and no row under them. Nothing was written. "
                "See whether it is the right file, or the right sheet.",
                line=header_line,
            )
        )
    kept = [place for place, name in enumerate(names) if name]
    return Grid(
        tuple(names[place] for place in kept),
        tuple(
            GridRow(row.line, tuple(row.cells[place] for place in kept) if row.cells else (), row.wrong)
            for row in made
        ),
        tuple(notes),
        tuple(sheets),
    )


def _below_the_title(
    first: _Row, rows: Iterator[_Row]
) -> tuple[int, Sequence[str], Iterator[_Row], Sequence[str]]:
    """The line of the names, its cells, and the rows under it; with a sentence where titles stand above."""
    if _filled(first[1]) != 1:
        return first[0], first[1], rows, ()
    looked = list(islice(rows, _TITLE_LINES))
    for place, (line, cells, wrong) in enumerate(looked):
        if not wrong and _filled(cells) >= _COLUMNS_UNDER_A_TITLE:
            note = say(
                "What stands above line {line} was taken for a title, and line {line} for the names of columns.",
                line=line,
            )
            return line, cells, chain(looked[place + 1 :], rows), (note,)
    return first[0], first[1], chain(looked, rows), ()


def _filled(cells: Sequence[str]) -> int:
    return sum(1 for cell in cells if cell.strip())


def _refuse_doubles(names: Sequence[str]) -> None:
    counted = Counter(name.casefold() for name in names if name)
    double = next((name for name, count in counted.items() if count > 1), None)
    if double is not None:
        places = [str(place) for place, name in enumerate(names, 1) if name.casefold() == double]
        raise FileRefused(
            say(
                "Columns {places} are both called “{name}”, so that it is not certain which is meant. Nothing was "
                "written. Give each column a name of its own.",
                places=and_between(places),
                name=names[int(places[0]) - 1][:_SHOWN],
            )
        )


def _row(line: int, cells: Sequence[str], wrong: str, names: Sequence[str]) -> GridRow:
    if wrong:
        return GridRow(line, wrong=wrong)
    width = len(names)
    if any(cell.strip() for cell in cells[width:]):
        return GridRow(
            line,
            wrong=say(
                "It has {n} cells where there are {columns} columns, so that it is not certain which cell is which. Put "
                "a cell that holds the separator into quotation marks.",
                n=len(cells),
                columns=width,
            ),
        )
    if len(cells) < width:
        return GridRow(
            line,
            wrong=say(
                "It has {n} cells where there are {columns} columns. Add the cells that are missing, empty ones too.",
                n=len(cells),
                columns=width,
            ),
        )
    for name, cell in zip(names, cells, strict=False):
        if not name and cell.strip():
            return GridRow(
                line,
                wrong=say(
                    "“{text}” stands in a column without a name. Name the column in the first line.",
                    text=cell.strip()[:_SHOWN],
                ),
            )
        if (why := _wrong_cell(cell)) is not None:
            return GridRow(line, wrong=say("{name}: {why}", name=name, why=why))
    return GridRow(line, tuple(cell if isinstance(cell, Figure) else cell.strip() for cell in cells[:width]))


def _wrong_cell(cell: str) -> str | None:
    if len(cell) > LONGEST_CELL:
        return say(
            "the cell has {n} letters; {most} are the most. It may be a quotation mark that was opened and not closed.",
            n=f"{len(cell):,}",
            most=f"{LONGEST_CELL:,}",
        )
    if "\0" in cell:
        return say("the cell holds a zero byte, which no text has. Type it anew.")
    if "\ufffd" in cell:
        return say(
            "the cell has � where a letter was lost when the file was saved in another encoding. "
            "Save it anew from its source."
        )
    if cell.lstrip().startswith("=") and len(cell.strip()) > 1:
        return say(
            "the cell is a formula, {formula}. A formula is not worked out here; put its value in its place, as by "
            "copying and pasting values only.",
            formula=cell.strip()[:_SHOWN],
        )
    return None
