"""The only writers of finds: log, amend, answer a question, check again. One transaction each.

`recheck` lives in `flagging`; it is named here, where other rooms look for actions.
"""

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime
from typing import Any

from django.db import IntegrityError, transaction
from django.utils import timezone

from ledger.bench.models import Determination, Flag, Question
from ledger.club.queries import the_club
from ledger.days import time_text
from ledger.finds import assess, awaited, photo_actions, sensitive
from ledger.finds.boxed_place import place_left_alone
from ledger.finds.entries import RECORD_FIELDS, FindEntry, FromPhone, NameGiven, NumberOnPacket
from ledger.finds.flagging import flag_row, recheck, stand
from ledger.finds.history import record_change, record_changes
from ledger.finds.models import Change, Find, Photo, Reading, Status
from ledger.finds.reading_rows import reading_row, replace_readings
from ledger.people.models import Member
from ledger.phone import numbers
from ledger.phone.models import AnnouncedPhoto
from ledger.search import keeping
from ledger.words import say, together

__all__ = [
    "FindChanged",
    "FindRefused",
    "amend_find",
    "answer_question",
    "log_find",
    "recheck",
    "waiting_photos",
]


class FindRefused(ValueError):
    """What was asked cannot be done to this find; the text says what was kept and what to do."""


class FindChanged(Exception):
    """The find was changed after the form was opened. Nothing was written; `changes` are what was changed."""

    def __init__(self, find: Find, changes: Sequence[Change]) -> None:
        super().__init__(say("{find} was changed after this form was opened.", find=find))
        self.find = find
        self.changes = changes

    def is_by(self, member: Member) -> bool:
        """Whether all of it is *member*'s own doing, on another phone or page."""
        return bool(self.changes) and {change.by_id for change in self.changes} == {member.pk}


def log_find(
    entry: FindEntry,
    *,
    by: Member,
    find_id: uuid.UUID | None = None,
    finder: Member | None = None,
    sent: FromPhone | None = None,
    now: datetime | None = None,
) -> Find:
    """Write a new find with its readings, name, photos, check and flags.

    `find_id` is the UUID the form or phone carried: sent twice (a double tap, a lost answer), the find is written
    once and the stored one comes back. Photos that wait under that UUID become the find's. `sent`: how it
    came from a phone's outbox; None: by a browser's form.

    FindRefused: the identity is of somebody else's find, or the number typed cannot be another finder's.
    """
    find_id = find_id or uuid.uuid4()
    try:
        return _write(entry, find_id, by, finder or by, sent or FromPhone(), now or timezone.now())
    except IntegrityError:
        # Asked for only now: the common case pays no query for the rare one.
        stored = Find.objects.filter(pk=find_id).first()
        if stored is None:
            raise
    if by.pk not in (stored.logged_by_id, stored.finder_id):
        raise FindRefused(
            say(
                "A find with this identity is in the ledger already, logged by somebody else. Nothing was "
                "stored. Open a new form and type it again."
            )
        )
    return stored


@transaction.atomic
def _write(
    entry: FindEntry,
    find_id: uuid.UUID,
    by: Member,
    finder: Member,
    sent: FromPhone,
    now: datetime,
) -> Find:
    club = the_club()
    number = _number_for(finder, entry, by, sent.phone)
    find = Find(
        id=find_id,
        finder=finder,
        logged_by=by,
        collecting_code=number.code,
        collecting_serial=number.serial,
        collecting_suffix=number.suffix,
        split_from_id=entry.split_from,
        logged_at=now,
        changed_at=now,
        clock_off_s=sent.clock_off_s,
        begun_at=sent.begun_at,
        kept_at=sent.kept_at,
        **{"country": club.country, "region": club.region, **entry.record},
    )
    photos = photo_actions.claimed(find, by, entry.photo_views)
    here = {photo.sha256 for photo in photos}
    to_come = {sha256: view for sha256, view in sent.photos.items() if sha256 not in here}
    on_the_way = awaited.announced(find, to_come, by=by, phone=sent.phone, now=now)
    readings = [reading_row(find, made, by, now) for made in entry.readings]
    raised = assess.flags_of(
        find,
        readings,
        photos,
        entry.name.taxon,
        club=club,
        now=now,
        number_is_new=entry.serial is None and entry.number is None,
        on_the_way=on_the_way,
        named_on=entry.name.determined_on if entry.name.typed else None,
    )
    stand(find, raised, raised=True)

    # Find and name point at each other. The name goes first: its key to the find is asked for at the end only.
    determination = _determination(find, entry.name, by, now)
    if determination:
        determination.save(force_insert=True)
        find.current_determination = determination
    sensitive.note_name(find, entry.name.typed, entry.name.taxon)
    find.save(force_insert=True)
    photo_actions.attach(find, photos)
    Reading.objects.bulk_create(readings)
    if on_the_way:
        AnnouncedPhoto.objects.bulk_create(on_the_way)
    Flag.objects.bulk_create([flag_row(find, flag, now) for flag in raised])
    keeping.keep_new(find, [flag.code for flag in raised])
    record_change(
        find,
        field="logged",
        old=None,
        new=_logged_as(find, sent, number_typed=entry.serial, came_by=entry.came_by),
        by=by,
        now=now,
    )
    return find


