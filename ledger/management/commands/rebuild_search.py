"""Make the index that search, list and map read anew from the finds."""

from __future__ import annotations

import json
import time
from argparse import ArgumentParser
from typing import Any

from ledger.management.house import HouseCommand
from ledger.search import keeping

TOLD_EVERY = 5_000


class Command(HouseCommand):
    help = (
        "Make the index of finds anew, by which the list, the search and the map read them. It follows every change by\n"
        "itself; run this after rows were written past the ledger, or where somebody doubts it. The ledger may run\n"
        "meanwhile: until the end it reads the index as it was, and saving waits. Nothing of a find is changed.\n\n"
        "Example:\n"
        "  python manage.py rebuild_search\n"
        "  python manage.py rebuild_search --json   # how many finds, and the seconds it took\n\n"
        "Exit codes: 0 it is made; 1 it could not be made, and is as it was."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--json", action="store_true", help="print the counts as one JSON object")

    def handle(self, *args: Any, **options: Any) -> None:
        start, done = time.monotonic(), 0
        for done in keeping.rebuild():
            if not done % TOLD_EVERY:
                self.stderr.write(f"{done} finds read")
        seconds = time.monotonic() - start
        if options["json"]:
            self.stdout.write(json.dumps({"finds": done, "seconds": round(seconds, 1)}))
        else:
            self.stdout.write(f"{done} finds are in the index again, in {seconds:.0f} s.")
