"""The tables of the readable export: columns with their meaning, and a find's cells for each."""

import re
from collections.abc import Iterable, Sequence

from ledger.exchange.names_out import NameOut
from ledger.exchange.plain import PlainColumn, PlainTable
from ledger.exchange.tables import number_text
from ledger.finds.models import Photo
from ledger.handing_on.gather import Gathered

FINDS, READINGS, NAMES = "finds.csv", "readings.csv", "names.csv"
PHOTOS, RELATIONS = "photos.csv", "relations.csv"
_ID = PlainColumn("find_id", "The find's identity, the same in every table and for life (UUID)")

_FINDS = (
    PlainColumn("find_id", "The find's identity, the same in every table and for life (UUID)"),
    PlainColumn("number", "Collecting number: the finder's code, a serial, and the letter of a share"),
    PlainColumn("accession_number", "Number in the register of vouchers; empty where none was given"),
    PlainColumn("material_kept", "Whether material was taken", "yes, no"),
    PlainColumn("found_on", "Day of the find, ISO 8601"),
    PlainColumn("found_at", "Time of day, as the clock there showed it"),
    PlainColumn("utc_offset_minutes", "How far that clock was ahead of UTC, in minutes"),
    PlainColumn("found_by", "Who found it, as they agreed to be named"),
    PlainColumn("name", "The name that holds now, as it was written, with its doubt"),
    PlainColumn(
        "accepted_name", "The name under which the reference has that taxon; empty where it has none"
    ),
    PlainColumn("author", "Author of the accepted name"),
    PlainColumn("settled", "Whether the curator has decided on the find", "yes, no"),
    PlainColumn(
        "latitude_deg", "Decimal degrees, north positive; the middle of the cell where the place is coarsened"
    ),
    PlainColumn(
        "longitude_deg", "Decimal degrees, east positive; the middle of the cell where the place is coarsened"
    ),
    PlainColumn("datum", "Geodetic datum of latitude and longitude"),
    PlainColumn("uncertainty_m", "Radius in metres within which the place lies"),
    PlainColumn(
        "place_cell_deg",
        "Side in degrees of the cell by which a sensitive place is told; empty: told as held",
    ),
    PlainColumn("place_typed", "The place as it was typed"),
    PlainColumn("place_from", "What the place was taken from", "phone, photo, typed, table"),
    PlainColumn("altitude_m", "Altitude in metres"),
    PlainColumn("locality", "The place in words"),
    PlainColumn("region", "Region"),
    PlainColumn("country", "Country"),
    PlainColumn("foray", "The group trip it was found on, with its day"),
    PlainColumn("host", "What it grew on"),
    PlainColumn("fruit_bodies", "How many fruit bodies"),
    PlainColumn("changed_at", "Last change of the record, UTC"),
)
_NOTE = PlainColumn("note", "Note, as it was written")
_WHOLE = (
    PlainColumn("permission", "Leave or permit, as it was written with the find"),
    PlainColumn("status", "Where the record stands", "logged, held, sent back, settled"),
)
_READINGS = (
    _ID,
    PlainColumn("trait", "What was looked at, in words"),
    PlainColumn("code", "The same as a code; what begins with find: is no trait but a fact about the find"),
    PlainColumn(
        "seen",
        "States or replicates, parted by bars; low-high where only these were told; absent, cannot say",
    ),
    PlainColumn("resolution", "Resolution of the instrument, in the unit"),
    PlainColumn("unit", "Unit of the numbers: mm, um (thousandths of a mm), 1/mm, cm, m, deg, min"),
    PlainColumn("read_by", "Who read it, as they agreed to be named"),
    PlainColumn("read_on", "Day on which it was entered, UTC"),
    PlainColumn(
        "remarks", "looked, n, low, high, state of the specimen, age, and what was typed, as key: value"
    ),
)
_NAMES = (
    _ID,
    PlainColumn("name", "The name as it was written, with its doubt; empty: unnamed"),
    PlainColumn("english_name", "The English name, where that was typed"),
    PlainColumn("accepted_name", "The name under which the reference has that taxon"),
    PlainColumn("author", "Author of the accepted name"),
    PlainColumn("named_by", "Who gave the name, as they agreed to be named"),
    PlainColumn("named_on", "Day of the name"),
    PlainColumn("basis", "On what grounds"),
    PlainColumn("holds_now", "Whether this is the name that holds now", "yes, no"),
)
_PHOTOS = (
    _ID,
    PlainColumn("file", "Path of the photograph in this export"),
    PlainColumn(
        "shows", "What it shows", "cap, underside, side, cut, margin, place, scale, or empty: not said"
    ),
    PlainColumn(
        "taken_at",
        "When it was taken, as the camera's clock showed it, set right where it was known to be off",
    ),
    PlainColumn("taken_by", "Who sent it, as they agreed to be named"),
)
_RELATIONS = (
    PlainColumn("record", "A find's identity, or the number of a part of a specimen"),
    PlainColumn("is", "What it is to the other", "share of, duplicate of"),
    PlainColumn("of", "The other record"),
    PlainColumn("since", "Day, where it is known"),
    PlainColumn("remarks", "In words"),
)


