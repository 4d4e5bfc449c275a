"""Restoring a backup into an empty place: proved before anything is written, and held against its manifest afterwards."""

import json
import re
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass, field
from hashlib import sha256
from typing import IO, Any

from django.apps.registry import Apps
from django.core.files.storage import storages
from django.core.management import call_command
from django.core.management.color import no_style
from django.db import connection, models, transaction
from django.db.migrations.executor import MigrationExecutor

from ledger.backup import originals, providers, tables
from ledger.backup.container import Reader
from ledger.backup.empty import Target
from ledger.backup.errors import BackupError, Damaged
from ledger.backup.making import SEALED, Say
from ledger.backup.originals import FOLDER, Lacking, Names, Original
from ledger.backup.places import HALF, Place
from ledger.backup.rows import Rows, load, unpacked
from ledger.backup.sealing import Key, Unsealer

_SAFE_FILE = re.compile(r"[A-Za-z0-9_-][A-Za-z0-9_.-]*(/[A-Za-z0-9_-][A-Za-z0-9_.-]*)*")


@dataclass(slots=True)
class Restored:
    """What a backup holds, and what was done. `lacking` was lacking already when it was made; `left_out` is by wish."""

    name: str
    made_at: str = ""
    seal: str = ""
    club: str = ""
    tables: dict[str, int] = field(default_factory=dict)
    rows: int = 0
    originals: int = 0
    original_bytes: int = 0
    register: dict[str, Any] | None = None
    lacking: list[str] = field(default_factory=list)
    left_out: list[str] = field(default_factory=list)


@dataclass(slots=True)
class Backup:
    """One backup at a place. Each `reader()` begins at its beginning."""

    place: Place
    name: str
    key: Key | None
    about: dict[str, Any] = field(default_factory=dict)
    summary: dict[str, Any] = field(default_factory=dict)
    seal: str = ""

    def open(self) -> IO[bytes]:
        try:
            return self.place.open(self.name)
        except FileNotFoundError:
            raise BackupError(
                f"{self.place.words} has no backup {self.name}. Look at the names with --list."
            ) from None

    def reader(self, file: IO[bytes]) -> Reader:
        try:
            return Reader(Unsealer(file, self.key) if self.name.endswith(SEALED) else file, self.name)
        except Damaged as problem:
            raise Damaged(
                f"{self.name} is damaged: {problem}. It cannot be restored; take another backup."
            ) from None

    def prove(self, say: Say) -> "Backup":
        """Read it to its end. After this it is known to be whole, and `about`, `summary`, `seal` are filled."""
        if self.name.rpartition("/")[2].startswith(".") or self.name.endswith(HALF):
            raise Damaged(f"{self.name} was cut off while it was written. It is no backup; take another one.")
        with closing(self.open()) as file:
            reader = self.reader(file)
            for number, member in enumerate(reader.members(), start=1):
                if not number % 200:
                    say(f"proving {self.name}: {number} members, now {member.name}")
            self.about, self.summary, self.seal = (
                reader.result.about,
                reader.result.summary,
                reader.result.seal,
            )
        return self

    def told(self) -> Iterator[dict[str, Any]]:
        """What it says of each original."""
        with closing(self.open()) as file:
            for member in self.reader(file).members():
                if member.name.startswith("rows/"):
                    return
                if member.name.startswith("originals/"):
                    for line in unpacked(member.name, member.data):
                        yield _safe(json.loads(line), self.name)


def _safe(told: dict[str, Any], name: str) -> dict[str, Any]:
    file = told.get("file")
    if not isinstance(file, str) or not _SAFE_FILE.fullmatch(file):
        raise Damaged(f"{name} names an original {file!r}, as none is named. Nothing was restored.")
    return told


def check(backup: Backup, say: Say) -> Restored:
    """Prove a backup and that its originals are there in their size; write nothing."""
    backup.prove(say)
    if missing := list(_not_there(backup)):
        raise Damaged(
            _some("Originals that this backup needs are not at its place", missing, "Nothing was restored.")
        )
    return _of(backup)


def _of(backup: Backup) -> Restored:
    said = backup.summary
    return Restored(
        name=backup.name,
        made_at=backup.about["made_at"],
        seal=backup.seal,
        club=backup.about.get("club", ""),
        tables={label: tally["rows"] for label, tally in said["tables"].items()},
        rows=said["rows"],
        originals=said["originals"],
        original_bytes=said["original_bytes"],
        register=said["register"],
        lacking=said["lacking"],
    )