@transaction.atomic
def amend_find(
    find_id: uuid.UUID,
    entry: FindEntry,
    *,
    by: Member,
    version: int,
    finder: Member | None = None,
    opened_at: datetime | None = None,
    phone: uuid.UUID | None = None,
    now: datetime | None = None,
) -> Find:
    """Write what differs from the stored find into it, each difference into the history, and check again.

    Another `finder` brings a number of their own: the one typed, else their next.

    Raises FindChanged where the find is no longer at `version`; `opened_at` is its changed_at as the form saw it.
    Raises FindRefused for a number that cannot be another finder's.
    """
    now = now or timezone.now()
    find = Find.objects.select_for_update().get(pk=find_id)
    if find.version != version:
        # Compared here: a day in the year 9999 is none that a database could be asked about.
        since = [
            row for row in find.changes.select_related("by") if not opened_at or row.changed_at > opened_at
        ]
        raise FindChanged(find, since)
    found_before = find.found_on
    changes = _amended_record(find, entry.record)
    changes |= _day_of_first_name(find, found_before)
    changes |= _amended_number(find, finder, entry.serial, by, phone)
    changes |= replace_readings(find, entry.readings, by, now)
    changes |= _amended_name(find, entry.name, by, now)
    changes |= photo_actions.amended_views(find, entry.photo_views)
    claimed = photo_actions.claimed(find, by, entry.photo_views)
    added = photo_actions.attach(find, claimed)
    if added:
        awaited.have_come(find, claimed, now)
        changes["photos"] = ("", say("{n} added", n=added))
    if changes:
        record_changes(find, changes, by=by, now=now)
        find.version += 1
        find.changed_at = now
        find.save()
        if "own_blur_step_deg" in changes:
            sensitive.note_own_step(find)
        recheck(find, now=now)
    return find


@transaction.atomic
def answer_question(question: Question, text: str, *, by: Member, now: datetime | None = None) -> Find:
    """Store the finder's answer; the find goes back to the bench."""
    now = now or timezone.now()
    question = Question.objects.select_for_update().get(pk=question.pk)
    if question.answered_at:
        raise FindRefused(
            say(
                "This question has been answered already. The answer on record was kept; add yours to the "
                "note."
            )
        )
    if not text.strip():
        raise FindRefused(
            say("The answer is empty. The question stays open; type what you saw, or that you did not look.")
        )
    question.answer, question.answered_by, question.answered_at = text.strip(), by, now
    question.save(update_fields=["answer", "answered_by", "answered_at"])
    find = Find.objects.select_for_update().get(pk=question.find_id)
    if not find.questions.filter(answered_at__isnull=True).exists():
        find.status = Status.HELD
    find.version, find.changed_at = find.version + 1, now
    find.save(update_fields=["status", "version", "changed_at"])
    record_change(find, field="answer", old=question.text, new=question.answer, by=by, now=now)
    keeping.keep(find)
    return find


def _logged_as(find: Find, sent: FromPhone, *, number_typed: int | None, came_by: str) -> str:
    """The number, and how the find came: `AT 7, by phone, kept 3 October 2026, 14:12, sent 17:40`."""
    parts = [find.collecting_number, came_by]
    if number_typed is not None and numbers.is_on_paper(find.collecting_code, find.collecting_serial):
        parts.append(say("from its paper slip"))
    if sent.kept_at is not None:
        kept, came = timezone.localtime(sent.kept_at), timezone.localtime(find.logged_at)
        same_day = kept.date() == came.date()
        parts += [say("by phone"), say("kept {time}", time=time_text(kept))]
        parts.append(say("sent {time}", time=f"{came:%H:%M}") if same_day else "")
    return together([part for part in parts if part], ", ")


