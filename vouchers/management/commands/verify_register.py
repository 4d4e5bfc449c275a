"""Prove that nothing was removed from the register or altered in it."""

import json
import re
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import CommandError

from ledger.management.house import HouseCommand
from vouchers.register.chain import Head
from vouchers.register.verification import Verified, verify_register

BAD = 1
CANNOT_TELL = 2
_DIGEST = re.compile(r"[0-9a-f]{8,64}")


class Command(HouseCommand):
    help = (
        "Read the register from its first entry to its last, and hold it against the vouchers, their parts and the\n"
        "numbers given. The first bad entry is named. Nothing is changed or repaired.\n\n"
        "Somebody who can write the database can make a whole new register that fits. Against that stands the printed\n"
        "register book: at its end it has the number of the last entry and its digest. With --printed the register is\n"
        "held against these as well.\n\n"
        "Example:\n"
        "  python manage.py verify_register\n"
        "  python manage.py verify_register --printed 412 3fa91c07 5be2d410   # the digest, or its beginning\n"
        "  python manage.py verify_register --json\n\n"
        "Exit codes: 0 the register is whole; 1 an entry is bad; 2 what was asked cannot be read."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--json", action="store_true", help="one JSON object, for a machine to read")
        parser.add_argument(
            "--printed",
            nargs="+",
            metavar=("ENTRY", "DIGEST"),
            help="number and digest of an entry as a printed register book has them; blanks do not matter",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        verified = verify_register(_printed(options["printed"]))
        if options["json"]:
            self.stdout.write(json.dumps(_as_json(verified)))
        trouble = verified.trouble
        if trouble is not None:
            of = f" ({trouble.accession_number})" if trouble.accession_number else ""
            raise CommandError(
                f"Entry {trouble.number}{of} is bad. {trouble.why} Entries before it are whole. Nothing was changed; "
                "compare with the last backup and the printed register book.",
                returncode=BAD,
            )
        if not options["json"]:
            self.stdout.write(
                f"The register is whole: {verified.entries} entries, {verified.vouchers} vouchers. "
                f"Last digest {verified.head.digest}"
            )


def _printed(given: list[str] | None) -> Head | None:
    if given is None:
        return None
    number, digest = given[0], "".join(given[1:]).lower()
    if not number.isdecimal() or int(number) == 0 or not _DIGEST.fullmatch(digest):
        raise CommandError(
            f"--printed {' '.join(given)[:100]} cannot be read. Type the number of the entry and at least the first eight "
            "signs of its digest, for example --printed 412 3fa91c07. Nothing was verified.",
            returncode=CANNOT_TELL,
        )
    return Head(int(number), digest)


def _as_json(verified: Verified) -> dict[str, Any]:
    trouble = verified.trouble
    return {
        "whole": trouble is None,
        "entries": verified.entries,
        "vouchers": verified.vouchers,
        "head": {"entry": verified.head.count, "digest": verified.head.digest},
        "first_bad": None
        if trouble is None
        else {"entry": trouble.number, "accession_number": trouble.accession_number, "why": trouble.why},
    }
