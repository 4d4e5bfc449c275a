"""Making a backup: originals on their way first, then one moment of the database as one file that is read back."""

import fcntl
import json
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import IO, Any

from django.apps.registry import Apps
from django.conf import settings
from django.db import DatabaseError, connections, transaction

from ledger.backup import container, originals, providers, tables
from ledger.backup.errors import BackupError, Damaged, Unusable
from ledger.backup.originals import AtPlace, Lacking, Original
from ledger.backup.places import Place
from ledger.backup.rows import Rows, packed
from ledger.backup.sealing import Key, Sealer, Unsealer
from ledger.backup.snapshot import snapshot
from ledger.club.queries import the_club

SEALED = ".sealed"
NAME = re.compile(r"bracket-ledger-(\d{8}T\d{6}Z)\.tar(\.sealed)?")
LIST_LINES = 1000
Say = Callable[[str], None]


@dataclass(slots=True)
class Made:
    """What a backup holds. `lacking`: a sentence for each original that could not be taken."""

    name: str
    place: str
    made_at: datetime
    sealed: bool
    seal: str = ""
    bytes: int = 0
    rows: int = 0
    tables: dict[str, Any] = field(default_factory=dict)
    originals: int = 0
    original_bytes: int = 0
    sent: int = 0
    sent_bytes: int = 0
    register: dict[str, Any] | None = None
    lacking: list[str] = field(default_factory=list)
    taken_back: int = 0


def name_at(moment: datetime, sealed: bool) -> str:
    return f"bracket-ledger-{moment.astimezone(UTC):%Y%m%dT%H%M%SZ}.tar{SEALED if sealed else ''}"


def moment_of(name: str) -> datetime | None:
    """When a backup was made, by its name; None for a file that is no backup."""
    found = NAME.fullmatch(name)
    return datetime.strptime(found[1], "%Y%m%dT%H%M%SZ").replace(tzinfo=UTC) if found else None


def backups_at(place: Place) -> list[tuple[datetime, str, int]]:
    """Moment, name and bytes of each, the newest first."""
    there = [(moment_of(name), name, size) for name, size in place.sizes("")]
    return sorted(((moment, name, size) for moment, name, size in there if moment), reverse=True)


@contextmanager
def alone() -> Iterator[None]:
    """One backup of a ledger at a time: the second would tidy away what the first is about to name."""
    path = Path(settings.VAR) / "backup.lock"
    with path.open("w") as file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            raise Unusable(
                "Another backup of this ledger is being made. Nothing was done; wait until it has ended."
            ) from None
        yield


def free_moment(place: Place, now: datetime) -> datetime:
    taken = {moment for moment, _, _ in backups_at(place)}
    moment = now.astimezone(UTC).replace(microsecond=0)
    while moment in taken:
        moment += timedelta(seconds=1)
    return moment


def make(place: Place, key: Key | None, salt: bytes, *, now: datetime, say: Say) -> Made:
    """A backup at a place: only originals that do not lie there yet are sent. BackupError: there is none, and why."""
    moment = free_moment(place, now)
    made = Made(name_at(moment, key is not None), place.words, moment, key is not None)
    with originals.closing_at(place, key, salt) as at_place:
        # Hours, the first time; done before the moment is held, which would keep the database from tidying itself.
        _send_ahead(at_place, say)
        with snapshot() as using:
            _write(place, key, salt, using, made, say, at_place)
        made.sent, made.sent_bytes = at_place.sent, at_place.sent_bytes
    return made


def make_whole(place: Place, name: str, key: Key | None, salt: bytes, *, now: datetime, say: Say) -> Made:
    """One file with the originals in it, under that name."""
    if name in {there for there, _ in place.sizes("")}:
        raise BackupError(f"{name} is there already and was left as it is. Name a file that is not.")
    made = Made(name, place.words, now.astimezone(UTC).replace(microsecond=0), key is not None)
    with snapshot() as using:
        _write(place, key, salt, using, made, say, None)
    return made


