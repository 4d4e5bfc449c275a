"""What the curator does with a find: settle it, send it back with a question, redetermine it. One transaction each."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.db import transaction

from ledger.bench.grounds import day_refused, grounds_refused, reason_refused
from ledger.bench.models import Determination, Question
from ledger.bench.queries import short_name, worst_first
from ledger.days import day_text
from ledger.finds import sensitive
from ledger.finds.actions import recheck
from ledger.finds.history import record_change
from ledger.finds.models import Find, Status
from ledger.people.models import Member
from ledger.search import keeping
from ledger.taxa.models import Taxon
from ledger.words import later, say, together

NO_QUESTION = later("No question was typed. Nothing was sent; write what the finder should look at.")


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
    # The English name that was typed in its place, if one was.
    vernacular_typed: str = ""
    # The determiner holds the find's own date for wrong: the name may then be older than it.
    find_date_wrong: bool = False


@transaction.atomic
def settle(
    find_id: UUID,
    *,
    version: int,
    reason: str,
    by: Member,
    now: datetime,
    flag_ids: Collection[int] | None = None,
    seen_at: datetime | None = None,
) -> Find:
    """Decide on the open flags named, or on all. With none left open the find is settled.

    Each flag stays on record with who, when and why, and comes back only if the numbers under it change; the
    history gets one line for the decision. `seen_at` is the find's changed_at as the curator saw it.
    """
    if refusal := reason_refused(reason):
        raise BenchRefused(refusal)
    find = _opened(find_id, version, by, seen_at)
    open_flags = list(find.flags.filter(settled_at__isnull=True, withdrawn_at__isnull=True))
    settled = [flag for flag in open_flags if flag_ids is None or flag.pk in flag_ids]
    if open_flags and not settled:
        raise BenchRefused(
            say("No flag was chosen. Nothing was settled; tick the flags you have decided on.")
        )
    find.flags.filter(pk__in=[flag.pk for flag in settled]).update(
        settled_at=now, settled_by=by, settle_reason=reason.strip()
    )
    left = [flag for flag in open_flags if flag not in settled]
    if not left:
        find.status = Status.SETTLED
    what = {0: "settled", 1: "flag settled"}.get(len(settled), "flags settled")
    names = together([short_name(flag) for flag in worst_first(settled)], "; ")
    told = together([str(len(settled)), names], ": ") if len(settled) > 1 else names
    record_change(find, field=what, old=told, new=reason.strip(), by=by, now=now)
    _close(find, now)
    recheck(find, now=now)
    return find


@transaction.atomic
def send_back(
    find_id: UUID,
    *,
    version: int,
    question: str,
    by: Member,
    now: datetime,
    seen_at: datetime | None = None,
) -> Question:
    """Ask the finder. The find waits for the answer, whatever its flags are."""
    if not question.strip():
        raise BenchRefused(NO_QUESTION)
    find = _opened(find_id, version, by, seen_at)
    asked = Question.objects.create(find=find, asked_by=by, asked_at=now, text=question.strip())
    find.status = Status.SENT_BACK
    record_change(find, field="question", old="", new=asked.text, by=by, now=now)
    _close(find, now)
    keeping.keep(find)
    return asked


@transaction.atomic
def redetermine(
    find_id: UUID,
    *,
    version: int,
    name: NewName,
    by: Member,
    now: datetime,
    seen_at: datetime | None = None,
) -> Determination:
    """Add an opinion and make it the current name; those before stay as they were given. The check runs anew."""
    find = _opened(find_id, version, by, seen_at)
    refusal = day_refused(find, name.determined_on, find_date_wrong=name.find_date_wrong) or grounds_refused(
        find, name_typed=name.name_typed, taxon=name.taxon, grounds=name.basis + name.note
    )
    if refusal:
        raise BenchRefused(refusal)
    before = find.current_determination
    made = Determination.objects.create(
        find=find,
        name_typed=name.name_typed,
        vernacular_typed=name.vernacular_typed,
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
    sensitive.note_name(find, name.name_typed, name.taxon)
    if find.status == Status.SETTLED:
        find.status = (
            Status.LOGGED
        )  # the new name has not been decided on; recheck() holds it where flags ask
    record_change(
        find, field="name", old=before.name_typed if before else "", new=made.name_typed, by=by, now=now
    )
    if find.found_on and made.determined_on < find.found_on:
        said = say("held to be wrong; the name is of {day}", day=day_text(made.determined_on))
        record_change(find, field="date of the find", old=find.found_on, new=said, by=by, now=now)
    _close(find, now)
    recheck(find, now=now)
    return made


def _opened(find_id: UUID, version: int, by: Member, seen_at: datetime | None) -> Find:
    find = Find.objects.select_for_update().get(pk=find_id)
    if find.version != version:
        raise FindMovedOn(
            say(
                "{number} was changed {by_whom} after this page was opened. Nothing was written now; "
                "look at it as it is now and decide again. What you typed is kept below.",
                number=find.collecting_number,
                by_whom=_by_whom(find, by, seen_at),
            )
        )
    return find


def _by_whom(find: Find, by: Member, seen_at: datetime | None) -> str:
    """Whether the changes since then, or the last one where it is not known since when, are all by the same member."""
    changes = find.changes.order_by("-changed_at", "-id").values_list("by_id", flat=True)
    since = set(changes.filter(changed_at__gt=seen_at) if seen_at else changes[:1])
    return say("by yourself in another window") if since == {by.pk} else say("by somebody else")


def _close(find: Find, now: datetime) -> None:
    find.version += 1
    find.changed_at = now
    find.save(
        update_fields=[
            *("status", "version", "changed_at", "current_determination"),
            *("named_blur_step_deg", "place_opened"),
        ]
    )
