"""Rows to the values the pure rooms work with, and back: the check of a find and the flags it raises."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date, datetime
from functools import lru_cache
from zoneinfo import ZoneInfo

from django.db.models import Q

from ledger.club.models import Club
from ledger.finds import awaited, tables
from ledger.finds.models import Find, Photo, Reading
from ledger.moments import local_day
from ledger.phone.models import AnnouncedPhoto, Holder, NumberBlock
from ledger.phone.numbers import accounted_serials, block_of
from ledger.record import facts
from ledger.record.checks import record_flags
from ledger.record.flags import Flag
from ledger.record.trait_flags import trait_flags
from ledger.taxa.models import Taxon
from ledger.taxa.queries import current_reference
from ledger.traits import readings as values
from ledger.traits.check import check_specimen
from ledger.words import in_english, say

SEASON = "fruiting_months"
HOST = "host"


def reading_value(row: Reading) -> values.Reading:
    """One row as the check reads it; an empty text is "not given"."""
    return values.Reading(
        trait=row.trait,
        looked=row.looked,
        values=tuple(row.values),
        low=row.low,
        high=row.high,
        n=row.n,
        unit=row.unit or None,
        resolution=row.resolution,
        states=frozenset(row.states),
        state=row.state or None,
        age=row.age or None,
    )


def specimen_of(
    find: Find, rows: Iterable[Reading], taxon: str | None, *, found_on: date | None = None
) -> values.Specimen:
    """A find's current readings as one specimen.

    The month comes from the date of the find: nobody types it. A typed host tells the kind of wood where nobody
    chose it; otherwise "Picea" would never meet what the books say of conifers.
    """
    read = {row.trait: reading_value(row) for row in rows}
    found_on = found_on or find.found_on
    if found_on is not None:
        read[SEASON] = values.Reading(trait=SEASON, values=(float(found_on.month),), unit="month")
    kind_of_wood = tables.host_table().group_of(find.host)
    if HOST not in read and kind_of_wood is not None:
        read[HOST] = values.Reading(trait=HOST, states=frozenset({kind_of_wood}))
    return values.Specimen(
        taxon=taxon,
        readings=read,
        state=find.specimen_state or None,
        age=find.specimen_age or None,
        id=str(find.pk),
    )


@in_english()  # what is stored is English, and so is what tells two reasons apart
def flags_of(
    find: Find,
    rows: Sequence[Reading],
    photos: Sequence[Photo],
    taxon: Taxon | None,
    *,
    club: Club,
    now: datetime,
    number_is_new: bool = False,
    on_the_way: Sequence[AnnouncedPhoto] = (),
    named_on: date | None = None,
) -> tuple[Flag, ...]:
    """Every reason for the curator to look, of the traits and of the record, the worst first.

    `number_is_new`: its number was handed out just now, so that nothing need be asked about it.
    `on_the_way`: photos that a phone has announced and that have not come.
    `named_on`: the first day that any of its names is of.
    """
    table, limits, reference = tables.flag_table(), limits_of(club), current_reference()
    specimen = specimen_of(find, rows, taxon.name if taxon else None)
    of_traits = trait_flags(
        check_specimen(reference, specimen, for_flags=True),
        specimen,
        reference,
        table,
        far_behind_db=limits.far_behind_db,
        host_known_by=find.host_known_by,
    )
    block = None if number_is_new else block_of(find.collecting_code, find.collecting_serial)
    today = now.astimezone(ZoneInfo(club.time_zone)).date()
    known = record_facts(find, rows, photos, taxon, today=today, block=block)
    known = replace(known, awaited=awaited.facts_of(on_the_way, now), named_on=named_on)
    return table.ordered([*of_traits, *record_flags(known, limits, table)])


def limits_of(club: Club) -> facts.Limits:
    return _limits(club.area_latitude, club.area_longitude, club.area_radius_km)


@lru_cache(maxsize=8)
def _limits(latitude: float | None, longitude: float | None, radius_km: float | None) -> facts.Limits:
    area = None
    if latitude is not None and longitude is not None and radius_km is not None:
        area = facts.AreaCircle(latitude=latitude, longitude=longitude, radius_m=radius_km * 1000)
    return facts.Limits(area=area, land=tables.land_map(), decay_scales=tables.decay_scales())


def record_facts(
    find: Find,
    rows: Iterable[Reading],
    photos: Iterable[Photo],
    taxon: Taxon | None,
    *,
    today: date,
    block: NumberBlock | None = None,
) -> facts.RecordFacts:
    """What the record checks are told. One query: the neighbours of the collecting number. `block` is that of its number."""
    states = {row.trait: frozenset(row.states) for row in rows if row.looked == "read"}
    earlier, same = _neighbours(find)
    accounted: frozenset[int] = frozenset()
    if earlier is not None and earlier < find.collecting_serial - 1:
        # Asked for a gap only: the common case pays no query for the rare one.
        accounted = accounted_serials(find.collecting_code, earlier, find.collecting_serial)
    steps = [step for step in (find.own_blur_step_deg, taxon.blur_step_deg if taxon else None) if step]
    return facts.RecordFacts(
        today=today,
        found_on=find.found_on,
        found_at_time=find.found_at_time,
        utc_offset_minutes=find.utc_offset_minutes,
        latitude=find.latitude,
        longitude=find.longitude,
        datum=find.datum,
        uncertainty_m=find.uncertainty_m,
        position_source=find.position_source,
        altitude_m=find.altitude_m,
        host=find.host,
        host_group=tables.host_table().group_of(find.host),
        host_known_by=find.host_known_by,
        host_states=states.get("host", frozenset()),
        wood_states=states.get("substrate_state", frozenset()),
        habits=states.get("habit", frozenset()),
        diameter_cm=find.diameter_cm,
        decay_scale=find.decay_scale,
        decay_class=find.decay_class,
        photos=tuple(photo_facts(photo, number) for number, photo in enumerate(photos, 1)),
        keyed_from=_keyed_from(find, block),
        collecting_code=find.collecting_code,
        collecting_serial=find.collecting_serial,
        accession_number=find.accession_number,
        earlier_serial=earlier,
        accounted_serials=accounted,
        same_number_finds=same,
        number_void_on=local_day(block.voided_at) if block and block.voided_at else None,
        number_waits=_waits_elsewhere(find, block),
        clock_off_s=find.clock_off_s,
        begun_at=find.begun_at,
        arrived_at=find.logged_at,
        day_amended=_is_day_amended(find),
        taxon=taxon.name if taxon else None,
        blur_step_deg=max(steps, default=None),
    )


def _keyed_from(find: Find, block: NumberBlock | None) -> str:
    if find.keyed_at_table:
        return say("at the foray table")
    return say("from a paper slip") if block is not None and block.holder == Holder.PAPER else ""


def _is_day_amended(find: Find) -> bool:
    """Asked for only where a phone's clock was off: the common case pays no query for the rare one."""
    if find.clock_off_s is None or find._state.adding:
        return False
    is_suspect = abs(find.clock_off_s) > facts.Limits().clock_off_s or (
        find.begun_at is not None and find.begun_at > find.logged_at
    )
    return is_suspect and find.changes.filter(field="found_on").exists()


