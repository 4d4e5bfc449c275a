"""What the curator does with a find: settle it, send it back with a question, redetermine it. One transaction each."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.db import transaction

from ledger.bench.models import Determination, Question
from ledger.finds.actions import recheck
from ledger.finds.history import record_change
from ledger.finds.models import Find, Status
from ledger.people.models import Member
from ledger.taxa.models import Taxon


class BenchRefused(ValueError):
    """What was asked cannot be done to this find; the text says what was kept and what to do."""


class FindMovedOn(BenchRefused):
    """Somebody changed the find after the curator's page was opened. Nothing was written."""


@dataclass(frozen=True, slots=True)
class NewName:
    """A redetermination as it was typed and understood."""

    name_typed: str
    taxon: Taxon | None
    qualifier: str
    basis: str
    note: str
    determiner_name: str
    determined_on: date


@transaction.atomic
def settle(
    find_id: UUID,
    *,
    version: int,
    reason: str,
    by: Member,
    now: datetime,
    flag_ids: Collection[int] | None = None,
) -> Find:
    """Decide on the open flags named, or on all. With none left open the find is settled.

    Each flag stays on record with who, when and why, and comes back only if the numbers under it change.
    """
    if not reason.strip():
        raise BenchRefused(
            "No reason was given. Nothing was settled; say in a few words why, so that it holds up in ten years."
        )
    find = _opened(find_id, version)
    open_flags = list(find.flags.filter(settled_at__isnull=True, withdrawn_at__isnull=True))
    settled = [flag for flag in open_flags if flag_ids is None or flag.pk in flag_ids]
    if open_flags and not settled:
        raise BenchRefused("No flag was chosen. Nothing was settled; tick the flags you have decided on.")
    find.flags.filter(pk__in=[flag.pk for flag in settled]).update(
        settled_at=now, settled_by=by, settle_reason=reason.strip()
    )
    left = [flag for flag in open_flags if flag not in settled]
    if not left:
        find.status = Status.SETTLED
    for flag in settled:
        record_change(find, field="flag settled", old=flag.sentence, new=reason.strip(), by=by, now=now)
    if not open_flags:
        record_change(find, field="settled", old="", new=reason.strip(), by=by, now=now)
    _close(find, now)
    recheck(find, now=now)
    return find


@transaction.atomic
def send_back(find_id: UUID, *, version: int, question: str, by: Member, now: datetime) -> Question:
    """Ask the finder. The find waits for the answer, whatever its flags are."""
    if not question.strip():
        raise BenchRefused("No question was typed. Nothing was sent; write what the finder should look at.")
    find = _opened(find_id, version)
    asked = Question.objects.create(find=find, asked_by=by, asked_at=now, text=question.strip())
    find.status = Status.SENT_BACK
    record_change(find, field="question", old="", new=asked.text, by=by, now=now)
    _close(find, now)
    return asked


@transaction.atomic
def redetermine(find_id: UUID, *, version: int, name: NewName, by: Member, now: datetime) -> Determination:
    """Add an opinion and make it the current name; those before stay as they were given. The check runs anew."""
    find = _opened(find_id, version)
    before = find.current_determination
    made = Determination.objects.create(
        find=find,
        name_typed=name.name_typed,
        taxon=name.taxon,
        qualifier=name.qualifier,
        determiner=by,
        determiner_name=name.determiner_name,
        determined_on=name.determined_on,
        basis=name.basis,
        note=name.note,
        made_at=now,
    )
    find.current_determination = made
    if find.status == Status.SETTLED:
        find.status = (
            Status.LOGGED
        )  # the new name has not been decided on; recheck() holds it where flags ask
    record_change(
        find, field="name", old=before.name_typed if before else "", new=made.name_typed, by=by, now=now
    )
    _close(find, now)
    recheck(find, now=now)
    return made


def _opened(find_id: UUID, version: int) -> Find:
    find = Find.objects.select_for_update().get(pk=find_id)
    if find.version != version:
        raise FindMovedOn(
            f"{find.collecting_number} was changed by somebody else after this page was opened. "
            "Nothing of yours was written; look at it as it is now and decide again. What you typed is kept below."
        )
    return find


def _close(find: Find, now: datetime) -> None:
    find.version += 1
    find.changed_at = now
    find.save(update_fields=["status", "version", "changed_at", "current_determination"])
