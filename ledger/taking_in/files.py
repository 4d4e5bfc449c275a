"""Files that were given, kept beside the ledger until they are taken in or thirty days old; and opened as drafts."""

import contextlib
import os
import time
import zipfile
from collections.abc import Iterable, Iterator
from io import BytesIO
from pathlib import Path
from uuid import UUID

from django.conf import settings

from ledger.exchange.formulas import unguarded
from ledger.exchange.meta import ArchiveRefused
from ledger.exchange.reader import Archive, RowRefused, find_of_row, open_archive
from ledger.exchange.terms import OCCURRENCE, read_terms
from ledger.record.visible import visible
from ledger.taking_in import from_archive, from_table
from ledger.taking_in.columns import Mapped, darwin_core_terms
from ledger.taking_in.drafts import Draft, WrongLine
from ledger.taking_in.gpx import Waypoint, read_waypoints
from ledger.taking_in.grid import MOST_ROWS, Grid
from ledger.taking_in.models import TakingIn
from ledger.taking_in.refused import NOTHING, FileRefused
from ledger.taking_in.text_table import UTF_8, read_text_table
from ledger.taking_in.units_named import strange_unit, told_units
from ledger.taking_in.workbook import read_workbook
from ledger.taxa.queries import vocabulary
from ledger.words import later, say, sentence_of, together

ARCHIVE, WORKBOOK, TABLE = "archive", "workbook", "table"
KIND_WORDS = {
    ARCHIVE: later("Darwin Core archive"),
    WORKBOOK: later("workbook"),
    TABLE: later("table of text"),
}
# By command; what comes by a browser is held to the size of a photograph (ledger/uploads.py).
MOST_BYTES = 1_000_000_000
MOST_UNPACKED = 4_000_000_000
KEPT_DAYS = 30
_ANEW = later("Have it mended where it came from, and made anew.")
_OLE = b"\xd0\xcf\x11\xe0"


def folder() -> Path:
    return Path(settings.VAR) / "taking_in"


def path_of(key: UUID) -> Path:
    return folder() / str(key)


def waypoints_path_of(key: UUID) -> Path:
    return folder() / f"{key}.gpx"


