"""A Darwin Core archive read back into plain values, of our own or of another hand. Pure.

    with open_archive(path) as archive:          # ArchiveRefused: it is none, or is not safe to open
        for find in archive.finds():             # FindIn, one at a time; memory stays the same
            ...

Extension rows may stand in any order: they are gathered in a temporary file first.
"""

import csv
import io
import json
import sqlite3
import tempfile
import zipfile
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import IO, Any

from ledger.exchange import terms as known
from ledger.exchange.formulas import unguarded
from ledger.exchange.measurements import ReadingOut, fact_in, reading_in
from ledger.exchange.media import PhotoOut, RelationOut, photo_in, relation_in
from ledger.exchange.meta import META, ArchiveRefused, Meta, TableInArchive, broken_rules, read_meta
from ledger.exchange.names_out import NameIn, name_in
from ledger.exchange.occurrence import KNOWN_TERMS, OF_A_COARSE_PLACE, find_in
from ledger.words import say, say_n, sentence_of

MOST_FILES = 200_000
MOST_BYTES = 20_000_000_000  # unpacked, all files together
MOST_TIMES = 400  # a file of 10 MB or more that is packed beyond this is no table
_LARGE = 10_000_000
_LONGEST_CELL = 1_000_000
_AT_ONCE = 2_000


class RowRefused(ValueError):
    """A row cannot be read; `file`, `line` (of the first row 1, header lines not counted) and why."""

    def __init__(self, file: str, line: int, why: str) -> None:
        super().__init__(say("{file}, row {line}: {why}.", file=file, line=line, why=why))
        self.file, self.line, self.why = file, line, why


@dataclass(frozen=True, slots=True)
class FindIn:
    """One occurrence with all that belongs to it.

    `values`: as `occurrence.find_in` gives them, and beside them the facts of `measurements.FACTS` by their codes.
    `row`: every cell by short term, as it stands. `kept`: cells of the row that the ledger has no box for, by short
    term. `names`: the earliest first, one of them current; where there is no history the one of the row. `strange`:
    measurement rows of another hand.
    """

    line: int
    values: Mapping[str, Any]
    row: Mapping[str, str]
    kept: Mapping[str, str]
    readings: Sequence[ReadingOut]
    names: Sequence[NameIn]
    photos: Sequence[PhotoOut]
    relations: Sequence[RelationOut]
    strange: Sequence[Mapping[str, str]]


