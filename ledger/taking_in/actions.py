"""The only writers of this room: keep a file that was given, look at it, take it in, undo it. One transaction each."""

import hashlib
import uuid
from collections.abc import Sequence
from datetime import datetime, timedelta

from django.db import IntegrityError, transaction
from django.db.models import ProtectedError

from ledger.finds.models import Find, Photo
from ledger.forays.models import Foray
from ledger.handing_on.models import AgreedName
from ledger.people.models import Member
from ledger.search import keeping
from ledger.taking_in import files
from ledger.taking_in.columns import Mapped, header_digest
from ledger.taking_in.grid import MOST_ROWS
from ledger.taking_in.models import RememberedColumns, State, TakingIn
from ledger.taking_in.photographs import Originals, originals_as_rows
from ledger.taking_in.refused import FileRefused
from ledger.taking_in.report import WRONG, Report
from ledger.taking_in.standing import standing_of
from ledger.taking_in.writing import written
from ledger.words import later, say, say_n, together

_AT_ONCE = 500
_NAMED = 5
_MICROSECOND = timedelta(microseconds=1)
_STATES = {
    State.LOOKED_AT: later("looked at"),
    State.TAKEN_IN: later("taken in"),
    State.UNDONE: later("undone"),
}


class TakingInRefused(ValueError):
    """What was asked cannot be done with this file; the text says what was kept and what to do."""


class _RolledBack(Exception):
    """Carries the report out of a dry run, whose rows go with the transaction."""


def give(
    data: bytes,
    name: str,
    *,
    by: Member,
    now: datetime,
    encoding: str = "",
    sheet: str = "",
    most: int = MOST_ROWS,
) -> TakingIn:
    """Keep a file that was given, to be looked at. Its columns are understood as those of the same header were the last
    time. `most`: as many finds at most. Raises FileRefused: nothing is kept."""
    if len(data) > files.MOST_BYTES:
        raise FileRefused(
            say(
                "The file has {n} MB; {most} MB are the most. Nothing was written. Part it into several files.",
                n=f"{len(data) // 1_000_000:,}",
                most=f"{files.MOST_BYTES // 1_000_000:,}",
            )
        )
    taking = TakingIn(
        name=(" ".join(name.split()) or "file without a name")[:200],
        kind=files.kind_of(data),
        sha256=hashlib.sha256(data).hexdigest(),
        byte_size=len(data),
        encoding=encoding,
        sheet=sheet,
        given_by=by,
        given_at=now,
    )
    if taking.kind == files.ARCHIVE:
        # Read to its end, so that what is broken is said before anything is kept.
        many = sum(1 for _ in files.drafts(taking, data, []))
    else:
        grid = files.read_grid(taking, data)
        many = len(grid.rows)
        known = RememberedColumns.objects.filter(header=header_digest(grid.header)).first()
        if known is not None:
            taking.mapped = known.mapped
    if many > most:
        raise FileRefused(
            say(
                "The file has {n} finds; {most} are the most on this page, where you wait for them. Nothing was written. "
                "Part it, or have the keeper take it in on the ledger’s own machine: manage.py take_in FILE",
                n=f"{many:,}",
                most=f"{most:,}",
            )
        )
    files.keep(files.path_of(taking.pk), data)
    taking.save(force_insert=True)
    return taking


@transaction.atomic
def map_columns(
    taking: TakingIn, mapped: Mapped, header: Sequence[str], *, by: Member, now: datetime
) -> None:
    """Keep what the columns are, for this file and for the next with the same header."""
    taking.mapped = mapped.as_json()
    taking.report = {}
    taking.save(update_fields=["mapped", "report"])
    RememberedColumns.objects.update_or_create(
        header=header_digest(header), defaults={"mapped": taking.mapped, "kept_by": by, "kept_at": now}
    )


