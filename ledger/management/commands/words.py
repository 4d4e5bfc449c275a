"""Hold what the screens say against the catalogues of the other languages, and make the files that are read from them."""

import json
from argparse import ArgumentParser
from collections import Counter
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import CommandError

from ledger.management.house import HouseCommand
from ledger.translations import compiled, report
from ledger.translations.found import Message, WronglyMarked, all_messages
from ledger.translations.parts import (
    BabelMissing,
    Entry,
    PartUnreadable,
    add_missing,
    drop_needless,
    read_parts,
)


class Command(HouseCommand):
    help = (
        "Hold the sentences marked in templates, modules, scripts and tables against their translations, and tell what\n"
        "is missing, stale, doubled, fuzzy, or has other placeholders. The translations stand in parts by area, in\n"
        "ledger/locale/<language>/<area>.po; DEVELOPERS.md, Words, says how a sentence is added.\n\n"
        "Examples:  python manage.py words                       what is wrong, and how much is done\n"
        "           python manage.py words --area finds          the same, of one part only\n"
        "           python manage.py words --update --area finds adds what is missing to that part, and compiles\n"
        "           python manage.py words --compile             makes the files that Python and the browser read\n"
        "           python manage.py words --json                for programs\n\n"
        "Exit codes: 0 nothing is wrong; 1 something is, or a part cannot be read."
    )

    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--area", default="", help="only this part, such as finds or vouchers_store")
        parser.add_argument(
            "--update", action="store_true", help="append what is missing to the parts, untranslated"
        )
        parser.add_argument("--compile", action="store_true", help="only make the files that are read")
        parser.add_argument("--json", action="store_true", help="tell it as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        root = Path(settings.ROOT)
        try:
            messages = all_messages(root)
            told = [
                self._language(root, language, messages, options) for language in settings.TRANSLATED_INTO
            ]
        except (WronglyMarked, PartUnreadable, BabelMissing) as problem:
            raise CommandError(f"{problem} Nothing was changed.", returncode=1) from problem
        if options["json"]:
            self.stdout.write(json.dumps(told, ensure_ascii=False, indent=1))
        if not options["compile"] and any(one["problems"] for one in told):
            raise CommandError("The catalogues are not whole.", returncode=1)

    def _language(
        self, root: Path, language: str, messages: list[Message], options: dict[str, Any]
    ) -> dict[str, Any]:
        folder = root / "ledger" / "locale" / language
        entries = read_parts(folder)
        area = options["area"]
        parts = {message.area for message in messages}
        if area and area not in parts:
            raise CommandError(
                f"There is no part {area!r}; they are {', '.join(sorted(parts))}.", returncode=2
            )
        added: dict[str, int] = {}
        if options["update"]:
            new = [one for one in report.not_in_parts(messages, entries) if area in ("", one.area)]
            added = add_missing(folder, language, new)
            drop_needless(folder, entries, messages)
            entries = read_parts(folder)
        if options["update"] or options["compile"]:
            _write(root, folder, language, messages, entries)
        problems = [
            problem
            for problem in [*report.problems_of(messages, entries), *report.doubles_of(folder)]
            if not area or f"{area}.po" in problem.where
        ]
        done = sum(not entry.is_missing for entry in entries)
        told: dict[str, Any] = {
            "language": language,
            "marked": len({message.key for message in messages}),
            "translated": done,
            "added": added,
            "problems": [problem.__dict__ for problem in problems],
        }
        if not options["json"]:
            self._tell(told, problems, quiet=options["compile"])
        return told

    def _tell(self, told: dict[str, Any], problems: list[report.Problem], *, quiet: bool) -> None:
        for part, number in sorted(told["added"].items()):
            self.stdout.write(f"{part}.po: {number} added, to be translated")
        if not quiet:
            for problem in problems:
                self.stdout.write(f"{problem.kind}: {problem.text!r}\n    {problem.where}")
        kinds = Counter(problem.kind for problem in problems)
        counts = ", ".join(f"{number} {kind}" for kind, number in sorted(kinds.items())) or "nothing is wrong"
        self.stdout.write(
            f"{told['language']}: {told['marked']} sentences are marked, {told['translated']} are translated; {counts}."
        )


def _write(root: Path, folder: Path, language: str, messages: list[Message], entries: list[Entry]) -> None:
    scripts = {message.key for message in messages if message.script}
    for file, made in (
        (compiled.mo_file(folder), compiled.mo_bytes(entries, language)),
        (compiled.script_file(root, language), compiled.script_text(entries, scripts).encode()),
    ):
        file.parent.mkdir(parents=True, exist_ok=True)
        if not file.exists() or file.read_bytes() != made:
            file.write_bytes(made)