def _not_there(backup: Backup) -> Iterator[str]:
    if backup.about["originals"] == "inside":
        return
    with Names() as there:
        there.add(backup.place.sizes(FOLDER))
        for told in backup.told():
            if "stored" not in told:
                continue
            size = there.number(told["stored"])
            if size is None:
                yield f"{told['file']} (there {told['stored']}) is missing"
            elif size != told["stored_bytes"]:
                yield f"{told['file']} (there {told['stored']}) has {size} bytes instead of {told['stored_bytes']}"


def _some(what: str, sentences: list[str], then: str) -> str:
    shown = "; ".join(sentences[:20])
    more = f"; and {len(sentences) - 20} more" if len(sentences) > 20 else ""
    return f"{what} ({len(sentences)}): {shown}{more}. {then}"


def restore(backup: Backup, *, leave_out: bool, say: Say) -> Restored:
    """Restore into the ledger that the settings name. BackupError: it was refused, and what is there now.

    `leave_out`: go on without originals that are missing or damaged at the place; each is named in the answer.
    """
    target = Target()
    target.must_be_empty()
    backup.prove(say)
    _must_be_known(backup)
    missing = list(_not_there(backup))
    if missing and not leave_out:
        raise Damaged(_some("Originals that this backup needs are not at its place", missing, _LEAVE_OUT))
    done = _of(backup)
    with target.begun(backup.name):
        done.left_out = _restore_originals(backup, leave_out, say)
        target.make_room(backup)
        apps = _make_tables(backup, say)
        with transaction.atomic():
            _load_rows(backup, apps, say)
            _hold_against_manifest(backup, apps, say)
            target.rows_are_in()
        say("bringing the tables up to this program")
        call_command("migrate", verbosity=0, interactive=False)
        providers.rebuild_derived(say)
        _hold_register(backup)
        _hold_originals(backup, done, say)
        target.finish()
    return done


_LEAVE_OUT = "Nothing was restored. Put them back, or say --leave-out to restore everything else."


def _must_be_known(backup: Backup) -> None:
    migrations = [(app, name) for app, name in backup.about["migrations"]]
    if strange := tables.unknown(migrations, "default"):
        app, name = strange[-1]
        raise BackupError(
            f"{backup.name} was made by a newer program: its table changes ({app} {name}) are not known here. "
            "Nothing was restored; install the program of that time or a newer one, and restore with that."
        )


# --- Originals -------------------------------------------------------------------------------------------


def _restore_originals(backup: Backup, leave_out: bool, say: Say) -> list[str]:
    bad: list[str] = []
    number = 0
    for number, (told, data) in enumerate(_with_bytes(backup), start=1):
        why = "" if data is not None else "is missing at its place or cannot be read there"
        if data is not None and (len(data) != told["bytes"] or sha256(data).hexdigest() != told["sha256"]):
            why, data = "is damaged: it has another SHA-256", None
        if data is None:
            bad.append(f"{told['file']} (there {told.get('stored', 'inside')}) {why}")
        else:
            _keep(told["file"], data)
        if not number % 200:
            say(f"{number} originals restored")
    if bad and not leave_out:
        raise Damaged(_some("Originals of this backup are not as they came", bad, _LEAVE_OUT))
    return bad


def _with_bytes(backup: Backup) -> Iterator[tuple[dict[str, Any], bytes | None]]:
    if backup.about["originals"] == "inside":
        yield from _inside(backup)
        return
    for told in backup.told():
        if "lacking" not in told:
            yield told, _fetched(backup, told)


def _inside(backup: Backup) -> Iterator[tuple[dict[str, Any], bytes | None]]:
    """Photos stand before the list that names them; each is written once its list has come."""
    with closing(backup.open()) as file:
        digests: dict[str, str] = {}
        for member in backup.reader(file).members():
            if member.name.startswith("rows/"):
                return
            if member.name.startswith("photos/"):
                name, digest = member.name.removeprefix("photos/"), sha256(member.data).hexdigest()
                digests[name] = digest
                yield (
                    _safe({"file": name, "sha256": digest, "bytes": len(member.data)}, backup.name),
                    member.data,
                )
            elif member.name.startswith("originals/"):
                for told in (json.loads(line) for line in unpacked(member.name, member.data)):
                    if "lacking" not in told and digests.get(told["file"]) != told["sha256"]:
                        yield told, None
                digests = {}


def _fetched(backup: Backup, told: dict[str, Any]) -> bytes | None:
    try:
        with closing(backup.place.open(told["stored"])) as file:
            source = Unsealer(file, backup.key) if told["stored"].endswith(SEALED) else file
            return source.read(told["bytes"] + 1)
    except (FileNotFoundError, BackupError):
        return None


