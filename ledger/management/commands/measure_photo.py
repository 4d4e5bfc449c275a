"""Measure on one photo from the shell: the scale card, lengths, pores."""

from __future__ import annotations

import json
from argparse import ArgumentParser, ArgumentTypeError
from collections.abc import Iterator
from math import isfinite
from pathlib import Path
from typing import Any

import numpy as np
from django.core.management.base import CommandError

from ledger.management.house import HouseCommand
from ledger.measuring.card import CHECK_LINE_MM
from ledger.measuring.lengths import POINTING_PX
from ledger.measuring.photo_report import photo_report
from ledger.photos.decoding import shown_name
from ledger.photos.errors import PhotoRefused
from ledger.photos.upright import upright_picture

CANNOT_READ = 2
# What a check line that was printed on paper can measure; beyond, something else was measured.
_CHECK_MM = (35.0, 70.0)


class Command(HouseCommand):
    help = (
        "Look for the printed scale card on a photo and measure in its plane: mm per pixel, tilt, lengths along lines,\n"
        "pores per mm in patches, each with its uncertainty. Nothing is kept; the ledger is not asked.\n\n"
        "Points are pixels of the upright photo, x to the right and y down, from its upper left corner.\n\n"
        "Example:\n"
        "  python manage.py measure_photo underside.jpg --json --line 812,640,2410,702 --patch 1500,900,400,400\n\n"
        "Uncertainties that begin with u_ are standard ones (k = 1), those in texts are expanded (k = 2).\n\n"
        "Exit codes: 0 the photo was looked at, also where no card or no pores were found: the output says why;\n"
        "2 the file cannot be read, or a line or patch does not lie on the photo."
    )

    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("image", metavar="IMAGE", help="a JPEG, PNG, WebP or HEIC")
        parser.add_argument("--json", action="store_true", help="one JSON object, for a machine to read")
        parser.add_argument(
            "--line",
            metavar="x1,y1,x2,y2",
            type=four,
            nargs="+",
            action="extend",
            default=[],
            help="measure along it",
        )
        parser.add_argument(
            "--patch",
            metavar="x,y,w,h",
            type=four,
            nargs="+",
            action="extend",
            default=[],
            help="count pores in it",
        )
        parser.add_argument(
            "--check-line",
            metavar="MM",
            type=check_line,
            default=CHECK_LINE_MM,
            help="what the line of 50 mm measures on the print (default 50)",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        grey = self._picture(options["image"])
        self._hold_inside(grey, options)
        told = {"file": options["image"]} | photo_report(
            grey,
            lines=options["line"],
            patches=options["patch"],
            printed_mm_per_mm=options["check_line"] / CHECK_LINE_MM,
            pointing_px=POINTING_PX,
        )
        if options["json"]:
            self.stdout.write(json.dumps(told, ensure_ascii=True, allow_nan=False))
            return
        for sentence in sentences(told):
            self.stdout.write(sentence)

    def _picture(self, name: str) -> np.ndarray[Any, np.dtype[np.uint8]]:
        try:
            return np.asarray(upright_picture(Path(name).read_bytes(), "L"))
        except OSError as problem:
            raise CommandError(
                f"{name} cannot be read: {problem.strerror or problem}. Nothing was measured. Name a photo.",
                returncode=CANNOT_READ,
            ) from problem
        except PhotoRefused as problem:
            raise CommandError(
                f"{shown_name(name)} cannot be measured on ({problem.reason}): it is no photo, or not a whole one. "
                "Nothing was measured. Name a JPEG, PNG, WebP or HEIC.",
                returncode=CANNOT_READ,
            ) from problem

    def _hold_inside(self, grey: np.ndarray[Any, Any], options: dict[str, Any]) -> None:
        high, wide = grey.shape
        patches = [(x, y, x + w, y + h) for x, y, w, h in options["patch"]]
        for x1, y1, x2, y2 in [*options["line"], *patches]:
            if not (min(x1, x2) >= 0 and max(x1, x2) <= wide and min(y1, y2) >= 0 and max(y1, y2) <= high):
                raise CommandError(
                    f"{x1:g},{y1:g} to {x2:g},{y2:g} does not lie on the photo, which is {wide} x {high} pixels. "
                    "Nothing was measured.",
                    returncode=CANNOT_READ,
                )


def four(text: str) -> tuple[float, float, float, float]:
    """Four numbers with commas between."""
    try:
        a, b, c, d = (float(part) for part in text.split(","))
    except ValueError:
        raise ArgumentTypeError(
            f"{text!r} is not four numbers with commas between, such as 10,20,300,400"
        ) from None
    if not all(isfinite(number) for number in (a, b, c, d)):
        raise ArgumentTypeError(f"{text!r} holds a number that is none")
    return a, b, c, d


def check_line(text: str) -> float:
    try:
        mm = float(text.replace(",", "."))
    except ValueError:
        mm = 0.0
    if not _CHECK_MM[0] <= mm <= _CHECK_MM[1]:
        raise ArgumentTypeError(f"{text!r} is not what a line of 50 mm can measure, such as 49.5")
    return mm


def sentences(told: dict[str, Any]) -> Iterator[str]:
    """The report for a person: one line for each thing."""
    card = told["card"]
    yield from card["sentences"] if card["found"] else [card["why"]]
    for line in told["lines"]:
        x1, y1, x2, y2 = line["line"]
        yield f"{x1:g},{y1:g} to {x2:g},{y2:g}: {line.get('text') or line['why']}"
    for patch in told["patches"]:
        x, y, w, h = patch["patch"]
        yield f"patch of {w:g} x {h:g} at {x:g},{y:g}: {patch.get('text') or patch['why']}"
    if told["pores"] and told["pores"]["counts"] > 1:
        yield f"together: {told['pores']['text']}"
