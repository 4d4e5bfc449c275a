"""Readings as rows: one given anew ends the one before, which stays on record."""

from collections.abc import Sequence
from datetime import datetime

from ledger.finds.entries import ReadingEntry, reading_text
from ledger.finds.models import Find, Reading
from ledger.people.models import Member
from ledger.taxa.queries import vocabulary
from ledger.traits.instruments import instrument_of


def reading_row(find: Find, made: ReadingEntry, by: Member, now: datetime) -> Reading:
    """A reading as its row; not written yet."""
    return Reading(
        find=find,
        trait=made.trait,
        looked=made.looked,
        values=list(made.values),
        low=made.low,
        high=made.high,
        n=made.n,
        unit=made.unit,
        resolution=made.resolution,
        typed=made.typed,
        states=sorted(made.states),
        state=made.state,
        age=made.age,
        read_by=by,
        read_at=now,
    )


def replace_readings(
    find: Find, made: Sequence[ReadingEntry], by: Member, now: datetime
) -> dict[str, tuple[str, str]]:
    """End the rows that were replaced or taken back, and add the new ones. `made` is all that is read of the find.

    Returns what changed, as the history says it.
    """
    current = {row.trait: row for row in find.readings.filter(ended_at__isnull=True)}
    given = {entry.trait: entry for entry in made}
    traits = vocabulary().traits
    changes, ended, added = {}, [], []
    for trait in {**current, **given}:
        row, entry = current.get(trait), given.get(trait)
        if row is not None and entry is not None and _same(row, entry):
            continue
        changes[f"reading {trait}"] = (
            reading_text(row, traits.get(trait)) if row else "",
            reading_text(entry, traits.get(trait)) if entry else "",
        )
        if row is not None:
            ended.append(row.pk)
        if entry is not None:
            added.append(reading_row(find, entry, by, now))
    if ended:
        Reading.objects.filter(pk__in=ended).update(ended_at=now)
    Reading.objects.bulk_create(added)
    return changes


def _same(row: Reading, entry: ReadingEntry) -> bool:
    return (
        row.looked == entry.looked
        and tuple(row.values) == entry.values
        and (row.low, row.high, row.n) == (entry.low, entry.high, entry.n)
        and _as_fine(row, entry)
        and sorted(row.states) == sorted(entry.states)
        and (row.state, row.age) == (entry.state, entry.age)
    )


def _as_fine(row: Reading, entry: ReadingEntry) -> bool:
    """A form that offers no such resolution leaves that of a reading taken from a photo as it is."""
    if row.resolution == entry.resolution:
        return True
    return entry.resolution is None and not instrument_of(row.unit, row.resolution)


def put_reading(
    find: Find, entry: ReadingEntry, *, by: Member, now: datetime
) -> tuple[Reading, tuple[str, str] | None]:
    """Put one reading in the place of the one before. Returns its row, and what changed (None: nothing did)."""
    before = find.readings.filter(trait=entry.trait, ended_at__isnull=True).first()
    if before is not None and _same(before, entry):
        return before, None
    if before is not None:
        before.ended_at = now
        before.save(update_fields=["ended_at"])
    row = reading_row(find, entry, by, now)
    row.save(force_insert=True)
    trait = vocabulary().traits.get(entry.trait)
    return row, (reading_text(before, trait) if before else "", reading_text(entry, trait))
