"""Write the club's finds to a file: archive, table, map layer, or what can be read in thirty years."""

import json
import os
import time
from argparse import ArgumentParser
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError
from django.utils import timezone

from ledger.finds import access
from ledger.forays.models import Foray
from ledger.handing_on.choices import ALL, KINDS, REVIEWED, STATUS_WORDS, Choices
from ledger.handing_on.gather import Gatherer
from ledger.handing_on.named import people_held
from ledger.handing_on.readable import readable
from ledger.handing_on.streams import Made, stream
from ledger.management.house import HouseCommand
from ledger.taxa.models import Taxon

NOT_WRITTEN = 1
NOT_UNDERSTOOD = 2
_TOLD_EVERY_S = 5


class Command(HouseCommand):
    help = (
        "Write finds to a file. Places of sensitive finds are told as cells and people are named as they "
        "agreed, whoever\n"
        "runs it; only `readable --whole` holds everything as it is, for the club's own safe, and must not be "
        "given away.\n"
        "Memory stays the same however many finds there are. The file appears under its name when it is whole.\n\n"
        "Kinds: archive (Darwin Core archive), csv (one flat table), geojson (map layer), readable (plain tables,\n"
        "photographs by number and the register book: needs no program).\n\n"
        "Example:\n"
        "  python manage.py export archive finds.zip\n"
        "  python manage.py export csv finds-2026.csv --from 2026 --to 2026 --taxon fomes-fomentarius\n"
        "  python manage.py export readable safe.zip --whole\n"
        "  python manage.py export archive finds.zip --photos --notes --json\n\n"
        "Exit codes: 0 written; 1 the file could not be written; 2 what was asked is not understood."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("kind", metavar="KIND", help=", ".join(KINDS))
        parser.add_argument(
            "out", metavar="OUT", type=Path, help="the file to write; one that is there is not touched"
        )
        parser.add_argument("--all", action="store_true", help="held finds and those with a question too")
        parser.add_argument(
            "--from", dest="year_from", type=int, metavar="YEAR", help="found in this year or later"
        )
        parser.add_argument(
            "--to", dest="year_to", type=int, metavar="YEAR", help="found in this year or before"
        )
        parser.add_argument(
            "--foray", type=int, metavar="KEY", help="of one foray: the number in its address"
        )
        parser.add_argument(
            "--taxon", default="", metavar="SLUG", help="named so: the word in the taxon's address"
        )
        parser.add_argument("--notes", action="store_true", help="notes too, which members write freely")
        parser.add_argument(
            "--photos", action="store_true", help="photographs too, as copies without metadata"
        )
        parser.add_argument("--permits", action="store_true", help="words of permits too, which name owners")
        parser.add_argument(
            "--status-word",
            default="present",
            metavar="WORD",
            help=f"of occurrenceStatus: {', '.join(STATUS_WORDS)}",
        )
        parser.add_argument(
            "--whole", action="store_true", help="readable only: the whole record, for the club's own safe"
        )
        parser.add_argument("--replace", action="store_true", help="replace a file that is there")
        parser.add_argument(
            "--json", action="store_true", help="one JSON object when done, for a machine to read"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        choices = _choices(options)
        out: Path = options["out"]
        if out.exists() and not options["replace"]:
            raise CommandError(
                f"{out} is there already. Nothing was written; name another file, or add --replace.",
                returncode=NOT_WRITTEN,
            )
        made = Made()
        pieces = _whole(choices, made) if options["whole"] else stream(choices, now=timezone.now(), made=made)
        total = choices.finds().count()
        try:
            size, digest = self._write(pieces, out, made, total)
        except OSError as problem:
            raise CommandError(
                f"{out} could not be written: {problem}. What was begun is removed; make room or name another place.",
                returncode=NOT_WRITTEN,
            ) from problem
        if options["json"]:
            told = {"file": str(out), "kind": choices.kind, "finds": made.done, "rows": made.rows}
            told |= {"bytes": size, "sha256": digest, "photos_left_out": made.left_out}
            self.stdout.write(json.dumps(told))
            return
        self.stdout.write(f"{made.done} finds, {size} bytes in {out}. SHA-256 {digest}")
        if made.left_out:
            self.stdout.write(
                f"{len(made.left_out)} photographs could not be read: {', '.join(made.left_out[:20])}"
            )

    def _write(self, pieces: Iterator[bytes], out: Path, made: Made, total: int) -> tuple[int, str]:
        """To a file beside, which takes the name when it is whole."""
        half = out.with_name(f".{out.name}.{os.getpid()}.half")
        digest, size, told = sha256(), 0, time.monotonic()
        try:
            with half.open("xb") as file:
                for piece in pieces:
                    file.write(piece)
                    digest.update(piece)
                    size += len(piece)
                    if time.monotonic() - told > _TOLD_EVERY_S:
                        told = time.monotonic()
                        self.stderr.write(f"{made.done} of {total} finds, {size // 1_000_000} MB")
                file.flush()
                os.fsync(file.fileno())
            half.replace(out)
        finally:
            half.unlink(missing_ok=True)
        return size, digest.hexdigest()


def _choices(options: dict[str, Any]) -> Choices:
    kind, whole = options["kind"], options["whole"]
    if kind not in KINDS:
        raise _not_understood(f"{kind!r} is no kind of file. Choose one of {', '.join(KINDS)}.")
    if whole and kind != "readable":
        raise _not_understood("--whole goes with readable only: the other kinds are made to be given away.")
    if options["status_word"] not in STATUS_WORDS:
        raise _not_understood(f"--status-word is one of {', '.join(STATUS_WORDS)}.")
    if options["foray"] is not None and not Foray.objects.filter(pk=options["foray"]).exists():
        raise _not_understood(
            f"There is no foray {options['foray']}. Its number stands in the address of its page."
        )
    if options["taxon"] and not Taxon.objects.filter(slug=options["taxon"]).exists():
        raise _not_understood(
            f"There is no taxon {options['taxon']!r}. Its word stands in the address of its page."
        )
    return Choices(
        kind=kind,
        which=ALL if whole or options["all"] else REVIEWED,
        status_word=options["status_word"],
        year_from=options["year_from"],
        year_to=options["year_to"],
        foray=options["foray"],
        taxon=options["taxon"],
        notes=whole or options["notes"],
        photos=whole or options["photos"],
        permits=whole or options["permits"],
    )


def _not_understood(why: str) -> CommandError:
    return CommandError(f"{why} Nothing was written.", returncode=NOT_UNDERSTOOD)


def _whole(choices: Choices, made: Made) -> Iterator[bytes]:
    gatherer = Gatherer(choices, place_of=access.place_held, people=people_held())
    return readable(gatherer, timezone.now(), made, whole=True)
