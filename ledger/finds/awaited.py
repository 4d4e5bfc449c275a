"""Photos that a phone has announced: which have not come yet, or were refused, on whose phone, and since when."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from ledger.finds.models import Find, Photo
from ledger.people.models import Member
from ledger.phone.models import AnnouncedPhoto
from ledger.record.facts import AwaitedFacts
from ledger.words import say_n


@dataclass(frozen=True, slots=True)
class OnTheWay:
    """So many photos of a find, on one member's phone, since they were announced; or refused when they came."""

    many: int
    whose: Member
    since: datetime
    is_refused: bool = False

    def said(self, reader: Member) -> str:
        """`2 photos of it are still on Ada Oak's phone`; the reader's own phone is "your phone"."""
        is_own = self.whose.pk == reader.pk
        if self.is_refused and is_own:
            return say_n(
                "{n} photo of it was not taken from your phone: no photo that can be kept here",
                "{n} photos of it were not taken from your phone: no photo that can be kept here",
                self.many,
            )
        if self.is_refused:
            return say_n(
                "{n} photo of it was not taken from {whose}’s phone: no photo that can be kept here",
                "{n} photos of it were not taken from {whose}’s phone: no photo that can be kept here",
                self.many,
                whose=self.whose.full_name,
            )
        if is_own:
            return say_n(
                "{n} photo of it is still on your phone",
                "{n} photos of it are still on your phone",
                self.many,
            )
        return say_n(
            "{n} photo of it is still on {whose}’s phone",
            "{n} photos of it are still on {whose}’s phone",
            self.many,
            whose=self.whose.full_name,
        )


def announced(
    find: Find, photos: Mapping[str, str], *, by: Member, phone: UUID | None, now: datetime
) -> list[AnnouncedPhoto]:
    """The rows of photos that a phone announces with a find, SHA-256 to view; not written yet."""
    return [
        AnnouncedPhoto(find=find, sha256=sha256, view=view, by=by, phone=phone, announced_at=now)
        for sha256, view in photos.items()
    ]


def announce(find: Find, photos: Mapping[str, str], *, by: Member, phone: UUID | None, now: datetime) -> bool:
    """Bring what one phone announces for a stored find in line with its latest word. Returns whether anything changed.

    One that has come before stays on record as come: taken out on the ledger since, it is not on its way again.
    """
    rows = list(find.announced_photos.all())
    known = {row.sha256 for row in rows}
    here = set(Photo.objects.filter(find=find).order_by().values_list("sha256", flat=True))
    new = {sha256: view for sha256, view in photos.items() if sha256 not in known | here}
    taken_back = [
        row.pk
        for row in rows
        if row.arrived_at is None and (row.by_id, row.phone) == (by.pk, phone) and row.sha256 not in photos
    ]
    if taken_back:
        AnnouncedPhoto.objects.filter(pk__in=taken_back).delete()
    AnnouncedPhoto.objects.bulk_create(announced(find, new, by=by, phone=phone, now=now))
    return bool(new or taken_back)


def have_come(find: Find, photos: Iterable[Photo], now: datetime) -> None:
    """Write down that these photos are here, whichever way they came."""
    here = [photo.sha256 for photo in photos]
    find.announced_photos.filter(sha256__in=here, arrived_at__isnull=True).update(arrived_at=now)


def refuse(find: Find, sha256: str, now: datetime) -> None:
    """Write down that what came is no photo that the ledger takes: nobody waits for it any more."""
    find.announced_photos.filter(sha256=sha256, arrived_at__isnull=True).update(refused_at=now)


def facts_of(rows: Iterable[AnnouncedPhoto], now: datetime) -> tuple[AwaitedFacts, ...]:
    """What the record checks are told of photos that have not come."""
    return tuple(
        AwaitedFacts(view=row.view, waits_s=(now - row.announced_at).total_seconds()) for row in rows
    )


def on_the_way(rows: Iterable[AnnouncedPhoto]) -> list[OnTheWay]:
    """For each phone: the photos that have not come, since when the first of them is awaited; then those refused."""
    phones: dict[tuple[bool, int, UUID | None], list[AnnouncedPhoto]] = {}
    for row in rows:
        if row.arrived_at is None:
            phones.setdefault((row.refused_at is not None, row.by_id, row.phone), []).append(row)
    return [
        OnTheWay(
            len(group), group[0].by, min(row.refused_at or row.announced_at for row in group), is_refused
        )
        for (is_refused, *_), group in phones.items()
    ]
