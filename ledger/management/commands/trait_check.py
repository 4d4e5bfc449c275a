"""Check specimens given as JSON against the reference: one line out for each line in."""

from __future__ import annotations

import json
import os
import sys
from argparse import ArgumentParser
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, BinaryIO

from django.core.management.base import CommandError
from django.db import DatabaseError

from ledger.management.house import HouseCommand
from ledger.taxa.queries import NoReference, current_reference, reference_of_files
from ledger.traits.calibration_values import CalibrationError
from ledger.traits.check import check_specimen
from ledger.traits.reference import Reference, UnknownInReference
from ledger.traits.reference_files import ReferenceFileError
from ledger.traits.result_json import as_json, error_json
from ledger.traits.specimen_json import SpecimenError, parse_line

SOME_LINES_BAD = 1
CANNOT_READ = 2


class Command(HouseCommand):
    help = (
        "Check specimens against the reference: how each reading compares with what is documented of the named\n"
        "taxon, which other taxa the readings leave, and what to look at next. It says agrees, speaks against,\n"
        "missing or cannot tell; it never says what a find is, nor anything about eating.\n\n"
        "FILE holds one JSON object, or JSON Lines: one specimen per line. A reading holds values, or low, high and n,\n"
        "or states; or looked: not looked, cannot say, absent. Without taxon all taxa are ranked. Each line in gives\n"
        "one line of JSON out, in the same order, with its id; a line that cannot be used (an empty one too) gives\n"
        '{"error": {"line": 3, "reason": "..."}} and the run goes on.\n\n'
        "Example:\n"
        '  echo \'{"id": 7, "taxon": "Trametes versicolor", "state": "fresh", "readings":\n'
        '    {"cap_width": {"values": [58], "unit": "mm", "resolution": 1},\n'
        '     "underside": {"states": ["pores"]}}}\' | python manage.py trait_check -\n\n'
        "The reference is the ledger's, its house rules included; where it has none yet, that of fixtures/.\n\n"
        "Exit codes: 0 every line was checked; 1 some lines could not be used; 2 input or reference cannot be read."
    )

    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", metavar="FILE", help="JSON or JSON Lines; - reads from standard input")

    def handle(self, *args: Any, **options: Any) -> None:
        reference = self._reference()
        read = bad = 0
        try:
            with opened(options["file"]) as stream:
                for read, line in enumerate(specimen_lines(stream), start=1):
                    text, good = answer(reference, read, line)
                    bad += not good
                    self.stdout.write(text)
                    self.stdout.flush()
        except BrokenPipeError:
            # Whoever reads our output has enough. Python must not try to flush it again on the way out.
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            return
        except OSError as problem:
            raise CommandError(
                f"{options['file']} cannot be read: {problem.strerror or problem}. "
                f"{read} lines were checked. Name a file, or - for standard input.",
                returncode=CANNOT_READ,
            ) from problem
        if read == 0:
            self.stderr.write("There was nothing to check: the input is empty.")
        if bad:
            raise CommandError(
                f"{bad} of {read} lines could not be used; each has its reason in the output. "
                "The others were checked.",
                returncode=SOME_LINES_BAD,
            )

    def _reference(self) -> Reference:
        try:
            try:
                return current_reference()
            except (NoReference, DatabaseError) as problem:
                said = str(problem).strip().splitlines()
                self.stderr.write(
                    "The ledger's own reference is not there, so that of fixtures/ serves, without house rules entered "
                    f"in the ledger ({said[0] if said else type(problem).__name__})."
                )
                return reference_of_files()
        except (ReferenceFileError, UnknownInReference, CalibrationError, OSError, ValueError) as problem:
            raise CommandError(
                f"The reference cannot be read, nothing was checked: {problem}", returncode=CANNOT_READ
            ) from problem


@contextmanager
def opened(name: str) -> Iterator[BinaryIO]:
    """The input as bytes: one undecodable line must not end the run."""
    if name == "-":
        yield sys.stdin.buffer
        return
    with Path(name).open("rb") as stream:
        yield stream


def specimen_lines(stream: Iterable[bytes]) -> Iterator[bytes]:
    """The lines of the input; one object spread over several lines counts as one.

    Only if the first line is no JSON by itself and all of the input is, so that JSON Lines are never held in memory.
    """
    lines = iter(stream)
    first = next(lines, None)
    if first is None:
        return
    first = first.removeprefix(b"\xef\xbb\xbf")
    if first.lstrip()[:1] in (b"{", b"") and not _is_json(first):
        rest = list(lines)
        whole = first + b"".join(rest)
        if rest and _is_json(whole):
            yield whole
            return
        lines = iter(rest)
    yield first
    yield from lines


def _is_json(text: bytes) -> bool:
    try:
        json.loads(text)
    except (ValueError, RecursionError):
        return False
    return True


def answer(reference: Reference, number: int, line: bytes) -> tuple[str, bool]:
    """The line of JSON for one line of input, and whether it could be checked."""
    given_id: object = None
    try:
        text = line.decode("utf-8").strip()
        if not text:
            raise SpecimenError("is empty")
        given_id = _id_of(text)
        specimen = parse_line(text, reference.vocabulary)
        if specimen.id is not None and given_id is None:
            raise SpecimenError("id holds a number too large to be given back")
        return _dumps(as_json(check_specimen(reference, specimen), reference)), True
    except UnicodeDecodeError as problem:
        return _dumps(error_json(number, f"is not UTF-8 text (byte {problem.start + 1})")), False
    except SpecimenError as problem:
        return _dumps(error_json(number, str(problem), given_id)), False


def _id_of(text: str) -> object:
    """The id of a line that may be wrong in other ways; None if there is none that JSON could give back."""
    try:
        data = json.loads(text)
        found = data.get("id") if isinstance(data, dict) else None
        _dumps(found)
    except (ValueError, RecursionError):
        return None
    return found


def _dumps(data: object) -> str:
    """One line, ASCII only, so that no terminal's encoding can break it; no NaN or Infinity, which are not JSON."""
    return json.dumps(data, ensure_ascii=True, allow_nan=False)
