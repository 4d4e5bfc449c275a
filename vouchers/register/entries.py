"""The one writer of the register's entries."""

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from django.db import connection

from ledger.people.models import Member
from vouchers.register.chain import next_row
from vouchers.register.models import RegisterEntry, RegisterHead

ACCESSION = "accession"
PART_MADE = "part made"
PART_ENDED = "part ended"
SPLIT = "split"
DEACCESSION = "deaccession"
TAKEN_BACK = "taken back"


def append(
    kind: str, accession_number: str, facts: Mapping[str, Any], *, by: Member, now: datetime
) -> RegisterEntry:
    """Append an entry in the caller's transaction, and hold the head until that ends.

    What the entry is about must have been written and locked before: the head is the last lock of every action
    (RegisterYear, finds, vouchers, parts, then the head), or two actions would wait for each other.
    """
    if not connection.in_atomic_block:
        raise RuntimeError("An entry is appended in the transaction of the action that it is about.")
    RegisterHead.objects.get_or_create(pk=1)
    head = RegisterHead.objects.select_for_update().get(pk=1)
    row = next_row(
        head.head,
        kind=kind,
        accession_number=accession_number,
        facts={
            **facts,
            "at": now.astimezone(UTC).isoformat(timespec="microseconds"),
            "by": by.full_name,
            "by member": by.pk,
        },
    )
    entry = RegisterEntry(
        number=row.number,
        kind=row.kind,
        accession_number=row.accession_number,
        body=row.body,
        before=row.before,
        digest=row.digest,
    )
    entry.save()
    head.count, head.digest = row.number, row.digest
    head.save(update_fields=["count", "digest"])
    return entry