def planned(*, whole: bool, notes: bool) -> list[PlainTable]:
    finds = [*_FINDS, *([_NOTE] if notes else []), *(_WHOLE if whole else ())]
    names = [*_NAMES, *([_NOTE] if notes else [])]
    return [
        PlainTable(FINDS, "one row for each find", finds),
        PlainTable(READINGS, "every trait that was looked at, and other facts of a find", _READINGS),
        PlainTable(NAMES, "every name that was ever given, the earliest first", names),
        PlainTable(RELATIONS, "shares of mixed collections, duplicates of specimens", _RELATIONS),
        PlainTable(PHOTOS, "the photographs that are here", _PHOTOS),
    ]


def find_cells(one: Gathered, *, whole: bool, notes: bool) -> list[str]:
    find, place, name, row = one.find, one.find.place, one.find.name, one.row
    cells = [
        find.id,
        find.number,
        find.extra.get("dwc:catalogNumber", ""),
        _yes(find.kept),
        find.found_on.isoformat() if find.found_on else "",
        find.found_at.isoformat() if find.found_at else "",
        "" if find.offset_minutes is None else str(find.offset_minutes),
        find.by,
        name.typed if name else "",
        name.taxon if name else "",
        name.authority if name else "",
        _yes(find.settled),
        number_text(place.latitude),
        number_text(place.longitude),
        place.datum,
        number_text(place.uncertainty_m),
        number_text(place.step_deg),
        place.typed,
        place.source,
        number_text(place.altitude_m),
        place.locality,
        place.region,
        place.country,
        f"{place.foray}, {place.foray_on}" if place.foray else "",
        find.host,
        "" if find.fruit_bodies is None else str(find.fruit_bodies),
        find.changed_at,
    ]
    if notes:
        cells.append(place.note)
    return [*cells, row.permission, row.status] if whole else cells


def reading_cells(one: Gathered, cells: Sequence[str]) -> list[str]:
    """Of a row of MeasurementOrFact."""
    _, _, label, code, seen, resolution, unit, by, on, _, remarks = cells
    return [one.find.id, label, code, seen, resolution, unit, by, on, remarks]


def name_cells(one: Gathered, name: NameOut, *, is_current: bool, notes: bool) -> list[str]:
    cells = [
        *(one.find.id, name.typed, name.vernacular, name.taxon, name.authority, name.by, name.on, name.basis),
        _yes(is_current),
    ]
    return [*cells, name.note] if notes else cells


def photo_cells(one: Gathered, photo: Photo, path: str, by: str) -> list[str]:
    return [one.find.id, path, photo.view, one.taken_at(photo), by]


def photo_name(one: Gathered, photo: Photo, number: int) -> str:
    """`AT-57B-1-cap`; with the start of the find's identity, since numbers of paper may repeat by mistake."""
    said = re.sub(r"[^A-Z0-9]+", "-", one.find.number)
    return "-".join(part for part in (said, one.find.id[:8], str(number), photo.view) if part)


def forays_table(rows: Iterable[Sequence[str]]) -> PlainTable:
    return PlainTable(
        "forays.csv",
        "group trips",
        (
            PlainColumn("name", "Name of the foray"),
            PlainColumn("held_on", "Its day"),
            PlainColumn("place", "Where"),
            PlainColumn("leader", "Who led it"),
            PlainColumn("permission", "Leave or permit, as it was written"),
            PlainColumn("note", "Note"),
        ),
        rows,
    )


def changes_table(rows: Iterable[Sequence[str]]) -> PlainTable:
    return PlainTable(
        "history.csv",
        "every change of every find, the earliest first",
        (
            _ID,
            PlainColumn("at", "When, UTC"),
            PlainColumn("by", "Who"),
            PlainColumn("field", "What"),
            PlainColumn("old", "What it was"),
            PlainColumn("new", "What it became"),
        ),
        rows,
    )


def flags_table(rows: Iterable[Sequence[str]]) -> PlainTable:
    return PlainTable(
        "flags.csv",
        "every reason for the curator to look",
        (
            _ID,
            PlainColumn("code", "Code of the flag"),
            PlainColumn("severity", "How grave", "note, doubt, stop"),
            PlainColumn("subject", "The trait or photograph it is about; empty: the find"),
            PlainColumn("sentence", "What it says"),
            PlainColumn("raised_at", "When, UTC"),
            PlainColumn("settled_at", "When the curator decided, UTC"),
            PlainColumn("settled_by", "Who decided"),
            PlainColumn("reason", "On what grounds"),
            PlainColumn("withdrawn_at", "When it no longer held, UTC"),
        ),
        rows,
    )


def questions_table(rows: Iterable[Sequence[str]]) -> PlainTable:
    return PlainTable(
        "questions.csv",
        "questions with which finds went back, and answers",
        (
            _ID,
            PlainColumn("asked_by", "Who asked"),
            PlainColumn("asked_at", "When, UTC"),
            PlainColumn("question", "What was asked"),
            PlainColumn("answered_by", "Who answered"),
            PlainColumn("answered_at", "When, UTC"),
            PlainColumn("answer", "What was answered"),
        ),
        rows,
    )


def _yes(value: bool) -> str:
    return "yes" if value else "no"