def _waits_elsewhere(find: Find, block: NumberBlock | None) -> facts.WaitingNumbers | None:
    if block is None or not block.is_out_on_a_phone or block.reserved_by_id == find.logged_by_id:
        return None
    return facts.WaitingNumbers(block.first, block.last, block.reserved_by.full_name)


def photo_facts(photo: Photo, number: int) -> facts.PhotoFacts:
    """A photo's facts; its clock was stored as if it were UTC and is the camera's own, so the zone is dropped."""
    return facts.PhotoFacts(
        id=str(photo.pk),
        name=(
            say("photo {number} ({view})", number=number, view=say(photo.view))
            if photo.view
            else say("photo {number}", number=number)
        ),
        view=photo.view,
        taken_at=photo.moment.replace(tzinfo=None) if photo.moment else None,
        utc_offset_minutes=photo.utc_offset_minutes,
        latitude=photo.latitude,
        longitude=photo.longitude,
        error_m=photo.error_m,
        numbers=tuple(photo.numbers_seen),
    )


def _neighbours(find: Find) -> tuple[int | None, int]:
    """The next lower serial under the same code, and how many other finds have the same number.

    Shares of a mixed collection bear its number on purpose; the letter behind it parts them.
    """
    serials = list(
        # A range of the index: asked for as "this or below", the database would read all that is above as well.
        Find.objects.filter(
            collecting_code=find.collecting_code, collecting_serial__lte=find.collecting_serial
        )
        .exclude(~Q(collecting_suffix=find.collecting_suffix), collecting_serial=find.collecting_serial)
        .exclude(pk=find.pk)
        .order_by("-collecting_serial")
        .values_list("collecting_serial", flat=True)[:10]
    )
    same = sum(1 for serial in serials if serial == find.collecting_serial)
    earlier = next((serial for serial in serials if serial < find.collecting_serial), None)
    return earlier, same
