"""The photos against the form: when and where they were taken, and whether the needed views are there."""

from collections.abc import Iterator, Sequence
from datetime import date, datetime, time, timedelta

from ledger.places.distance import distance_m
from ledger.record.facts import AwaitedFacts, Limits, PhotoFacts, RecordFacts
from ledger.record.flags import Flag, FlagTable, Value
from ledger.record.place_checks import error_or_assumed, is_on_earth
from ledger.record.wording import listed
from ledger.words import later, say

# Growth without a cap: there is no view of one to ask for.
_CAPLESS = frozenset({"resupinate"})
_VIEWS = {"underside": later("underside"), "cap": later("cap")}


def photo_flags(facts: RecordFacts, limits: Limits, table: FlagTable) -> Iterator[Flag]:
    """One flag per photo whose date, and one per photo whose place, differs by more than the errors allow."""
    for photo in facts.photos:
        yield from _date_flags(photo, facts, limits, table)
        yield from _place_flags(photo, facts, limits, table)


def number_in_frame_flags(facts: RecordFacts, limits: Limits, table: FlagTable) -> Iterator[Flag]:
    """One flag per photo that shows other numbers, and none of the find's own. A photo without a number says nothing."""
    if facts.collecting_serial is None:
        return
    own = [f"{facts.collecting_code} {facts.collecting_serial}", facts.accession_number]
    for photo in facts.photos:
        if photo.numbers and not set(photo.numbers) & set(own):
            told: dict[str, Value] = {
                "seen": ", ".join(sorted(photo.numbers)),
                "own": ", ".join(filter(None, own)),
            }
            yield table.flag("number_in_frame_differs", told, subject=photo.id, context={"photo": photo.name})


def view_flags(facts: RecordFacts, limits: Limits, table: FlagTable) -> Iterator[Flag]:
    """The underside is always asked for, the cap wherever there is one. Photos that a phone has announced count for some
    days as if they were here: they come by themselves.

    A note only where the find was keyed at a foray's table or from a slip: nobody there could have taken one.
    """
    on_the_way = [photo for photo in facts.awaited if photo.waits_s < limits.photos_awaited_s]
    count = len(facts.photos) + len(on_the_way)
    if facts.keyed_from:
        yield from _keyed_flags(facts, on_the_way, table)
        return
    if not count:
        yield table.flag("photos_missing", {"photos": 0})
        return
    for view in _missing_views(facts, on_the_way):
        yield table.flag(f"view_{view}_missing", {"photos": count})


def _keyed_flags(facts: RecordFacts, to_come: Sequence[AwaitedFacts], table: FlagTable) -> Iterator[Flag]:
    missing = _missing_views(facts, to_come)
    if missing:
        told: dict[str, Value] = {
            "photos": len(facts.photos) + len(to_come),
            "missing": listed([say(_VIEWS[view]) for view in missing]),
        }
        yield table.flag("views_missing_keyed", told, context={"keyed": facts.keyed_from})


def _missing_views(facts: RecordFacts, to_come: Sequence[AwaitedFacts]) -> list[str]:
    """Which of the two needed views no photo shows, here or on its way."""
    views = {photo.view for photo in facts.photos} | {photo.view for photo in to_come}
    has_cap = not facts.habits or bool(facts.habits - _CAPLESS)
    needed = ("underside", "cap") if has_cap else ("underside",)
    return [view for view in needed if view not in views]


def _date_flags(photo: PhotoFacts, facts: RecordFacts, limits: Limits, table: FlagTable) -> Iterator[Flag]:
    if photo.taken_at is None or facts.found_on is None:
        return
    apart = apart_from_day(photo.taken_at, photo.utc_offset_minutes, facts.found_on, facts.utc_offset_minutes)
    allowed = 0 if photo.utc_offset_minutes is not None else limits.unknown_zone_minutes
    if apart > timedelta(minutes=allowed):
        yield table.flag(
            "photo_date_differs",
            {
                "taken_at": photo.taken_at.strftime("%Y-%m-%d %H:%M"),
                "zone": offset_text(photo.utc_offset_minutes),
                "found_on": facts.found_on.isoformat(),
                "allowed_minutes": allowed,
            },
            subject=photo.id,
            context={"photo": photo.name, "apart_minutes": apart / timedelta(minutes=1)},
        )


def apart_from_day(
    taken_at: datetime, photo_offset: int | None, found_on: date, find_offset: int | None
) -> timedelta:
    """How far a photo lies outside the day of a find; nought inside it. Offsets are minutes east of UTC.

    With both offsets known the two are compared as moments. With one of them known the other is taken to be the
    same: find and photo are made at one place. With no offset at all, or none on the photo, the clocks are compared
    as they stand, and the caller allows for the zones.
    """
    # Differences only: the day after 9999-12-31 is no date, and a form can bring one.
    into_day = taken_at - datetime.combine(found_on, time.min)
    if photo_offset is not None and find_offset is not None:
        into_day -= timedelta(minutes=photo_offset - find_offset)
    if into_day < timedelta(0):
        return -into_day
    if into_day >= timedelta(days=1):
        return into_day - timedelta(days=1) + timedelta(minutes=1)  # midnight is the next day's first minute
    return timedelta(0)


def offset_text(minutes: int | None) -> str:
    """`UTC+05:30`, or that the zone is not known."""
    if minutes is None:
        return say("zone not recorded")
    sign = "-" if minutes < 0 else "+"
    return f"UTC{sign}{abs(minutes) // 60:02d}:{abs(minutes) % 60:02d}"


def _place_flags(photo: PhotoFacts, facts: RecordFacts, limits: Limits, table: FlagTable) -> Iterator[Flag]:
    if photo.latitude is None or photo.longitude is None or facts.latitude is None or facts.longitude is None:
        return
    if photo.latitude == 0.0 and photo.longitude == 0.0:
        return  # a camera without a fix
    if facts.latitude == 0.0 and facts.longitude == 0.0:
        return  # the find itself is flagged for it; that every photo lies far from there adds nothing
    if not (
        is_on_earth(latitude=photo.latitude, longitude=photo.longitude)
        and is_on_earth(latitude=facts.latitude, longitude=facts.longitude)
    ):
        return
    away_m = distance_m(
        latitude=facts.latitude,
        longitude=facts.longitude,
        to_latitude=photo.latitude,
        to_longitude=photo.longitude,
    )
    find_error_m = error_or_assumed(facts.uncertainty_m, limits)
    photo_error_m = expanded_photo_error_m(photo.error_m, limits)
    if away_m > find_error_m + photo_error_m:
        yield table.flag(
            "photo_place_differs",
            {
                "distance_m": round(away_m),
                "allowed_m": find_error_m + photo_error_m,
                "find_error_m": find_error_m,
                "photo_error_m": photo_error_m,
            },
            subject=photo.id,
            context={"photo": photo.name},
        )


def expanded_photo_error_m(error_m: float | None, limits: Limits) -> float:
    """A phone's radius times its factor; the assumed 30 m, already an expanded error, where there is none."""
    if error_m is None or not 0 < error_m <= limits.most_uncertainty_m:
        return limits.assumed_error_m
    return limits.photo_error_factor * error_m
