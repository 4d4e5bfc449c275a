"""A table as it was read from whatever file: names of columns, and rows of texts. Pure."""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import chain, islice

from ledger.taking_in.refused import NOTHING, FileRefused

MOST_COLUMNS = 200
MOST_ROWS = 20_000
LONGEST_CELL = 20_000
_SHOWN = 40
# A line of one cell is a title where, so many lines on, one of so many stands; the names of columns are that one.
_TITLE_LINES = 10
_COLUMNS_UNDER_A_TITLE = 3
_Row = tuple[int, Sequence[str], str]


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
            f"The file has no names of columns in its first line. {NOTHING} Name each column there."
        )
    if len(names) > MOST_COLUMNS:
        raise FileRefused(
            f"The first line has {len(names)} columns; {MOST_COLUMNS} are the most. {NOTHING} Take out the columns that "
            "say nothing of a find; or see whether the line ends were lost when the file was saved."
        )
    _refuse_doubles(names)
    made: list[GridRow] = []
    for line, cells, wrong in rows:
        if not any(cell.strip() for cell in cells) and not wrong:
            continue
        if len(made) >= MOST_ROWS:
            raise FileRefused(
                f"The file has more than {MOST_ROWS:,} rows, and all of a file is taken in as one act. {NOTHING} "
                "Part it into several files."
            )
        made.append(_row(line, cells, wrong, names))
    if not made:
        raise FileRefused(
            f"The file has names of columns in line {header_line} and no row under them. {NOTHING} "
            "See whether it is the right file, or the right sheet."
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
            note = f"What stands above line {line} was taken for a title, and line {line} for the names of columns."
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
            f"Columns {' and '.join(places)} are both called “{names[int(places[0]) - 1][:_SHOWN]}”, so that it is not "
            f"certain which is meant. {NOTHING} Give each column a name of its own."
        )


def _row(line: int, cells: Sequence[str], wrong: str, names: Sequence[str]) -> GridRow:
    if wrong:
        return GridRow(line, wrong=wrong)
    width = len(names)
    if any(cell.strip() for cell in cells[width:]):
        return GridRow(
            line,
            wrong=f"It has {len(cells)} cells where there are {width} columns, so that it is not certain which cell is "
            "which. Put a cell that holds the separator into quotation marks.",
        )
    if len(cells) < width:
        return GridRow(
            line,
            wrong=f"It has {len(cells)} cells where there are {width} columns. Add the cells that are missing, empty ones "
            "too.",
        )
    for name, cell in zip(names, cells, strict=False):
        if not name and cell.strip():
            return GridRow(
                line,
                wrong=f"“{cell.strip()[:_SHOWN]}” stands in a column without a name. Name the column in the first line.",
            )
        if (why := _wrong_cell(cell)) is not None:
            return GridRow(line, wrong=f"{name}: {why}")
    return GridRow(line, tuple(cell.strip() for cell in cells[:width]))


def _wrong_cell(cell: str) -> str | None:
    if len(cell) > LONGEST_CELL:
        return (
            f"the cell has {len(cell):,} letters; {LONGEST_CELL:,} are the most. It may be a quotation mark that was "
            "opened and not closed."
        )
    if "\0" in cell:
        return "the cell holds a zero byte, which no text has. Type it anew."
    if "\ufffd" in cell:
        return (
            "the cell has � where a letter was lost when the file was saved in another encoding. "
            "Save it anew from its source."
        )
    if cell.lstrip().startswith("=") and len(cell.strip()) > 1:
        return (
            f"the cell is a formula, {cell.strip()[:_SHOWN]}. A formula is not worked out here; put its value in its "
            "place, as by copying and pasting values only."
        )
    return None
