"""A find from a phone's outbox, written into the ledger once, whatever order and however often it comes.

The same message again changes nothing. An older one never undoes a newer one: they are told apart by the time of
their last key, by the phone's own clock. What somebody else changed meanwhile is never overwritten.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

from django.db import transaction
from django.http import QueryDict
from django.utils import timezone

from ledger.finds import access, actions, awaited
from ledger.finds.entries import FromPhone
from ledger.finds.finder import CORRECTED
from ledger.finds.log_page import LogPage, Trouble
from ledger.finds.models import FIRST_VERSION, Find, Photo
from ledger.people.models import Member
from ledger.phone.models import Receipt
from ledger.phone.payload import Message, PhotoSaid
from ledger.phone.waiting import end_waiting, note_waiting
from ledger.photos.intake import MOST_PER_FIND
from ledger.taxa.queries import current_pack
from ledger.words import say

_LONG_AGO = datetime(1, 1, 2, tzinfo=UTC)
# Longest that any column of seconds need hold; a clock further off is told as that far off.
_MOST_OFF = timedelta(days=200 * 366)


@dataclass(frozen=True, slots=True)
class Taken:
    """The ledger has it. `version` and `digest` are of what was stored; `told` are sentences for the person."""

    find: Find
    version: int
    # The moment from which on somebody else's change is one this phone does not know of.
    opened_at: datetime
    digest: str
    is_new: bool = False
    told: Sequence[str] = ()
    photos: Mapping[str, bool] = field(default_factory=dict)


class NotTaken(Exception):
    """The find cannot be stored as it stands; `troubles` say what of it. Nothing was written."""

    def __init__(self, troubles: Sequence[Trouble]) -> None:
        super().__init__("; ".join(trouble.sentence for trouble in troubles))
        self.troubles = troubles


class SomebodyElse(Exception):
    """The message was made by another member than the one who is signed in. Nothing was written."""


def receive(message: Message, *, by: Member, now: datetime | None = None) -> Taken:
    """Log the find of a message, or amend it. SomebodyElse, NotTaken, or actions.FindChanged where it cannot be."""
    now = now or timezone.now()
    if message.member != by.pk:
        raise SomebodyElse
    try:
        return _received(message, by, now)
    except actions.FindChanged as changed:
        # After everything else was undone: the curator must know of it before the find is settled.
        note_waiting(changed.find.pk, by=by, phone=message.phone, now=now)
        raise


def _received(message: Message, by: Member, now: datetime) -> Taken:
    with transaction.atomic():
        # Two requests with one find: the second waits here and then finds the first one's receipt.
        find = Find.objects.select_for_update().filter(pk=message.find).first()
        if find is None:
            return _logged(message, by, now)
        if not access.may_amend(find, by):
            raise NotTaken(
                [
                    Trouble(
                        say("A find with this identity is in the ledger already and is not yours to change.")
                    )
                ]
            )
        return _amended(message, find, by, now)


def _logged(message: Message, by: Member, now: datetime) -> Taken:
    page = page_of(message, by, None)
    finder, troubles = _finder(message, by)
    troubles = [*troubles, *_too_many_photos(message, None)]
    if not page.is_valid() or troubles:
        raise NotTaken([*page.troubles, *troubles])
    try:
        find = actions.log_find(
            page.entry,
            by=by,
            find_id=message.find,
            finder=finder,
            sent=FromPhone(
                phone=message.phone,
                clock_off_s=clock_off_s(message, now),
                begun_at=message.made_at,
                kept_at=message.typed_at,
                photos=_views_said(message),
            ),
            now=now,
        )
    except actions.FindRefused as refusal:
        raise NotTaken([Trouble(str(refusal))]) from refusal
    if find.logged_at != now:
        # Sent twice at one moment: the other one was written while this one waited.
        return _amended(message, find, by, now)
    return _answer(message, find, by, now, is_new=True)


def _amended(message: Message, find: Find, by: Member, now: datetime) -> Taken:
    receipts = list(Receipt.objects.filter(find=find, by=by, phone=message.phone))
    for receipt in receipts:
        if receipt.digest == message.digest and receipt.typed_at == message.typed_at:
            return _answered_before(find, receipt, message)
    last = max(receipts, key=lambda row: (row.typed_at or _LONG_AGO, row.pk), default=None)
    if last is not None and _is_older(message, last):
        # A message that lost its way: what this phone has sent since stands.
        return _answered_before(find, last, message)
    stands_as_sent = last is not None and last.version == find.version
    version = find.version if stands_as_sent else (message.version or FIRST_VERSION)
    page = page_of(message, by, find)
    if not page.is_valid():
        raise NotTaken(page.troubles)
    finder, troubles = _other_finder(message, find, by)
    troubles = [*troubles, *_too_many_photos(message, find)]
    if troubles:
        raise NotTaken(troubles)
    is_more_to_come = awaited.announce(find, _views_said(message), by=by, phone=message.phone, now=now)
    try:
        find = actions.amend_find(
            find.pk,
            page.entry,
            by=by,
            version=version,
            finder=finder,
            opened_at=message.opened_at,
            phone=message.phone,
            now=now,
        )
    except actions.FindRefused as refusal:
        raise NotTaken([Trouble(str(refusal))]) from refusal
    if is_more_to_come and find.changed_at != now:
        # Nothing but photos: the find is as it was, and what is asked about its views is not.
        actions.recheck(find, now=now)
    return _answer(message, find, by, now)


def _is_older(message: Message, last: Receipt) -> bool:
    """Whether the message was typed before the last one this phone sent. Clocks may be set back in between, so one
    that was typed with the ledger's answer to that last one in sight is never older."""
    knew_of_more = (message.version or 0) > last.version
    knew_the_answer = message.opened_at is not None and message.opened_at >= last.taken_at
    if knew_of_more or knew_the_answer or message.typed_at is None or last.typed_at is None:
        return False
    return message.typed_at < last.typed_at