class Archive:
    """An open archive; use `open_archive`."""

    def __init__(self, files: zipfile.ZipFile, meta: Meta, folder: str, plain: Callable[[str], str]) -> None:
        self.zip, self.meta, self._folder, self._plain = files, meta, folder, plain

    @property
    def names(self) -> list[str]:
        """Files by their path from meta.xml."""
        cut = len(self._folder)
        return [name[cut:] for name in self.zip.namelist() if name.startswith(self._folder)]

    def broken_rules(self) -> list[str]:
        """What the text guide asks and is not so, in sentences; reads the first line of each table."""
        widths = {}
        for table in self.meta.tables:
            if table.file in self.names:
                with self._opened(table) as file:
                    widths[table.file] = len(next(self._lines(table, file), []))
        return broken_rules(self.meta, self.names, widths)

    def table(self, name: str) -> TableInArchive | None:
        """The table of `terms.TABLES`, or None."""
        return next((table for table in self.meta.tables if table.table == name), None)

    def file(self, path: str) -> IO[bytes]:
        """A file beside the tables, such as a photograph by its accessURI. KeyError where there is none."""
        return self.zip.open(self._folder + path)

    def has_file(self, path: str) -> bool:
        return self._folder + path in self.zip.NameToInfo

    def rows(self, table: TableInArchive) -> Iterator[tuple[int, str, dict[str, str]]]:
        """Row number from 1, key (id or coreid) and cells by short term, defaults filled in. Raises RowRefused."""
        for one in self._rows(table):
            if isinstance(one, RowRefused):
                raise one
            yield one

    def _rows(self, table: TableInArchive) -> Iterator[tuple[int, str, dict[str, str]] | RowRefused]:
        plain = self._plain
        with self._opened(table) as file:
            lines = self._lines(table, file)
            for _ in range(table.header_lines):
                next(lines, None)
            width = max([*table.columns, table.key or 0], default=0)
            for number, cells in enumerate(lines, 1):
                if not cells:
                    continue
                if len(cells) <= width:
                    why = say_n(
                        "it has 1 cell, and {file} tells of {width}",
                        "it has {n} cells, and {file} tells of {width}",
                        len(cells),
                        file=META,
                        width=width + 1,
                    )
                    yield RowRefused(table.file, number, why)
                    continue
                row = {term: plain(unguarded(cells[index])) for index, term in table.columns.items()}
                for term, value in table.defaults.items():
                    row[term] = row.get(term) or value
                key = plain(unguarded(cells[table.key])) if table.key is not None else ""
                yield number, key, row

    def finds(self) -> Iterator[FindIn]:
        """Every occurrence of the core with its extension rows. Raises RowRefused, ArchiveRefused."""
        for one in self.finds_and_refused():
            if isinstance(one, RowRefused):
                raise one
            yield one

    def finds_and_refused(self) -> Iterator[FindIn | RowRefused]:
        """As `finds`, and in the place of a row of the core that cannot be read why not. Raises RowRefused of an
        extension, ArchiveRefused."""
        core = self.meta.core
        if core.table != known.OCCURRENCE:
            raise ArchiveRefused(
                say(
                    "The core of this archive is of {row_type}; only occurrences are read here.",
                    row_type=core.row_type,
                )
            )
        with _gathered(self) as rows_of:
            for one in self._rows(core):
                if isinstance(one, RowRefused):
                    yield one
                    continue
                number, key, row = one
                try:
                    yield _find(number, row, rows_of(key) if key else {})
                except (ValueError, KeyError) as problem:
                    yield RowRefused(core.file, number, sentence_of(problem))

    @contextmanager
    def _opened(self, table: TableInArchive) -> Iterator[IO[str]]:
        try:
            raw = self.zip.open(self._folder + table.file)
        except KeyError:
            raise ArchiveRefused(
                say("{file} names {table}, which is not in the archive.", file=META, table=table.file)
            ) from None
        with raw, io.TextIOWrapper(raw, encoding=table.coding, newline="") as text:
            yield text

    def _lines(self, table: TableInArchive, file: IO[str]) -> Iterator[list[str]]:
        """Rows as cells; a mark at the start of the file is left out."""
        csv.field_size_limit(_LONGEST_CELL)
        quoting: dict[str, Any] = (
            {"quotechar": table.quote} if table.quote else {"quoting": csv.QUOTE_NONE, "quotechar": None}
        )
        try:
            for number, cells in enumerate(
                csv.reader(file, delimiter=table.cells_end, strict=True, **quoting)
            ):
                if number == 0 and cells:
                    cells[0] = cells[0].removeprefix("\ufeff")
                yield cells
        except UnicodeError:  # also a coding that needs a mark at its beginning, which is missing
            raise ArchiveRefused(
                say(
                    "{table} is not written in {coding}, although {file} says so.",
                    table=table.file,
                    coding=table.coding,
                    file=META,
                )
            ) from None
        except TypeError:
            raise ArchiveRefused(
                say(
                    "{file} says that the cells of {table} are parted by {sign} and enclosed by {quote}; each is one sign.",
                    file=META,
                    table=table.file,
                    sign=repr(table.cells_end),
                    quote=repr(table.quote),
                )
            ) from None
        except csv.Error as problem:
            raise ArchiveRefused(
                say("{table} cannot be parted into cells: {problem}.", table=table.file, problem=str(problem))
            ) from None
        except zipfile.BadZipFile as problem:
            raise ArchiveRefused(
                say("{table} is damaged: {problem}.", table=table.file, problem=str(problem))
            ) from None


@contextmanager
def open_archive(
    source: Path | IO[bytes], *, most_bytes: int = MOST_BYTES, plain: Callable[[str], str] = str
) -> Iterator[Archive]:
    """Open a zip that holds an archive, at its root or in one folder. Raises ArchiveRefused. Nothing is unpacked to
    the disk. `plain`: what is made of every cell.
    """
    try:
        files = zipfile.ZipFile(source)
    except (zipfile.BadZipFile, OSError, ValueError) as problem:
        raise ArchiveRefused(
            say("It is no zip file that can be opened: {problem}.", problem=str(problem))
        ) from None
    with files:
        _refuse_unsafe(files.infolist(), most_bytes)
        found = sorted((name for name in files.namelist() if PurePosixPath(name).name == META), key=len)
        if not found:
            raise ArchiveRefused(say("It holds no {file}, so it is no Darwin Core archive.", file=META))
        try:
            meta = read_meta(files.read(found[0]))
        except (zipfile.BadZipFile, NotImplementedError, RuntimeError, EOFError) as problem:
            raise ArchiveRefused(
                say("{file} cannot be unpacked: {problem}.", file=META, problem=str(problem))
            ) from None
        yield Archive(files, meta, found[0].removesuffix(META), plain)


