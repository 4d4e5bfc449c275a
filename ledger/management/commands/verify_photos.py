"""Hash every original anew and say what is missing or changed."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from dataclasses import asdict
from typing import Any

from django.core.management.base import CommandError

from ledger.management.house import HouseCommand
from ledger.photo_check import how_many, verify

SOME_BAD = 1
TOLD_EVERY = 500


class Command(HouseCommand):
    help = (
        "Hash every original photo anew, those of finds and those of what went on loan, and hold it against the digest it\n"
        "came with. Nothing is changed or repaired: an original that is missing or changed is named, to be put back from a\n"
        "backup.\n\n"
        "Example:\n"
        "  python manage.py verify_photos\n"
        "  python manage.py verify_photos --json > photos.jsonl   # a line for each that is wrong, and a sum\n\n"
        "Exit codes: 0 every original is as it came; 1 some are missing, changed or cannot be read."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--json", action="store_true", help="one JSON object a line, for a machine to read"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        wrong: dict[str, int] = {}
        read, total = 0, how_many()
        for read, finding in enumerate(verify(), start=1):
            if finding is not None:
                wrong[finding.what] = wrong.get(finding.what, 0) + 1
                self.stdout.write(json.dumps(asdict(finding)) if options["json"] else finding.sentence)
            if not read % TOLD_EVERY:
                self.stderr.write(f"{read} of {total} photos read")
        if options["json"]:
            self.stdout.write(json.dumps({"photos": read, "wrong": wrong}))
        if wrong:
            said = ", ".join(f"{count} {what}" for what, count in sorted(wrong.items()))
            raise CommandError(
                f"Of {read} originals: {said}. The others are as they came. Put those back from a backup.",
                returncode=SOME_BAD,
            )
        if not options["json"]:
            self.stdout.write(f"{read} originals are as they came.")
