"""How the backups stand, for the keeper's page."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from django.conf import settings

from ledger.backup.models import BackupRun
from ledger.moments import day_of
from ledger.starting import photo_store_from
from ledger.words import say

REHEARSED_WITHIN_DAYS = 90
BACKED_UP_WITHIN_DAYS = 7


@dataclass(frozen=True, slots=True)
class State:
    """The last good runs, the newest ones of all, and what the keeper is warned of, a sentence each."""

    backup: BackupRun | None
    rehearsal: BackupRun | None
    runs: list[BackupRun]
    warnings: list[str]


def state(now: datetime) -> State:
    backup, rehearsal = _last("backup"), _last("rehearsal")
    warnings = [
        sentence
        for sentence in (
            _of_backup(backup, now),
            _of_rehearsal(rehearsal, now),
            *_failed(backup, rehearsal),
            _same_disk(),
        )
        if sentence
    ]
    return State(backup, rehearsal, list(BackupRun.objects.all()[:30]), warnings)


def _last(kind: str) -> BackupRun | None:
    return BackupRun.objects.filter(kind=kind, good=True).first()


def _of_backup(run: BackupRun | None, now: datetime) -> str:
    if run is None:
        return say("No backup was ever made. One lost disk takes every find with it.")
    days = (now - run.ended_at).days
    if now - run.ended_at > timedelta(days=BACKED_UP_WITHIN_DAYS):
        return say(
            "The last backup is {days} days old. What was logged since lies in one place only.", days=days
        )
    return ""


def _of_rehearsal(run: BackupRun | None, now: datetime) -> str:
    if run is None:
        return say("No backup was ever rehearsed. Nobody knows yet whether one can be restored.")
    days = (now - run.ended_at).days
    if now - run.ended_at > timedelta(days=REHEARSED_WITHIN_DAYS):
        return say(
            "The last rehearsal is {days} days old, more than {most}. Rehearse the newest backup.",
            days=days,
            most=REHEARSED_WITHIN_DAYS,
        )
    return ""


def _failed(backup: BackupRun | None, rehearsal: BackupRun | None) -> list[str]:
    """Runs that failed since the last good one of their kind."""
    said: list[str] = []
    for kind, good in (("backup", backup), ("rehearsal", rehearsal)):
        bad = BackupRun.objects.filter(kind=kind, good=False).first()
        if bad and (good is None or bad.ended_at > good.ended_at):
            day = day_of(bad.ended_at)
            if kind == "backup":
                said.append(say("The last backup failed on {day}. {why}", day=day, why=bad.said))
            else:
                said.append(say("The last rehearsal failed on {day}. {why}", day=day, why=bad.said))
    return said


def _same_disk() -> str:
    """Backups on the disk of the ledger are lost with it."""
    place = settings.BACKUPS
    if photo_store_from(place, "LEDGER_BACKUPS"):
        return ""
    path = Path(place).expanduser()
    while not path.exists() and path != path.parent:
        path = path.parent
    try:
        same = path.stat().st_dev == Path(settings.VAR).stat().st_dev
    except OSError:
        return ""
    if not same:
        return ""
    return say(
        "The backups lie on the same disk as the ledger: one lost disk loses both. Name another place (LEDGER_BACKUPS)."
    )