def _answered_before(find: Find, receipt: Receipt, message: Message) -> Taken:
    """The answer of then. What was changed since is not of it: the phone does not know of that yet."""
    photos = photos_here(find, message.photos)
    return Taken(find, receipt.version, receipt.taken_at, receipt.digest, photos=photos)


def _answer(message: Message, find: Find, by: Member, now: datetime, *, is_new: bool = False) -> Taken:
    Receipt.objects.create(
        find=find,
        by=by,
        phone=message.phone,
        digest=message.digest,
        typed_at=message.typed_at,
        version=find.version,
        taken_at=now,
    )
    if not is_new:
        end_waiting(find, by=by, phone=message.phone, now=now)
    told = []
    if message.reference and message.reference != current_pack()[1]:
        told.append(
            say(
                "The phone checked it against another edition of the reference; "
                "the ledger checked it again with its own."
            )
        )
    if message.sent_at is None:
        told.append(say("The clock of the phone could not be read. Look at the day and time of the find."))
    photos = photos_here(find, message.photos)
    return Taken(find, find.version, now, message.digest, is_new, told, photos)


def clock_off_s(message: Message, now: datetime) -> int | None:
    """How far the phone's clock is ahead of the ledger's; None where the message tells no time."""
    if message.sent_at is None:
        return None
    off = max(-_MOST_OFF, min(_MOST_OFF, message.sent_at - now))
    return round(off.total_seconds())


def _views_said(message: Message) -> dict[str, str]:
    return {photo.sha256: photo.view for photo in message.photos}


def photos_here(find: Find, said: Sequence[PhotoSaid]) -> dict[str, bool]:
    """For each photo of a message, by its SHA-256, whether the ledger has it with that find."""
    here = set(Photo.objects.filter(find=find).order_by().values_list("sha256", flat=True))
    return {photo.sha256: photo.sha256 in here for photo in said}


def _too_many_photos(message: Message, find: Find | None) -> list[Trouble]:
    """With those that the ledger has already: a find must not wait for photos that it cannot hold."""
    said = {photo.sha256 for photo in message.photos}
    if find is not None:
        said |= set(Photo.objects.filter(find=find).order_by().values_list("sha256", flat=True))
    if len(said) <= MOST_PER_FIND or not message.photos:
        return []
    return [
        Trouble(
            say(
                "These are {n} photos; a find holds {most} at most. Remove {over}.",
                n=len(said),
                most=MOST_PER_FIND,
                over=len(said) - MOST_PER_FIND,
            ),
            "photos",
        )
    ]


def _finder(message: Message, by: Member) -> tuple[Member, list[Trouble]]:
    """Who found it. At a foray's table one member keys for many."""
    if message.finder in (None, by.pk):
        return by, []
    finder = Member.objects.filter(pk=message.finder, is_active=True).first()
    if finder is not None:
        return finder, []
    return by, [
        Trouble(
            say(
                "Its finder is no longer a member of this ledger. Choose another finder, or keep it as your own."
            )
        )
    ]


def _other_finder(message: Message, find: Find, by: Member) -> tuple[Member | None, list[Trouble]]:
    """The finder that a message says instead of the stored one; None where it leaves that one, or where the finder was
    put right on the ledger since.

    Nobody said is whoever keyed it in, as long as the phone does not know that the ledger has the find: then it was
    chosen anew at the table. Afterwards it is "as it was".
    """
    is_said = message.finder is not None or (message.version is None and find.logged_by_id == by.pk)
    if not is_said or message.finder == find.finder_id or find.changes.filter(field=CORRECTED).exists():
        return None, []
    if not access.may_change_finder(find, by):
        return None, [
            Trouble(
                say(
                    "Somebody else keyed this find in for you, and they or a curator say whose it is. Leave its finder as "
                    "it is, and write to them."
                )
            )
        ]
    return _finder(message, by)


def page_of(message: Message, by: Member, find: Find | None) -> LogPage:
    """The message as the log form would have sent it: the same boxes, read by the same rules."""
    data = QueryDict(mutable=True)
    for name, value in message.fields:
        data.appendlist(name, value)
    data["find_id"], data["do"] = str(message.find), "keep"
    if message.serial and not data.get("serial"):
        data["serial"] = str(message.serial)
    if message.found_by:
        data["found_by"] = message.found_by
    if find is not None:
        views = {photo.sha256: photo.view for photo in message.photos}
        for pk, sha256 in Photo.objects.filter(find=find).order_by().values_list("pk", "sha256"):
            if sha256 in views:
                data[f"photo-view-{pk}"] = views[sha256]
    page = LogPage.filled(by, data, find=find)
    page.announced = len(message.photos)
    return page