def _refuse_unsafe(entries: Sequence[zipfile.ZipInfo], most_bytes: int) -> None:
    if len(entries) > MOST_FILES:
        raise ArchiveRefused(
            say("It holds {n} files; {most} are the most.", n=f"{len(entries):,}", most=f"{MOST_FILES:,}")
        )
    name, many = next(iter(Counter(entry.filename for entry in entries).most_common(1)), ("", 0))
    if many > 1:
        raise ArchiveRefused(
            say("It holds two files called {file}, so that it is not certain which is meant.", file=name[:80])
        )
    size = sum(entry.file_size for entry in entries)
    if size > most_bytes:
        raise ArchiveRefused(
            say("Unpacked it would be {n} bytes; {most} are the most.", n=f"{size:,}", most=f"{most_bytes:,}")
        )
    for entry in entries:
        if entry.flag_bits & 1:
            raise ArchiveRefused(say("{file} is locked with a password.", file=entry.filename[:80]))
        if entry.file_size > _LARGE and entry.file_size > MOST_TIMES * max(entry.compress_size, 1):
            times = entry.file_size // max(entry.compress_size, 1)
            raise ArchiveRefused(
                say(
                    "{file} would grow {times} times when it is unpacked, as no table and no photograph does; such a file "
                    "is made to fill a disk.",
                    file=entry.filename[:80],
                    times=f"{times:,}",
                )
            )


@contextmanager
def _gathered(archive: Archive) -> Iterator[Any]:
    """All rows of the extensions we know, by key, in a temporary database; gives `rows_of(key) -> table -> rows`."""
    with tempfile.TemporaryDirectory(prefix="ledger-archive-") as folder:
        store = sqlite3.connect(Path(folder) / "rows.sqlite3", check_same_thread=False)
        try:
            store.execute("PRAGMA journal_mode=OFF")
            store.execute("PRAGMA synchronous=OFF")
            store.execute("CREATE TABLE held (core TEXT, part TEXT, line INTEGER, cells TEXT)")
            for table in archive.meta.extensions:
                if table.table:
                    _gather(archive, table, store)
            store.execute("CREATE INDEX by_core ON held (core, part, line)")

            def rows_of(key: str) -> dict[str, list[dict[str, str]]]:
                found: dict[str, list[dict[str, str]]] = {}
                for part, cells in store.execute(
                    "SELECT part, cells FROM held WHERE core = ? ORDER BY part, line", (key,)
                ):
                    found.setdefault(part, []).append(json.loads(cells))
                return found

            yield rows_of
        finally:
            store.close()


def _gather(archive: Archive, table: TableInArchive, store: sqlite3.Connection) -> None:
    waiting: list[tuple[str, str, int, str]] = []
    insert = "INSERT INTO held VALUES (?, ?, ?, ?)"
    for number, key, row in archive.rows(table):
        filled = {term: cell for term, cell in row.items() if cell}
        waiting.append((key, table.table, number, json.dumps(filled, ensure_ascii=False)))
        if len(waiting) >= _AT_ONCE:
            store.executemany(insert, waiting)
            waiting = []
    store.executemany(insert, waiting)


def find_of_row(number: int, row: dict[str, str]) -> FindIn:
    """The find of a row by short terms, as of a flat table without extensions. Raises ValueError for a number that is
    none."""
    return _find(number, row, {})


def _find(number: int, row: dict[str, str], parts: Mapping[str, Sequence[Mapping[str, str]]]) -> FindIn:
    values = find_in(row)
    readings, strange = [], []
    for one in parts.get(known.MEASUREMENT, ()):
        if (fact := fact_in(one)) is not None:
            values[fact[0]] = fact[1]
        elif (reading := reading_in(one)) is not None:
            readings.append(reading)
        else:
            strange.append(one)
    current = row.get("dwc:identificationID", "")
    # Of another hand than ours they are words, which nothing here stands for.
    said = () if values["step_deg"] is not None else OF_A_COARSE_PLACE
    names = [name_in(one, current) for one in parts.get(known.IDENTIFICATION, ())]
    own = name_in(row)
    if not names and own.typed:
        names = [own._replace(is_current=True)]
    return FindIn(
        line=number,
        values=values,
        row=row,
        kept={term: cell for term, cell in row.items() if cell and (term not in KNOWN_TERMS or term in said)},
        readings=readings,
        names=names,
        photos=[photo_in(one) for one in parts.get(known.MEDIA, ())],
        relations=[relation_in(one) for one in parts.get(known.RELATION, ())],
        strange=strange,
    )