def _send_ahead(at_place: AtPlace, say: Say) -> None:
    apps = tables.models_at(tables.applied("default"), "default")
    for number, original in enumerate(originals.originals(apps, "default"), start=1):
        with suppress(Lacking):  # told when the file is made: until then it may be taken back
            at_place.send(original)
        if not number % LIST_LINES:
            say(f"{number} originals looked at, {at_place.sent} sent ({at_place.sent_bytes / 1e6:.0f} MB)")


def _write(
    place: Place, key: Key | None, salt: bytes, using: str, made: Made, say: Say, at_place: AtPlace | None
) -> None:
    def fill(file: IO[bytes]) -> None:
        sealer = Sealer(file, key, salt) if key else None
        made.seal = _fill(container.Writer(sealer or file, about), apps, using, made, say, at_place)
        if sealer:
            sealer.close()
        made.bytes = file.tell()

    def prove(file: IO[bytes]) -> None:
        say("reading it back")
        there = container.verify(Unsealer(file, key) if key else file, made.name)
        if there.seal != made.seal:
            raise Damaged(f"{made.name} is not what was written. It was taken away again; look at the disk.")

    migrations = tables.applied(using)
    apps = tables.models_at(migrations, using)
    tables.must_be_whole(apps)
    about = {
        "made_at": made.made_at.isoformat(),
        "club": the_club_s_name(),
        "database": connections[using].vendor,
        "originals": "beside" if at_place else "inside",
        "migrations": migrations,
        "left_out": sorted({*tables.LEFT_OUT, *providers.derived()}),
    }
    place.write(made.name, fill, prove)


def the_club_s_name() -> str:
    try:
        return the_club().name
    except DatabaseError:  # before a migration its table may have other columns
        return ""


def _fill(
    writer: container.Writer, apps: Apps, using: str, made: Made, say: Say, at_place: AtPlace | None
) -> str:
    _originals_into(writer, apps, using, made, say, at_place)
    for number, model in enumerate(tables.in_order(apps), start=1):
        rows, label = Rows(model, using), model._meta.label_lower
        for part, data in enumerate(rows.members(), start=1):
            writer.add(f"rows/{number:03d}-{label}/{part:06d}.jsonl.gz", data)
            say(f"{made.rows + rows.tally.rows} rows written, now {label}")
        made.tables[label] = rows.tally.as_json()
        made.rows += rows.tally.rows
    made.register = _register(using)
    if made.register is not None:
        writer.add("register.json", json.dumps(made.register, sort_keys=True).encode() + b"\n")
    return writer.close(
        {
            "tables": made.tables,
            "rows": made.rows,
            "originals": made.originals,
            "original_bytes": made.original_bytes,
            "lacking": made.lacking,
            "register": made.register,
        }
    )


def _originals_into(
    writer: container.Writer, apps: Apps, using: str, made: Made, say: Say, at_place: AtPlace | None
) -> None:
    lines: list[bytes] = []
    parts = 0

    def part() -> None:
        nonlocal lines, parts
        if lines:
            parts += 1
            writer.add(f"originals/{parts:06d}.jsonl.gz", packed(lines))
            say(f"{made.originals} originals")
        lines = []

    for original in originals.originals(apps, using):
        told: dict[str, Any] = {"file": original.file, "sha256": original.digest, "bytes": original.size}
        try:
            if at_place:
                told["stored"] = at_place.send(original)
                told["stored_bytes"] = at_place.size_of(original)
            else:
                writer.add(f"photos/{original.file}", originals.read(original))
            made.originals, made.original_bytes = made.originals + 1, made.original_bytes + original.size
        except Lacking as why:
            told["lacking"] = _lacking(apps, original, str(why), made)
        lines.append(json.dumps(told, sort_keys=True).encode())
        if len(lines) >= LIST_LINES:
            part()
    part()


def _lacking(apps: Apps, original: Original, why: str, made: Made) -> str:
    if not originals.still_on_record(apps, original):
        made.taken_back += 1
        return "was taken back while the backup was made"
    made.lacking.append(f"{original.file} {why}.")
    return why


def _register(using: str) -> dict[str, Any] | None:
    try:
        # A point to come back to: tables from before a migration may not be readable by this program.
        with transaction.atomic(using=using):
            facts = providers.register_of(using)
    except DatabaseError as problem:
        return {"unread": str(problem).splitlines()[0]}
    return facts.as_json() if facts else None
