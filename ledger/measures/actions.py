"""The only writers of measurements: keep one, withdraw one, make a reading of them."""

import math
import uuid
from collections.abc import Collection, Sequence
from datetime import datetime

from django.db import transaction
from django.utils import timezone

from ledger.finds import access
from ledger.finds.entries import ReadingEntry
from ledger.finds.flagging import recheck
from ledger.finds.history import record_change
from ledger.finds.models import Find, Photo, Reading
from ledger.finds.reading_rows import put_reading
from ledger.measures import taking
from ledger.measures.models import Measurement
from ledger.measures.queries import current_scale, measured
from ledger.measures.taking import CannotMeasure, take
from ledger.measuring.text import with_uncertainty
from ledger.people.models import Member
from ledger.taxa.queries import vocabulary
from ledger.traits.readings import mean_uncertainty
from ledger.words import say, say_n, together

MOST_OF_ONE_PHOTO = 400


def keep_measurement(
    photo: Photo,
    *,
    way: str,
    points: Sequence[Sequence[float]],
    trait: str,
    above_mm: float,
    note: str,
    by: Member,
    now: datetime | None = None,
) -> Measurement:
    """Measure once more, and keep the result with its points and scale. Raises CannotMeasure."""
    scale = current_scale(photo)
    if scale is None:
        raise CannotMeasure(
            say("This photo has no scale yet. Nothing was kept; point out a ruler in it first.")
        )
    # Each their own: what one member keeps takes no room from another.
    if photo.measurements.filter(taken_by=by).count() >= MOST_OF_ONE_PHOTO:
        raise CannotMeasure(
            say("{most} measurements are kept of one photo at most. Those are kept.", most=MOST_OF_ONE_PHOTO)
        )
    taken = take(photo, scale, way, points, above_mm=above_mm)
    return Measurement.objects.create(
        photo=photo,
        scale=scale,
        trait=trait,
        way=way,
        points=[list(point) for point in points],
        value=taken.value,
        unit=taken.unit,
        u=taken.u,
        parts=dict(taken.parts),
        n=taken.n,
        above_mm=above_mm,
        note=note[:200],
        taken_by=by,
        taken_at=now or timezone.now(),
    )


def withdraw(measurement_id: uuid.UUID, *, by: Member, now: datetime | None = None) -> Measurement:
    """Take one's own measurement back; it stays on record. One that a reading rests on stays. Raises CannotMeasure."""
    with transaction.atomic():
        row = Measurement.objects.select_for_update().get(pk=measurement_id, taken_by=by)
        if row.reading_id is not None and row.reading.ended_at is None:
            raise CannotMeasure(
                say("A reading rests on this measurement. It was kept; change the reading first.")
            )
        row.withdrawn_at = row.withdrawn_at or now or timezone.now()
        row.save(update_fields=["withdrawn_at"])
    return row


@transaction.atomic
def make_reading(
    find_id: uuid.UUID,
    trait: str,
    *,
    by: Member,
    chosen: Collection[uuid.UUID] | None = None,
    now: datetime | None = None,
) -> Reading:
    """Make what one person measured of that trait, on all photos of the find, its reading; the one before stays on record.

    `chosen`: these measurements alone. Replicates of different caps, or counts at different places, are different values;
    what two persons measured is never mixed. Raises CannotMeasure.
    """
    now = now or timezone.now()
    find = Find.objects.select_for_update().get(pk=find_id)
    own = measured(find, trait).filter(taken_by=by).select_related("scale")
    rows = list(own if chosen is None else own.filter(pk__in=chosen))
    if trait not in vocabulary().traits:  # a free line is of no trait
        rows = []
    if not rows and chosen is not None:
        raise CannotMeasure(
            say("None of your counts was chosen. The reading stays as it is; tick those that belong to it.")
        )
    if not rows:
        raise CannotMeasure(
            say("You have measured nothing of it on these photos. The reading stays as it is.")
        )
    is_counted = vocabulary().traits[trait].compared == "mean"
    entry = _entry_of_counts(trait, rows) if is_counted else _entry(trait, rows)
    row, changed = put_reading(find, entry, by=by, now=now)
    Measurement.objects.filter(reading=row).exclude(pk__in=[one.pk for one in rows]).update(reading=None)
    Measurement.objects.filter(pk__in=[one.pk for one in rows]).update(reading=row)
    if changed is not None:
        old, new = changed
        how = entry.typed if is_counted else say("from photos")
        told = together([new, how], ", ")
        record_change(find, field=f"reading {trait}", old=old, new=told, by=by, now=now)
        find.version += 1
        find.changed_at = now
        find.save(update_fields=["version", "changed_at"])
        recheck(find, now=now)
    return row


def _entry(trait: str, rows: Sequence[Measurement]) -> ReadingEntry:
    """The replicates, and the resolution that has the same standard uncertainty: d = u sqrt(12) (GUM F.2.2.1)."""
    kind = vocabulary().traits[trait]
    u = math.sqrt(sum(row.u * row.u for row in rows) / len(rows))
    digits = max(0, 1 - math.floor(math.log10(2 * u))) if u > 0 else 2
    values = tuple(round(row.value, digits) for row in rows)
    if min(values) <= 0:
        raise CannotMeasure(
            say(
                "A line of {length} is shorter than can be told on its photo. The reading stays as it is; withdraw that "
                "line, or measure it on a photo taken nearer.",
                length=with_uncertainty(min(row.value for row in rows), 2 * u, kind.unit or ""),
            )
        )
    return ReadingEntry(
        trait=trait,
        values=values,
        unit=kind.unit or "",
        resolution=round(u * math.sqrt(12), 4),
        typed=f"measured on {len({row.photo_id for row in rows})} photo(s)",
    )


def _entry_of_counts(trait: str, rows: Sequence[Measurement]) -> ReadingEntry:
    """One value for each place, with the resolution by which their mean is as uncertain as `together` says.

    The mean of a reading has u^2 = s^2/n + d^2/12 (ledger/traits/readings.py), so d^2 = 12 (u^2 - s^2/n).
    """
    found = taking.together(rows)
    values = tuple(round(value, 3) for value in found.values)
    rest = found.u**2 - mean_uncertainty(values, 0.0) ** 2
    return ReadingEntry(
        trait=trait,
        values=values,
        unit=vocabulary().traits[trait].unit or "",
        resolution=round(math.sqrt(12 * max(0.0, rest)), 4) or None,
        typed=say_n(
            "{count}, n = {n2} at {n} place, from photos",
            "{count}, n = {n2} at {n} places, from photos",
            found.counts,
            count=found.written,
            n2=found.n,
        ),
    )


def may_measure(photo: Photo, member: Member) -> bool:
    """Whoever may see a photo may measure on it: a number that others cannot take again is only a claim."""
    return photo.find_id is not None and access.may_see_photo(photo, member)
