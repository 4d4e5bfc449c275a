"""Run the data-quality checks on a table of Darwin Core records: one line of JSON for each record and check."""

from __future__ import annotations

import io
import json
import os
import sys
import time
from argparse import ArgumentParser, ArgumentTypeError
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import Any, BinaryIO

from django.core.management.base import CommandError
from django.utils import timezone

from ledger.finds import tables
from ledger.management.house import HouseCommand
from ledger.record import archive_core
from ledger.record.bdq import CLAIMED
from ledger.record.bdq_terms import Parameters
from ledger.record.bdq_words import TERMS, WORDS
from ledger.record.facts import Limits
from ledger.record.table_check import OWN_CHECKS, Checker, Summary, UnknownCheck, chosen_checks, needs_a_look
from ledger.record.table_rows import Columns, Row, Shape, TableError, columns_of, header_of, rows_of

SOME_ROWS_BAD = 1
CANNOT_READ = 2
_TOLD_EVERY_S = 5.0
_NAMES_TOLD = 12


class Command(HouseCommand):
    help = (
        "Run the data-quality checks on any table of Darwin Core records and print one line of JSON for each record and\n"
        "check: status, result, and a comment in words. Where a check claims to follow a test of TDWG BDQ Core, it names\n"
        "that test by its label and identifier; our own checks name none. Nothing is changed, in the file or the ledger.\n\n"
        "FILE is CSV or TSV whose first line names the columns as Darwin Core does (eventDate, or dwc:eventDate, or the\n"
        "whole address), a Darwin Core archive (its core is read), or - for standard input. Rows are read one by one, so\n"
        "that a table of any length takes the same memory. A term without a column counts as empty.\n\n"
        "Examples:\n"
        "  python manage.py record_check finds.csv > checks.jsonl\n"
        "  python manage.py record_check finds.csv --to-look-at      # only what asks for a look\n"
        "  python manage.py record_check archive.zip --summary       # counts by check, for people\n"
        "  python manage.py record_check - --check VALIDATION_EVENTDATE_STANDARD < finds.tsv\n\n"
        'A line:  {"record": 1, "line": 2, "occurrenceID": "…", "check": "VALIDATION_YEAR_INRANGE",\n'
        '          "standard": "TDWG BDQ Core", "test": "https://rs.tdwg.org/bdqtest/terms/ad0c…", "guid": "ad0c…",\n'
        '          "comment": "Holds. Asked: …", "status": "RUN_HAS_RESULT", "result": "COMPLIANT"}\n'
        'A row that cannot be checked gives {"record": 7, "line": 8, "error": "…"} and the run goes on.\n\n'
        "Exit codes: 0 every record was checked, whatever came out; 1 some rows could not be checked; 2 the file or what\n"
        "was asked cannot be used."
    )

    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "file", metavar="FILE", nargs="?", help="CSV, TSV or archive; - reads standard input"
        )
        parser.add_argument(
            "--check",
            action="append",
            default=[],
            metavar="NAME",
            help="only this one, by label or identifier; may be repeated",
        )
        parser.add_argument(
            "--list", action="store_true", help="print the checks, their identifiers and what they ask"
        )
        parser.add_argument("--summary", action="store_true", help="counts by check in place of the lines")
        parser.add_argument("--json", action="store_true", help="with --summary or --list: as lines of JSON")
        parser.add_argument(
            "--to-look-at", action="store_true", help="only lines that ask for a look or propose a value"
        )
        parser.add_argument(
            "--encoding", default="", help="of the text, where it is not UTF-8: cp1252, latin-1, utf-16"
        )
        parser.add_argument(
            "--delimiter", default="", help="between cells, where it is not found: , ; | or tab"
        )
        parser.add_argument(
            "--source-authority",
            default="",
            metavar="NAME",
            help="the list to go by; other lists than our own are answered as not available",
        )
        parser.add_argument(
            "--today",
            type=_day,
            default=None,
            metavar="DATE",
            help="the day to check dates against, as 2026-11-26",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if options["list"]:
            self._list(as_json=options["json"])
            return
        if not options["file"]:
            raise CommandError(
                "Name a file, or - for standard input; --help shows examples.", returncode=CANNOT_READ
            )
        try:
            checker = Checker(
                chosen_checks(options["check"]),
                Parameters(options["today"] or timezone.localdate(), options["source_authority"]),
                Limits(land=tables.land_map()),
                tables.flag_table(),
            )
        except UnknownCheck as trouble:
            raise CommandError(str(trouble), returncode=CANNOT_READ) from trouble
        summary = Summary()
        try:
            self._check(options, checker, summary)
        except BrokenPipeError:
            # Whoever reads our output has enough. Python must not try to flush it again on the way out.
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            return
        except TableError as trouble:
            raise CommandError(f"{options['file']}: {trouble}", returncode=CANNOT_READ) from trouble
        except (OSError, LookupError) as trouble:
            said = getattr(trouble, "strerror", None) or trouble
            raise CommandError(
                f"{options['file']} cannot be read: {said}. {summary.records} records were checked.",
                returncode=CANNOT_READ,
            ) from trouble
        if options["summary"]:
            self._print_summary(summary, checker, as_json=options["json"])
        if not summary.records and not summary.unread:
            self.stderr.write("The table has no rows below its header: there was nothing to check.")
        if summary.unread:
            raise CommandError(
                f"{summary.unread} of {summary.records + summary.unread} rows could not be checked; each has its reason "
                "in the output. The others were checked.",
                returncode=SOME_ROWS_BAD,
            )

    def _check(self, options: dict[str, Any], checker: Checker, summary: Summary) -> None:
        shape = Shape(_delimiter(options["delimiter"])) if options["delimiter"] else None
        told_at = time.monotonic()
        with opened(options["file"], options["encoding"], shape) as (columns, rows):
            if columns.unknown:
                more = len(columns.unknown) - _NAMES_TOLD
                names = ", ".join(columns.unknown[:_NAMES_TOLD]) + (f" and {more} more" if more > 0 else "")
                self.stderr.write(f"Columns that no check reads were left out: {names}.")
            for row in rows:
                self._row(row, options, checker, summary)
                if time.monotonic() - told_at > _TOLD_EVERY_S:
                    told_at = time.monotonic()
                    self.stderr.write(f"{summary.records} records checked")

    def _row(self, row: Row, options: dict[str, Any], checker: Checker, summary: Summary) -> None:
        if row.wrong:
            summary.unread += 1
            self.stdout.write(_dumps({"record": row.number, "line": row.line, "error": row.wrong}))
            return
        summary.records += 1
        lines = []
        for answer, told in checker.answers(row):
            summary.count(told["check"], answer)
            if not options["summary"] and (not options["to_look_at"] or needs_a_look(answer)):
                lines.append(_dumps(told))
        if lines:
            self.stdout.write("\n".join(lines))

    def _print_summary(self, summary: Summary, checker: Checker, *, as_json: bool) -> None:
        rows = [(CLAIMED[key].label if key in CLAIMED else key, key) for key in checker.chosen]
        if as_json:
            for check, key in rows:
                counts = dict(summary.by_check.get(check, {}))
                self.stdout.write(
                    _dumps({"check": check, "guid": key if key in CLAIMED else None, "counts": counts})
                )
            whole = {
                "records": summary.records,
                "not checked": summary.unread,
                "to look at": summary.to_look_at,
            }
            self.stdout.write(_dumps(whole))
            return
        for check, key in rows:
            counts = summary.by_check.get(check, {})
            said = ", ".join(f"{many:,} {word}" for word, many in sorted(counts.items()))
            self.stdout.write(f"{check}  {key if key in CLAIMED else '(our own)'}\n    {said or 'nothing'}")
        bdq = sum(key in CLAIMED for key in checker.chosen)
        self.stdout.write(
            f"{summary.records:,} records, {bdq} tests of TDWG BDQ Core and {len(rows) - bdq} checks of our own: "
            f"{summary.to_look_at:,} answers ask for a look; {summary.unread:,} rows could not be checked."
        )

    def _list(self, *, as_json: bool) -> None:
        for guid, test in CLAIMED.items():
            asked = WORDS[test.label]
            if as_json:
                told = {"check": test.label, "guid": guid, "terms": asked.terms, "asks": asked.asks}
                self.stdout.write(_dumps(told))
            else:
                self.stdout.write(f"{test.label}  {guid}\n    {asked.asks}")
        for code, terms in OWN_CHECKS.items():
            label = tables.flag_table().kinds[code].label
            if as_json:
                self.stdout.write(_dumps({"check": code, "guid": None, "terms": terms, "asks": label}))
            else:
                self.stdout.write(f"{code}  (our own)\n    looks for: {label}")


@contextmanager
def opened(name: str, encoding: str, shape: Shape | None) -> Iterator[tuple[Columns, Iterator[Row]]]:
    """The columns and rows of a table, or of the core of an archive. Raises TableError, OSError, LookupError."""
    if name == "-":
        with _text_table(sys.stdin.buffer, encoding, shape) as table:
            yield table
        return
    with Path(name).open("rb") as stream:
        read = archive_core.opened(stream, TERMS) if _is_zip(stream) else _text_table(stream, encoding, shape)
        with read as table:
            yield table


def _is_zip(stream: io.BufferedReader) -> bool:
    return stream.peek(2)[:2] == b"PK"


@contextmanager
def _text_table(
    stream: BinaryIO, encoding: str, shape: Shape | None
) -> Iterator[tuple[Columns, Iterator[Row]]]:
    marks = stream.peek(2)[:2] if isinstance(stream, io.BufferedReader) else b""
    encoding = encoding or ("utf-16" if marks in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig")
    # Both kinds of line end, and a bare carriage return; bytes of another encoding are told with their line.
    with io.TextIOWrapper(stream, encoding=encoding, errors="surrogateescape", newline="") as text:
        lines = iter(text)
        called = "UTF-8" if encoding == "utf-8-sig" else encoding
        header, found, read = header_of(lines, shape, encoding=called)
        columns = columns_of(header, TERMS)
        yield columns, rows_of(lines, columns, found, lines_before=read, encoding=called)


def _delimiter(given: str) -> str:
    letter = {"tab": "\t", "\\t": "\t"}.get(given.casefold(), given)
    if len(letter) != 1 or letter in '"\r\n':
        raise TableError(
            f"“{given}” is no delimiter. Nothing was checked. Give one letter: , ; | or the word tab."
        )
    return letter


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise ArgumentTypeError(f"{text!r} is no day; write it as 2026-11-26") from None


def _dumps(data: object) -> str:
    """One line, ASCII only, so that no terminal's encoding can break it; no NaN or Infinity, which are not JSON."""
    return json.dumps(data, ensure_ascii=True, allow_nan=False)
