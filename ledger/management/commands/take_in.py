"""Take in the finds of a file: a Darwin Core archive, a table of its terms, or a table whose columns were named before."""

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError
from django.utils import timezone

from ledger.management.house import HouseCommand
from ledger.people.models import Member, Role
from ledger.taking_in import actions, files
from ledger.taking_in.columns import Mapped
from ledger.taking_in.models import TakingIn
from ledger.taking_in.refused import FileRefused
from ledger.taking_in.report import WRONG, Report
from ledger.taking_in.text_table import ENCODINGS, UTF_8

NOT_TAKEN = 1
NOT_UNDERSTOOD = 2


class Command(HouseCommand):
    help = (
        "Take the finds of a file in, whole or not at all. Each goes through the check and its flags as one that is\n"
        "logged. The same file again changes nothing. What was taken in is undone on the page Taking in.\n\n"
        "A table whose columns have names of their own must have been given once on that page, where somebody says what\n"
        "its columns are; a table with the same columns is then taken in here by the same.\n\n"
        "Example:\n"
        "  python manage.py take_in finds.zip --dry-run\n"
        "  python manage.py take_in finds.zip --by carys\n"
        "  python manage.py take_in old-notes.csv --encoding cp1252 --json\n\n"
        "Exit codes: 0 taken in, or a dry run without a wrong line; 1 a line is wrong, so nothing was taken in;\n"
        "2 the file cannot be read, or what was asked is not understood."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", metavar="FILE", type=Path)
        parser.add_argument(
            "--dry-run", action="store_true", help="say what would be done, line by line; write nothing"
        )
        parser.add_argument(
            "--by",
            default="",
            metavar="NAME",
            help="sign-in name of the curator who does it; the first keeper otherwise",
        )
        parser.add_argument(
            "--encoding", default="", metavar="NAME", help=f"of a table of text: {', '.join(ENCODINGS)}"
        )
        parser.add_argument("--sheet", default="", metavar="NAME", help="of a workbook; the first otherwise")
        parser.add_argument(
            "--json", action="store_true", help="one JSON object with every line, for a machine to read"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        by, now = _curator(options["by"]), timezone.now()
        path: Path = options["file"]
        if options["encoding"] not in ("", *ENCODINGS):
            raise _not_understood(f"--encoding is one of {', '.join(ENCODINGS)}.")
        try:
            if path.stat().st_size > files.MOST_BYTES:
                raise _not_understood(f"{path} is larger than {files.MOST_BYTES // 1_000_000} MB. Part it.")
            data = path.read_bytes()
        except OSError as problem:
            raise _not_understood(f"{path} cannot be read: {problem.strerror}.") from problem
        try:
            taking = actions.give(
                data, path.name, by=by, now=now, encoding=options["encoding"] or UTF_8, sheet=options["sheet"]
            )
        except FileRefused as refusal:
            raise CommandError(str(refusal), returncode=NOT_UNDERSTOOD) from refusal
        try:
            report = self._done(taking, by, dry=options["dry_run"])
        finally:
            taking.refresh_from_db()
            if taking.accepted_at is None:
                actions.forget_file(taking)
        self._tell(report, options)
        if report.many(WRONG):
            raise CommandError(
                f"{report.many(WRONG)} lines are wrong. Nothing was taken in; mend them, and run it again.",
                returncode=NOT_TAKEN,
            )

    def _done(self, taking: TakingIn, by: Member, *, dry: bool) -> Report:
        try:
            if files.asks_for_columns(taking) and not Mapped.from_json(taking.mapped).columns:
                raise _not_understood(
                    f"{taking.name} has columns that nobody has named yet. Give it once on the page Taking in."
                )
            report = actions.look_at(taking, by=by, now=timezone.now())
            if dry or report.many(WRONG):
                return report
            return actions.take_in(taking, by=by, now=timezone.now())
        except (FileRefused, actions.TakingInRefused) as refusal:
            raise CommandError(str(refusal), returncode=NOT_UNDERSTOOD) from refusal

    def _tell(self, report: Report, options: dict[str, Any]) -> None:
        if options["json"]:
            told = report.as_json() | {"dry_run": options["dry_run"], "taken_in": not options["dry_run"]}
            told["taken_in"] = told["taken_in"] and not report.many(WRONG)
            self.stdout.write(json.dumps(told, ensure_ascii=False))
            return
        for note in report.notes:
            self.stdout.write(note)
        for line in report.lines:
            said = " ".join([*line.says, *(f"[{severity}] {sentence}" for severity, sentence in line.flags)])
            self.stdout.write(f"line {line.line}: {line.state}  {line.label}  {line.name}  {said}".rstrip())
        self.stdout.write(report.said(dry=options["dry_run"] or bool(report.many(WRONG))))


def _curator(name: str) -> Member:
    if not name:
        keeper = Member.objects.filter(role=Role.KEEPER, is_active=True).order_by("pk").first()
        if keeper is None:
            raise _not_understood("There is no keeper yet. Name a curator by --by.")
        return keeper
    member = Member.objects.filter(sign_in_name=name.lower(), is_active=True).first()
    if member is None or not member.is_curator:
        raise _not_understood(f"{name!r} is no curator who can sign in.")
    return member


def _not_understood(why: str) -> CommandError:
    return CommandError(f"{why} Nothing was written.", returncode=NOT_UNDERSTOOD)
