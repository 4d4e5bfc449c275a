"""The one writer of what is remembered of backups and rehearsals."""

from datetime import datetime
from typing import Any

from django.db import transaction

from ledger.backup.models import BackupRun


def note_run(kind: str, *, now: datetime, good: bool, said: str, place: str, **facts: Any) -> BackupRun:
    """Remember a run that ended. `facts` are columns of BackupRun."""
    with transaction.atomic():
        return BackupRun.objects.create(
            kind=kind, ended_at=now, good=good, said=said, place=place[:500], **facts
        )