def choose_sheet(taking: TakingIn, sheet: str) -> None:
    """Read another sheet of a workbook that was only looked at. Raises FileRefused: the one before stays."""
    data = stored(taking)
    if taking.kind != files.WORKBOOK or taking.state != State.LOOKED_AT:
        raise TakingInRefused(say("This file has no sheets to choose from. Nothing was changed."))
    taking.sheet = sheet[:100]
    known = RememberedColumns.objects.filter(
        header=header_digest(files.read_grid(taking, data).header)
    ).first()
    taking.mapped, taking.report = known.mapped if known is not None else {}, {}
    taking.save(update_fields=["sheet", "mapped", "report"])


def add_waypoints(taking: TakingIn, data: bytes, name: str) -> int:
    """Keep a GPX file beside the table; returns how many waypoints it has. Raises FileRefused."""
    points = files.read_waypoints(data)
    files.keep(files.waypoints_path_of(taking.pk), data)
    taking.waypoints, taking.report = (name or "waypoints")[:200], {}
    taking.save(update_fields=["waypoints", "report"])
    return len(points)


def look_at(taking: TakingIn, *, by: Member, now: datetime) -> Report:
    """A dry run: everything is done as when it is taken in, and rolled back. Only the report is kept.

    Raises FileRefused."""
    data = stored(taking)
    try:
        with originals_as_rows() as originals, transaction.atomic():
            raise _RolledBack(written(taking, data, originals, by=by, now=now))
    except _RolledBack as done:
        report: Report = done.args[0]
    taking.report = report.as_stored()
    taking.save(update_fields=["report"])
    return report


def take_in(taking: TakingIn, *, by: Member, now: datetime) -> Report:
    """Take the whole file in, or nothing of it. Raises TakingInRefused, FileRefused."""
    try:
        with originals_as_rows() as originals:
            return _taken_in(taking, originals, by=by, now=now)
    except IntegrityError:
        raise TakingInRefused(
            say(
                "{name} was not taken in: somebody took the same finds in at the same moment. Nothing was written. Look at "
                "it anew.",
                name=taking.name,
            )
        ) from None


@transaction.atomic
def _taken_in(taking: TakingIn, originals: Originals, *, by: Member, now: datetime) -> Report:
    row = TakingIn.objects.select_for_update().get(pk=taking.pk)
    if row.state != State.LOOKED_AT:
        raise TakingInRefused(
            say("{name} was {state} already. Nothing was changed.", name=row.name, state=_state(row))
        )
    report = written(row, stored(row), originals, by=by, now=now)
    wrong = [line for line in report.lines if line.state == WRONG]
    if wrong:
        raise TakingInRefused(
            say_n(
                "{name} was not taken in: a line of it is wrong, line {line}: {why} A file is taken in whole or not at all. "
                "Nothing was written. Mend the file, and give it again.",
                "{name} was not taken in: {n} lines of it are wrong, the first of them, line {line}: {why} A file is taken "
                "in whole or not at all. Nothing was written. Mend the file, and give it again.",
                len(wrong),
                name=row.name,
                line=wrong[0].line,
                why=together(wrong[0].says),
            )
        )
    row.state, row.accepted_by, row.accepted_at, row.report = State.TAKEN_IN, by, now, report.as_stored()
    row.save(update_fields=["state", "accepted_by", "accepted_at", "report", "made"])
    transaction.on_commit(lambda: files.drop(row.pk))
    return report


def stored(taking: TakingIn) -> bytes:
    """The file as it was given. Raises TakingInRefused where it is gone."""
    try:
        data = files.path_of(taking.pk).read_bytes()
    except FileNotFoundError:
        data = b""
    if hashlib.sha256(data).hexdigest() != taking.sha256:
        raise TakingInRefused(
            say(
                "{name} is no longer kept here: a file waits {days} days to be taken in. Nothing was written. Give it "
                "again.",
                name=taking.name,
                days=files.KEPT_DAYS,
            )
        )
    return data


