"""Flags brought in line with what a find says now, and the status that follows from them."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import Min
from django.utils import timezone

from ledger.bench.models import Flag
from ledger.club.queries import the_club
from ledger.finds import assess, tables
from ledger.finds.models import Find, Status
from ledger.phone.models import AnnouncedPhoto
from ledger.record import flags as record
from ledger.record.facts import Limits
from ledger.record.flags import fingerprint, severity_rank
from ledger.search import keeping
from ledger.taxa.models import Taxon
from ledger.words import english_of, kept_of

# A find is held from this severity on: doubt. A note stands in the margin and holds nothing.
HOLDS_FROM = severity_rank("doubt")

# The fields recheck() writes.
_STANDING = ("status", "worst_flag", "worst_flag_rank", "open_flags")


@transaction.atomic
def recheck(find: Find, *, now: datetime | None = None) -> tuple[Flag, ...]:
    """Run the check and the record checks and bring the flags in line. Returns the flags that were raised now.

    A flag whose numbers have not changed stays as it is: open, or settled with its reason. One that no longer
    holds is withdrawn and stays on record. A settled flag comes back only where the numbers under it changed.
    """
    raised, _ = _brought_in_line(find, now or timezone.now())
    return raised


def recheck_late_photos(now: datetime) -> int:
    """Recheck the finds whose announced photos have not come in the time that is allowed for them, once for each photo.

    Nothing else happens to such a find on that day that would have it checked. Returns how many finds there were.
    """
    before = now - timedelta(seconds=Limits().photos_awaited_s)
    late = AnnouncedPhoto.objects.filter(
        arrived_at__isnull=True, refused_at__isnull=True, is_told_late=False, announced_at__lte=before
    )
    if not late.exists():
        return 0
    with transaction.atomic():
        finds = list(Find.objects.select_for_update().filter(pk__in=late.values("find")).order_by("pk"))
        for find in finds:
            recheck(find, now=now)
        late.update(is_told_late=True)
    return len(finds)


@dataclass(frozen=True, slots=True)
class Rechecked:
    """How many finds gained or lost a flag, and how many of those that are settled gained one."""

    changed: int = 0
    settled: int = 0


def recheck_finds_of(taxon: Taxon, *, now: datetime | None = None) -> Rechecked:
    """Recheck every find that is named *taxon*, as one act: what it is held against has changed, and not the find.

    So a find that the curator has settled stays settled; a flag that is new stands on it and is told.
    """
    now = now or timezone.now()
    changed = settled = 0
    with transaction.atomic():
        finds = Find.objects.filter(current_determination__taxon=taxon).order_by("pk")
        for find in finds.select_for_update(of=("self",)).select_related("current_determination__taxon"):
            raised, withdrawn = _brought_in_line(find, now, reopens=False)
            changed += bool(raised or withdrawn)
            settled += bool(raised and find.status == Status.SETTLED)
    return Rechecked(changed, settled)


def _brought_in_line(find: Find, now: datetime, *, reopens: bool = True) -> tuple[tuple[Flag, ...], int]:
    """The flags raised now, and how many were withdrawn. `reopens`: a flag that is new may hold a settled find again."""
    readings = list(find.readings.filter(ended_at__isnull=True))
    determined = find.current_determination
    found = assess.flags_of(
        find,
        readings,
        list(find.photos.all()),
        determined.taxon if determined else None,
        club=the_club(),
        now=now,
        on_the_way=list(find.announced_photos.filter(arrived_at__isnull=True, refused_at__isnull=True)),
        named_on=find.determinations.exclude(name_typed="").aggregate(day=Min("determined_on"))["day"],
    )
    wanted = {fingerprint(flag): flag for flag in found}
    kept: dict[str, Flag] = {}
    gone = []
    for row in find.flags.filter(withdrawn_at__isnull=True):
        if row.fingerprint in wanted:
            kept[row.fingerprint] = row
        elif row.is_open:
            gone.append(row.pk)
    if gone:
        Flag.objects.filter(pk__in=gone).update(withdrawn_at=now)
    raised = Flag.objects.bulk_create(
        [flag_row(find, flag, now) for print_, flag in wanted.items() if print_ not in kept]
    )
    still_open = [row for row in kept.values() if row.is_open] + raised
    stand(find, still_open, raised=bool(raised) and reopens)
    Find.objects.filter(pk=find.pk).update(**{name: getattr(find, name) for name in _STANDING})
    keeping.keep(find)
    return tuple(raised), len(gone)


def stand(find: Find, flags: Iterable[Flag | record.Flag], *, raised: bool) -> None:
    """Set the worst flag, its place in the table, their number, and the status that follows from them.

    A note alone does not hold a find. A find that went back to its finder waits for the answer whatever its flags
    are. What the curator has settled is held again only by a flag that is new; what was held for an answer that
    the curator has not seen yet stays held.
    """
    place = tables.flag_places()
    ranks = [(severity_rank(flag.severity), -place.get(flag.code, len(place))) for flag in flags]
    find.worst_flag, kind = max(ranks, default=(0, 0))
    find.worst_flag_rank = -kind
    find.open_flags = len(ranks)
    holds = find.worst_flag >= HOLDS_FROM
    if find.status == Status.SENT_BACK or (find.status == Status.SETTLED and not (raised and holds)):
        return
    waits = find.status == Status.HELD and find.questions.exists()
    find.status = Status.HELD if holds or waits else Status.LOGGED


def flag_row(find: Find, flag: record.Flag, now: datetime) -> Flag:
    """A flag as its row, open; not written yet."""
    return Flag(
        find=find,
        code=flag.code,
        severity=flag.severity,
        subject=flag.subject,
        sentence=english_of(flag.sentence),
        said=kept_of(flag.sentence),
        numbers=dict(flag.numbers),
        fingerprint=fingerprint(flag),
        raised_at=now,
    )