def keep(path: Path, data: bytes) -> None:
    """Written whole or not at all, readable by the ledger alone. What has lain there too long goes."""
    folder().mkdir(mode=0o700, parents=True, exist_ok=True)
    _sweep()
    half = path.with_name(f"{path.name}.half")
    half.unlink(missing_ok=True)
    half.touch(mode=0o600)
    with half.open("wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())
    half.replace(path)


def _sweep() -> None:
    before = time.time() - KEPT_DAYS * 86_400
    for path in folder().iterdir():
        with contextlib.suppress(OSError):
            if path.stat().st_mtime < before:
                path.unlink()


def drop(key: UUID) -> None:
    for path in (path_of(key), waypoints_path_of(key)):
        path.unlink(missing_ok=True)


def kind_of(data: bytes) -> str:
    """What the file is, by what stands in it and not by its name. Raises FileRefused."""
    if data.startswith(_OLE):
        raise FileRefused(
            say(
                "The file is a workbook of an older kind, or one that is locked with a password. Nothing was written. Save "
                "it as XLSX without a password, or as CSV."
            )
        )
    if not data.startswith(b"PK"):
        head = data[:1000].lstrip(b"\xef\xbb\xbf \t\r\n")
        if head.startswith(b"%PDF"):
            raise FileRefused(
                say(
                    "The file is a PDF, and no table. Nothing was written. Give the table it was printed from."
                )
            )
        if head.startswith(b"<"):
            raise FileRefused(
                say(
                    "The file is a page or XML, and no table. Nothing was written. A GPX file goes with a table of finds, "
                    "in the box below it; another must be saved as CSV or XLSX."
                )
            )
        return TABLE
    try:
        with zipfile.ZipFile(BytesIO(data)) as files:
            names = files.namelist()
    except (zipfile.BadZipFile, OSError, ValueError):
        raise FileRefused(
            say(
                "The file begins as a zip, and is damaged or cut off. Nothing was written. Take it from its source anew."
            )
        ) from None
    if any(name.rpartition("/")[2] == "meta.xml" for name in names) and "[Content_Types].xml" not in names:
        return ARCHIVE
    if "[Content_Types].xml" in names and any(name.startswith("xl/") for name in names):
        return WORKBOOK
    if "mimetype" in names:
        raise FileRefused(
            say(
                "The file is a document of a kind that is not read here. Nothing was written. Save it as XLSX or CSV."
            )
        )
    raise FileRefused(
        say(
            "The file is a zip and neither an archive (it holds no meta.xml) nor a workbook. Nothing was written. Unpack "
            "it, and give the table that is in it."
        )
    )


def read_grid(taking: TakingIn, data: bytes) -> Grid:
    """The table of a file that is one. Raises FileRefused."""
    if taking.kind == WORKBOOK:
        return read_workbook(data, taking.sheet)
    return read_text_table(data, taking.encoding or UTF_8)


def terms_of(grid: Grid) -> dict[int, str] | None:
    """Its terms by place where it is a table of Darwin Core; then nobody is asked what its columns are."""
    return darwin_core_terms(grid.header, list(read_terms(Path(settings.FIXTURES))[OCCURRENCE]))


def asks_for_columns(taking: TakingIn) -> bool:
    """Whether somebody must say what its columns are. Raises FileRefused."""
    if taking.kind == ARCHIVE:
        return False
    return terms_of(read_grid(taking, path_of(taking.pk).read_bytes())) is None


def drafts(taking: TakingIn, data: bytes, notes: list[str]) -> Iterator[Draft | WrongLine]:
    """Every find of the file; sentences of the file as a whole go into *notes*. Raises FileRefused."""
    if taking.kind == ARCHIVE:
        yield from _of_archive(data, notes)
        return
    grid = read_grid(taking, data)
    notes.extend(grid.notes)
    terms = terms_of(grid)
    if terms is not None:
        left = [name for place, name in enumerate(grid.header) if place not in terms]
        notes.append(say("Its columns are terms of Darwin Core and were read as the standard says."))
        if left:
            notes.append(say("Columns that are none were left out: {columns}.", columns=", ".join(left[:20])))
        yield from from_archive.drafts_of(_finds_of(grid, terms), named_with_leave=False)
        return
    mapped = Mapped.from_json(taking.mapped)
    left = [name for place, name in enumerate(grid.header) if place not in mapped.columns]
    if left:
        notes.append(say("Columns that were left out: {columns}.", columns=", ".join(left[:20])))
    traits = vocabulary().traits
    if strange := strange_unit(mapped.columns, grid.header, traits):
        raise FileRefused(strange)
    notes.extend(told_units(grid, mapped, traits))
    yield from from_table.drafts_of(grid, mapped, points_of(taking))


def _finds_of(grid: Grid, terms: dict[int, str]) -> Iterator[from_archive.FindIn | WrongLine]:
    for row in grid.rows:
        if row.wrong:
            yield WrongLine(row.line, [row.wrong])
            continue
        try:
            yield find_of_row(
                row.line, {term: _plain(unguarded(row.cells[place])) for place, term in terms.items()}
            )
        except (ValueError, KeyError) as problem:
            yield WrongLine(row.line, [say("{why}.", why=sentence_of(problem))])


def points_of(taking: TakingIn) -> list[Waypoint]:
    path = waypoints_path_of(taking.pk)
    return read_waypoints(path.read_bytes()) if taking.waypoints and path.exists() else []


def _of_archive(data: bytes, notes: list[str]) -> Iterator[Draft | WrongLine]:
    try:
        with open_archive(BytesIO(data), most_bytes=MOST_UNPACKED, plain=_plain) as archive:
            broken = archive.broken_rules()
            if broken:
                raise FileRefused(
                    say(
                        "The archive breaks the rules of its kind: {rules} Nothing was written. Have it mended where it "
                        "came from, and made anew.",
                        rules=together(broken[:3]),
                    )
                )
            told = [table.file for table in archive.meta.extensions if not table.table]
            if told:
                notes.append(
                    say(
                        "Tables of kinds that are not read were left out: {tables}.",
                        tables=", ".join(told[:10]),
                    )
                )
            yield from from_archive.drafts_of(_counted(archive), named_with_leave=True)
    except (ArchiveRefused, RowRefused) as refusal:
        raise FileRefused(together([sentence_of(refusal), NOTHING, _ANEW])) from None


def _plain(cell: str) -> str:
    return visible(cell, lines=True)


def _counted(archive: Archive) -> Iterator[from_archive.FindIn | WrongLine]:
    for number, one in enumerate(archive.finds_and_refused(), 1):
        if number > MOST_ROWS:
            raise FileRefused(
                say(
                    "The archive has more than {most} records, and all of a file is taken in as one act. Nothing was "
                    "written. Part it into several.",
                    most=f"{MOST_ROWS:,}",
                )
            )
        if isinstance(one, RowRefused):
            yield WrongLine(one.line, [say("In the archive: {why}.", why=one.why)])
        else:
            yield one


def photo_bytes(data: bytes, paths: Iterable[str]) -> Iterator[tuple[str, bytes]]:
    """Files of an archive by their paths; in their order; those that are not there are left out."""
    with open_archive(BytesIO(data), most_bytes=MOST_UNPACKED) as archive:
        most = settings.PHOTO_LIMIT_MB * 1_000_000
        for path in paths:
            if archive.has_file(path):
                with archive.file(path) as file:
                    yield path, file.read(most + 1)


def photos_there(data: bytes) -> frozenset[str]:
    with open_archive(BytesIO(data), most_bytes=MOST_UNPACKED) as archive:
        return frozenset(archive.names)