@transaction.atomic
def undo(taking: TakingIn, *, by: Member, now: datetime) -> int:
    """Take back all that came by a file, as one act. Returns how many finds went. Raises TakingInRefused where somebody
    has done something to one of them since."""
    row = TakingIn.objects.select_for_update().get(pk=taking.pk)
    if row.state != State.TAKEN_IN:
        raise TakingInRefused(
            say(
                "{name} is {state}, so there is nothing to undo. Nothing was changed.",
                name=row.name,
                state=_state(row),
            )
        )
    taken = list(row.finds.order_by("line"))
    keys = [one.find_id for one in taken]
    finds = {}
    for start in range(0, len(keys), _AT_ONCE):
        some = Find.objects.select_for_update().filter(pk__in=keys[start : start + _AT_ONCE]).order_by("pk")
        finds.update({find.pk: find for find in some})
    stands = standing_of(keys)
    changed = [str(finds[one.find_id]) for one in taken if stands[one.find_id] != one.stood]
    if changed:
        raise TakingInRefused(_changed_since(row, changed))
    photos = list(Photo.objects.filter(find__in=keys)) if keys else []
    row.finds.all().delete()
    try:
        with transaction.atomic():
            keeping.forget(list(finds.values()))
            _deleted(keys, photos)
    except ProtectedError:
        raise TakingInRefused(
            say(
                "{name} was not undone: something else in the ledger rests on one of its finds, such as a permit or a step "
                "of drying. Nothing was changed. Take that back first.",
                name=row.name,
            )
        ) from None
    _undo_beside(row)
    row.state, row.undone_by, row.undone_at = State.UNDONE, by, now
    row.save(update_fields=["state", "undone_by", "undone_at"])
    sums = {photo.sha256 for photo in photos}
    still = set(Photo.objects.filter(sha256__in=sums).values_list("sha256", flat=True))
    gone = [photo for photo in photos if photo.sha256 not in still]
    transaction.on_commit(lambda: [photo.original.storage.delete(photo.original.name) for photo in gone])
    return len(keys)


def _changed_since(row: TakingIn, changed: Sequence[str]) -> str:
    told, more = ", ".join(changed[:_NAMED]), len(changed) - _NAMED
    return say_n(
        "{name} was not undone: {finds} was changed, accessioned, measured or settled since, or another version of it "
        "waits on a phone, and that would be lost. Nothing was changed. Put right by hand what is wrong with its finds.",
        "{name} was not undone: {finds} were changed, accessioned, measured or settled since, or another version of it "
        "waits on a phone, and that would be lost. Nothing was changed. Put right by hand what is wrong with its finds.",
        len(changed),
        name=row.name,
        finds=say("{names} and {n} more", names=told, n=more) if more > 0 else told,
    )


def _state(row: TakingIn) -> str:
    return say(_STATES[State(row.state)])


def _deleted(keys: Sequence[uuid.UUID], photos: Sequence[Photo]) -> None:
    for start in range(0, len(keys), _AT_ONCE):
        some = keys[start : start + _AT_ONCE]
        Photo.objects.filter(find__in=some).delete()
        # Find and name point at each other, and shares at their gathering.
        Find.objects.filter(pk__in=some).update(current_determination=None, split_from=None)
    for start in range(0, len(keys), _AT_ONCE):
        Find.objects.filter(pk__in=keys[start : start + _AT_ONCE]).delete()


def _undo_beside(row: TakingIn) -> None:
    # As if it had not been taken in; whoever took their word back meanwhile stays on record with it.
    AgreedName.objects.filter(pk__in=row.made.get("agreed", []), ended_at__isnull=True).delete()
    for key in row.made.get("forays", []):
        if not Find.objects.filter(foray=key).exists():
            try:
                with transaction.atomic():
                    Foray.objects.filter(pk=key).delete()
            except ProtectedError:
                continue  # a permit names it by now: it stays


def forget_file(taking: TakingIn) -> None:
    """Let go of a file that was looked at and is not wanted."""
    with transaction.atomic():
        row = TakingIn.objects.select_for_update().get(pk=taking.pk)
        if row.state != State.LOOKED_AT:
            raise TakingInRefused(
                say(
                    "{name} was {state}; that stays on record. Nothing was changed.",
                    name=row.name,
                    state=_state(row),
                )
            )
        row.delete()
    files.drop(taking.pk)
