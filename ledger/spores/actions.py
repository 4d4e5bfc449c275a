"""The only writers of measured spores: keep, amend, withdraw, make them the reading. One transaction each."""

import uuid
from collections.abc import Mapping
from datetime import datetime

from django.db import transaction
from django.utils import timezone

from ledger.finds.entries import ReadingEntry, reading_text
from ledger.finds.flagging import recheck
from ledger.finds.history import record_changes
from ledger.finds.models import Find, Reading
from ledger.finds.reading_rows import put_reading
from ledger.people.models import Member
from ledger.spores.entries import SporesEntry
from ledger.spores.models import SporeSet
from ledger.spores.notation import ends, size, written
from ledger.spores.statistics import Figures, summary
from ledger.taxa.queries import vocabulary
from ledger.words import say, together

LENGTH, WIDTH = "spore_length", "spore_width"
MOST_SETS = 40


class SporesRefused(ValueError):
    """What was asked cannot be done; the text says what was kept and what to do."""


@transaction.atomic
def keep_spores(
    find_id: uuid.UUID,
    entry: SporesEntry,
    *,
    by: Member,
    set_id: uuid.UUID | None = None,
    replaces: uuid.UUID | None = None,
    now: datetime | None = None,
) -> SporeSet:
    """Keep a set and make it the find's readings of spore length and width; those before stay on record.

    `set_id` is the identity the form carried: sent twice, the set is kept once and the stored one comes back. `replaces`
    is the set that this one amends. Raises SporesRefused.
    """
    now = now or timezone.now()
    find = Find.objects.select_for_update().get(pk=find_id)
    stored = SporeSet.objects.filter(pk=set_id).first() if set_id else None
    if stored is not None:
        if stored.find_id == find.pk and stored.made_by_id == by.pk:
            return stored
        raise SporesRefused(
            say("Spores with this identity are kept already. Nothing was stored; open the page again.")
        )
    before = _current(find, replaces) if replaces else None
    if before is None and find.spore_sets.count() >= MOST_SETS:
        raise SporesRefused(
            say("{n} sets of spores are kept of one find at most. Those are kept.", n=MOST_SETS)
        )
    if before is not None and _same(before, entry):
        return before
    if before is not None:
        _end(before, by, now)
    row = SporeSet.objects.create(
        id=set_id or uuid.uuid4(), find=find, replaces=before, made_by=by, made_at=now, **entry.columns
    )
    changes = {"spores": (set_text(before) if before else "", set_text(row))}
    if before is None or before.is_reading:
        changes |= _make_readings(find, row, by, now)
    _changed(find, changes, by, now)
    return row


@transaction.atomic
def withdraw_spores(set_id: uuid.UUID, *, by: Member, now: datetime | None = None) -> SporeSet:
    """Take a set back, and the readings that rest on it with it; all stays on record. Raises SporesRefused."""
    now = now or timezone.now()
    row = SporeSet.objects.get(pk=set_id)
    find = Find.objects.select_for_update().get(pk=row.find_id)
    row = _current(find, set_id)
    _end(row, by, now)
    changes = {"spores": (set_text(row), "")}
    for trait, reading in ((LENGTH, row.length_reading), (WIDTH, row.width_reading)):
        if reading is not None and reading.ended_at is None:
            reading.ended_at = now
            reading.save(update_fields=["ended_at"])
            changes[f"reading {trait}"] = (reading_text(reading, vocabulary().traits.get(trait)), "")
    _changed(find, changes, by, now)
    return row


@transaction.atomic
def use_spores(set_id: uuid.UUID, *, by: Member, now: datetime | None = None) -> SporeSet:
    """Make a kept set the find's readings of spore length and width again. Raises SporesRefused."""
    now = now or timezone.now()
    row = SporeSet.objects.get(pk=set_id)
    find = Find.objects.select_for_update().get(pk=row.find_id)
    row = _current(find, set_id)
    _changed(find, _make_readings(find, row, by, now), by, now)
    return row


def set_text(row: SporeSet) -> str:
    """A set in one line, as the history tells it."""
    found = summary(row.spores)
    said = say(
        "{spores}; in {mount}, of {material}",
        spores=written(found, fruit_bodies=row.fruit_bodies),
        mount=row.get_mount_display(),
        material=row.get_material_display(),
    )
    how = [
        say("at ×{n}", n=row.magnification) if row.magnification else "",
        say("{um} µm a division", um=f"{row.um_per_division:g}") if row.um_per_division else "",
        say("read to {um} µm", um=f"{row.resolution_um:g}") if row.resolution_um else "",
        say("by {name}", name=row.measured_by) if row.measured_by else "",
        row.measured_on.isoformat() if row.measured_on else "",
    ]
    return together([said, *(part for part in how if part)], ", ")


def _current(find: Find, set_id: uuid.UUID | None) -> SporeSet:
    row = (
        SporeSet.objects.select_related("length_reading", "width_reading")
        .filter(pk=set_id, find=find)
        .first()
    )
    if row is None or row.ended_at is not None:
        raise SporesRefused(
            say(
                "These spores have been amended or withdrawn since the page was opened. Nothing was changed; what was typed "
                "stands below. Look at the set that is there now."
            )
        )
    return row


def _end(row: SporeSet, by: Member, now: datetime) -> None:
    row.ended_at, row.ended_by = now, by
    row.save(update_fields=["ended_at", "ended_by"])


def _same(row: SporeSet, entry: SporesEntry) -> bool:
    """Whether nothing but the way the pairs were typed is another."""
    given = entry.columns
    return all(getattr(row, name) == value for name, value in given.items() if name != "typed")


def _make_readings(find: Find, row: SporeSet, by: Member, now: datetime) -> dict[str, tuple[str, str]]:
    """Two readings of the set; what changed, as the history says it."""
    found = summary(row.spores)
    made: dict[str, Reading] = {}
    changes = {}
    for trait, place, figures in ((LENGTH, 0, found.length), (WIDTH, 1, found.width)):
        entry = ReadingEntry(
            trait=trait,
            values=tuple(pair[place] for pair in row.spores),
            unit="um",
            resolution=row.resolution_um,
            typed=say("{size}, n = {n}, spores measured one by one", size=size(found), n=found.n),
        )
        made[trait], changed = put_reading(find, entry, by=by, now=now)
        if changed is not None:
            changes[f"reading {trait}"] = (changed[0], _reading_text(figures))
    row.length_reading, row.width_reading = made[LENGTH], made[WIDTH]
    row.save(update_fields=["length_reading", "width_reading"])
    return changes


def _reading_text(figures: Figures) -> str:
    return say(
        "{ends} µm, mean {mean} µm (n = {n}), spores measured one by one",
        ends=ends(figures),
        mean=f"{figures.mean:.2f}",
        n=figures.n,
    )


def _changed(find: Find, changes: Mapping[str, tuple[str, str]], by: Member, now: datetime) -> None:
    if not changes:
        return
    record_changes(find, changes, by=by, now=now)
    find.version += 1
    find.changed_at = now
    find.save(update_fields=["version", "changed_at"])
    recheck(find, now=now)
