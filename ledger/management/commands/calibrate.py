"""Measure on the reference how far the check can be trusted, and keep what the check needs of it."""

from __future__ import annotations

import dataclasses
import json
import time
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import CommandError

from ledger.management.house import HouseCommand
from ledger.traits.calibration import Run, TooFewCases, calibrate
from ledger.traits.calibration_report import figures, report, targets
from ledger.traits.calibration_values import Calibration
from ledger.traits.learning import DEFAULT
from ledger.traits.leave_out import material
from ledger.traits.reference import Reference, UnknownInReference
from ledger.traits.reference_files import ReferenceFileError, read_reference
from ledger.traits.trials import rank, run_trials, share
from ledger.traits.vocabulary import VocabularyError

# Relative distance between stored and computed numbers that another machine's arithmetic may cause.
TOLERANCE = 1e-3


class Command(HouseCommand):
    help = (
        "Calibrate the trait check on the reference in fixtures/, by leaving one source out: bands, error rates,\n"
        "weights, thresholds. Prints the report; takes about a minute. Nothing is changed without --write.\n\n"
        "Examples:  python manage.py calibrate            print the report\n"
        "           python manage.py calibrate --write    and keep it: fixtures/calibration.json and\n"
        "                                                 fixtures/reports/calibration.md\n"
        "           python manage.py calibrate --check    compare with what is kept\n\n"
        "Exit codes: 0 done; 1 the reference cannot be read, or --check found that what is kept is stale."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--folder",
            type=Path,
            default=Path(settings.FIXTURES),
            help="where the reference lies (default: fixtures/)",
        )
        parser.add_argument("--json", action="store_true", help="print the figures as one JSON object")
        action = parser.add_mutually_exclusive_group()
        action.add_argument("--write", action="store_true", help="keep calibration and report in the folder")
        action.add_argument(
            "--check", action="store_true", help="exit with 1 if what is kept is not what comes out"
        )
        action.add_argument(
            "--vary",
            action="store_true",
            help="instead, halve and double each constant of the model and show what that does (ten minutes)",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        self.started = time.monotonic()
        folder: Path = options["folder"]
        try:
            files = read_reference(folder)
            reference = Reference.build(
                files.vocabulary, files.taxa, files.sources, files.ranges, Calibration({}, 1.0, 0.0)
            )
        except (ReferenceFileError, VocabularyError, UnknownInReference, OSError) as problem:
            raise CommandError(
                f"The reference cannot be read, nothing was calibrated: {problem}"
            ) from problem
        if options["vary"]:
            self._vary(reference)
            return
        try:
            run = calibrate(reference, progress=self._progress)
        except TooFewCases as problem:
            raise CommandError(f"Nothing was calibrated: {problem}. Add sources to ranges.csv.") from problem
        text, stored = report(run, reference.vocabulary), stored_json(run)
        if options["json"]:
            self.stdout.write(json.dumps({"figures": figures(run), "calibration": run.calibration.to_json()}))
        else:
            self.stdout.write(text)
        if options["write"]:
            _write(folder / "calibration.json", stored)
            _write(folder / "reports" / "calibration.md", text)
            self._progress(f"kept in {folder / 'calibration.json'} and reports/calibration.md")
        if options["check"]:
            self._check(folder / "calibration.json", stored)
        for words, reached, way, limit, good in targets(run):
            if not good:
                self.stderr.write(f"Missed: {words} {reached:.1%}, asked {way} {limit:.0%}. See the report.")

    def _progress(self, line: str) -> None:
        self.stderr.write(f"{time.monotonic() - self.started:4.0f} s  {line}")
        self.stderr.flush()

    def _check(self, path: Path, stored: str) -> None:
        try:
            kept = json.loads(path.read_text(encoding="utf-8"))
        except (OSError, ValueError) as problem:
            raise CommandError(
                f"{path.name} cannot be read ({problem}). Run: python manage.py calibrate --write"
            ) from problem
        place = difference(kept, json.loads(stored))
        if place is not None:
            raise CommandError(
                f"{path.name} is stale, first at {place}. Run: python manage.py calibrate --write"
            )
        self._progress(f"{path.name} is what comes out")

    def _vary(self, reference: Reference) -> None:
        taxa = tuple(reference.taxa.values())
        stuff = material(reference.vocabulary, taxa, reference.sources, reference.ranges)
        choices = [("as set", DEFAULT)]
        for field in dataclasses.fields(DEFAULT):
            value = getattr(DEFAULT, field.name)
            for factor in (0.5, 2.0):
                # Shares stay below one.
                new = min(value * factor, 0.95) if field.name in ("swapped", "kinship") else value * factor
                changed = dataclasses.replace(DEFAULT, **{field.name: new})
                choices.append((f"{field.name} {value:g} -> {new:g}", changed))
        for words, constants in choices:
            trials = run_trials(stuff, constants=constants)
            places = [rank(trial.sums(), trial.case.taxon) for trial in trials]
            first, three = share(p == 1 for p in places), share(p <= 3 for p in places)
            self.stdout.write(f"{words:32} first {first:.1%}  first three {three:.1%}")
            self.stdout.flush()


def stored_json(run: Run) -> str:
    """What fixtures/calibration.json holds: the calibration, and the figures it reached."""
    data = run.calibration.to_json() | {"figures": figures(run)}
    return json.dumps(data, indent=1, sort_keys=True, ensure_ascii=False) + "\n"


def difference(kept: Any, made: Any, place: str = "") -> str | None:
    """The first place where two JSON values differ by more than arithmetic does; None if nowhere."""
    if isinstance(kept, dict) and isinstance(made, dict):
        for key in sorted(kept.keys() | made.keys()):
            if key not in kept or key not in made:
                return f"{place}/{key}"
            found = difference(kept[key], made[key], f"{place}/{key}")
            if found is not None:
                return found
        return None
    if isinstance(kept, list) and isinstance(made, list) and len(kept) == len(made):
        for index, (one, other) in enumerate(zip(kept, made, strict=True)):
            found = difference(one, other, f"{place}/{index}")
            if found is not None:
                return found
        return None
    numbers = isinstance(kept, int | float) and isinstance(made, int | float)
    if numbers and not isinstance(kept, bool) and not isinstance(made, bool):
        near = abs(kept - made) <= TOLERANCE * max(abs(kept), abs(made), 1e-3)
        return None if near else f"{place} ({kept:g}, now {made:g})"
    return None if kept == made else place


def _write(path: Path, text: str) -> None:
    """Whole or not at all: a half-written calibration would stop the ledger."""
    path.parent.mkdir(parents=True, exist_ok=True)
    beside = path.with_name(path.name + ".new")
    beside.write_text(text, encoding="utf-8")
    beside.replace(path)