def _keep(file: str, data: bytes) -> None:
    try:
        storages["default"].keep(file, data)  # type: ignore[attr-defined]
    except OSError as problem:
        raise BackupError(
            f"An original could not be written: {problem.strerror or problem}. The restore ended here; "
            "make room, and run it again: what is there of this backup is taken up."
        ) from problem


def _hold_originals(backup: Backup, done: Restored, say: Say) -> None:
    """Read what was restored anew, by what the restored rows say."""
    say("reading the restored originals")
    may_lack = {told["file"] for told in backup.told() if "lacking" in told}
    may_lack |= {sentence.split(" (there ")[0] for sentence in done.left_out}
    apps = tables.models_at(tables.applied("default"), "default")
    bad = []
    for original in originals.originals(apps, "default"):
        if original.file not in may_lack and (why := _why_not(original)):
            bad.append(f"{original.file} {why}")
    if bad:
        raise Damaged(
            _some("Restored originals are not as they came", bad, "Look at the disk, and restore again.")
        )


def _why_not(original: Original) -> str:
    try:
        originals.read(original)
    except Lacking as why:
        return str(why)
    return ""


# --- Rows ------------------------------------------------------------------------------------------------


def _make_tables(backup: Backup, say: Say) -> Apps:
    """The tables as they were when the backup was made; return the models of that time."""
    say("making the tables")
    applied = sorted((app, name) for app, name in backup.about["migrations"])
    executor = MigrationExecutor(connection)
    of_last = [
        key
        for key in applied
        if not any(
            child.key[0] == key[0] and child.key in applied
            for child in executor.loader.graph.node_map[key].children
        )
    ]
    executor.migrate(of_last)
    return tables.models_at(applied, "default")


def _load_rows(backup: Backup, apps: Apps, say: Say) -> None:
    by_label = {model._meta.label_lower: model for model in apps.get_models(include_auto_created=True)}
    for label in reversed(list(backup.summary["tables"])):
        with connection.cursor() as cursor:  # what migrations put there
            cursor.execute(
                f"DELETE FROM {connection.ops.quote_name(_model(by_label, label, backup)._meta.db_table)}"
            )
    rows = 0
    with closing(backup.open()) as file:
        reader = backup.reader(file)
        for member in reader.members():
            if member.name.startswith("rows/"):
                label = member.name.split("/")[1].partition("-")[2]
                rows += load(_model(by_label, label, backup), "default", member.name, member.data)
                say(f"{rows} of {backup.summary['rows']} rows, now {label}")
    if reader.result.seal != backup.seal:
        raise Damaged(f"{backup.name} was changed while it was restored. Nothing of its rows was kept.")
    _numbers_go_on([_model(by_label, label, backup) for label in backup.summary["tables"]])


def _model(by_label: dict[str, Any], label: str, backup: Backup) -> type[models.Model]:
    try:
        model: type[models.Model] = by_label[label]
    except KeyError:
        raise Damaged(
            f"{backup.name} has rows of {label}, which is no table of that time. Nothing was kept."
        ) from None
    return model


def _numbers_go_on(restored: list[type[models.Model]]) -> None:
    """The next row gets a key after the last: PostgreSQL must be told, SQLite sees it."""
    statements = connection.ops.sequence_reset_sql(no_style(), restored)
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)


def _hold_against_manifest(backup: Backup, apps: Apps, say: Say) -> None:
    by_label = {model._meta.label_lower: model for model in apps.get_models(include_auto_created=True)}
    for label, told in backup.summary["tables"].items():
        say(f"holding {label} against its digest")
        rows = Rows(by_label[label], "default")
        for _ in rows.lines():
            pass
        if rows.tally.as_json() != told:
            raise Damaged(
                f"{label} is not as it was: {rows.tally.rows} rows here, {told['rows']} in the backup, or another digest. "
                "Nothing of its rows was kept; tell the makers of this program."
            )
    connection.check_constraints()


def _hold_register(backup: Backup) -> None:
    told = backup.summary["register"]
    facts = providers.register_of("default")
    if told is None or facts is None or "unread" in told:
        return
    if facts.as_json() != told:
        raise Damaged(
            f"The register is not as it was: {facts.entries} entries, digest {facts.digest[:8]}, "
            f"{facts.trouble or 'whole'}; in the backup {told['entries']}, digest {told['digest'][:8]}, "
            f"{told['trouble'] or 'whole'}."
        )