def _number_for(finder: Member, entry: FindEntry, by: Member, phone: uuid.UUID | None) -> NumberOnPacket:
    """The number of a new find: the finder's, or the one it came with, whose owner's row then goes on behind it."""
    if entry.number is None:
        return NumberOnPacket(finder.collector_code, _serial_for(finder, entry.serial, by, phone))
    owner = Member.objects.filter(collector_code=entry.number.code).first()
    if owner is not None:
        _serial_for(owner, entry.number.serial, by, phone)
    return entry.number


def _serial_for(finder: Member, typed: int | None, by: Member, phone: uuid.UUID | None) -> int:
    try:
        return numbers.take_serial(finder, typed, by=by, phone=phone)
    except numbers.NumbersRefused as refusal:
        raise FindRefused(str(refusal)) from refusal


def _determination(find: Find, name: NameGiven, by: Member, now: datetime) -> Determination | None:
    if not name.typed:
        return None
    return Determination(
        find=find,
        name_typed=name.typed,
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


def _amended_record(find: Find, record: Mapping[str, Any]) -> dict[str, tuple[Any, Any]]:
    changes = {}
    untouched = place_left_alone(find, record)
    for name in RECORD_FIELDS:
        if name not in record or name in untouched:
            continue
        old, new = getattr(find, name), record[name]
        if old != new:
            changes[name] = (old, new)
            setattr(find, name, new)
    return changes


def _day_of_first_name(find: Find, found_before: date | None) -> dict[str, tuple[Any, Any]]:
    """The name that came with the find is of the day of the find: nobody typed its day, so it follows that one.

    Without a day of the find it has none: a slip typed up weeks later says nothing of when its name was given, and the day
    of the typing would be a day on which nobody looked at the specimen. When it was entered stands in `made_at`.
    """
    if find.found_on == found_before:
        return {}
    first = find.determinations.filter(made_at=find.logged_at, determined_on=found_before)
    if not first.update(determined_on=find.found_on):
        return {}
    if find.current_determination is not None:
        find.current_determination.refresh_from_db(fields=["determined_on"])
    return {"day of the first name": (found_before, find.found_on)}


def _amended_number(
    find: Find, finder: Member | None, typed: int | None, by: Member, phone: uuid.UUID | None
) -> dict[str, tuple[str, str]]:
    before, changes = find.collecting_number, {}
    if finder is not None and finder.pk != find.finder_id:
        changes["finder"] = (find.finder.full_name, finder.full_name)
        find.finder, find.collecting_code = finder, finder.collector_code
        find.collecting_serial = _serial_for(finder, typed, by, phone)
    elif typed and typed != find.collecting_serial:
        # The row of the code on the packet, whoever is its finder by now.
        owner = Member.objects.filter(collector_code=find.collecting_code).first() or find.finder
        find.collecting_serial = _serial_for(owner, typed, by, phone)
    if find.collecting_number != before:
        changes["collecting number"] = (before, find.collecting_number)
    return changes


def _amended_name(find: Find, name: NameGiven, by: Member, now: datetime) -> dict[str, tuple[str, str]]:
    """A changed name, or other grounds for the same, is another determination of today; the earlier one stays."""
    before = find.current_determination
    if before is None and not name.typed:
        return {}
    if before is not None and _opinion(before) == (
        *(name.typed, name.taxon.pk if name.taxon else None),
        *(name.determiner_name, name.basis),
    ):
        return {}
    name = replace(name, determined_on=timezone.localdate(now))
    made = _determination(find, name, by, now) or Determination(
        find=find, determiner=by, determined_on=timezone.localdate(now), made_at=now
    )
    made.save(force_insert=True)
    find.current_determination = made
    sensitive.note_name(find, name.typed, name.taxon)
    return {"name": (_opinion_text(before), _opinion_text(made))}


def _opinion(row: Determination) -> tuple[str, int | None, str, str]:
    """What makes one opinion another. The qualifier is part of the typed name."""
    return row.name_typed, row.taxon_id, row.determiner_name, row.basis


def _opinion_text(row: Determination | None) -> str:
    """A name with its grounds, as the history shows it."""
    if row is None:
        return ""
    by = f"det. {row.determiner_name}" if row.determiner_name else ""
    return together([part for part in (row.name_typed or say("not named"), by, row.basis) if part], ", ")


def waiting_photos(draft_id: uuid.UUID, by: Member) -> list[Photo]:
    """Photos sent ahead for a find that is still being typed, by that member."""
    return list(Photo.objects.filter(draft_id=draft_id, find__isnull=True, uploaded_by=by))
