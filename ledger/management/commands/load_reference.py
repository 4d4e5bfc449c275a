"""Load the reference from its files; repeatable, all or nothing."""

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import CommandError
from django.db import OperationalError, ProgrammingError
from django.utils import timezone

from ledger.management.house import HouseCommand
from ledger.search import keeping
from ledger.taxa import club_names
from ledger.taxa.actions import ReferenceRefused, load_reference
from ledger.traits.reference_files import ReferenceFileError, read_reference
from ledger.traits.vocabulary import VocabularyError


class Command(HouseCommand):
    help = (
        "Load traits, taxa, sources, documented ranges, look-alikes and names in other languages, and say what changed.\n"
        "The club's own ranges and names are left alone. A row that cannot be taken is named by file and line, and the\n"
        "database is left as it was (exit code 1).\n\n"
        "Example:  python manage.py load_reference\n"
        "          python manage.py load_reference --folder my_reference --json"
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--folder",
            type=Path,
            default=Path(settings.FIXTURES),
            help="where the files lie (default: fixtures/)",
        )
        parser.add_argument("--json", action="store_true", help="print the counts as one JSON object")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            report = load_reference(read_reference(options["folder"]))
            local = club_names.load(club_names.read(options["folder"]), now=timezone.now())
        except (ReferenceFileError, ReferenceRefused, VocabularyError) as problem:
            raise CommandError(str(problem)) from problem
        except (OperationalError, ProgrammingError) as problem:
            raise CommandError(
                f"The database has no tables for it yet ({problem}). Nothing was loaded. Run first: manage.py migrate"
            ) from problem
        except OSError as problem:
            raise CommandError(
                f"The reference cannot be read: {problem}. Nothing was loaded. Name its folder with --folder."
            ) from problem
        if keeping.is_missing():
            # An edition without the index was updated to this one.
            for _ in keeping.rebuild():
                pass
        if options["json"]:
            rows = {
                table: {
                    "added": tally.added,
                    "changed": tally.changed,
                    "removed": tally.removed,
                    "same": tally.same,
                    "kept": list(tally.kept),
                }
                for table, tally in report.tallies.items()
            }
            self.stdout.write(json.dumps(rows))
            return
        for table, tally in report.tallies.items():
            self.stdout.write(
                f"{table}: {tally.added} added, {tally.changed} changed, {tally.removed} removed, {tally.same} as before"
            )
            if tally.kept:
                self.stdout.write(
                    f"  kept although gone from the files, since records name them: {', '.join(tally.kept)}"
                )
        if local:
            self.stdout.write(f"names in other languages: {local} added")
        if not report.anything_changed and not local:
            self.stdout.write("Nothing changed.")
