"""A find as a row of the Occurrence core, and back: where each of its values goes. Pure.

The place comes as whoever keeps the door has given it: exact, or as the cell it lies in (`PlaceOut.step_deg`).
"""

import json
import re
from collections.abc import Mapping
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from typing import Any, NamedTuple

from ledger.exchange import names_out
from ledger.exchange.names_out import NameOut
from ledger.exchange.tables import OCCURRENCE_COLUMNS, number_text
from ledger.places.text import metres_text
from ledger.words import say

KEPT, SEEN = "PreservedSpecimen", "HumanObservation"
BODIES = "fruit bodies"
SETTLED = "settled by the curator"
# Datums that Darwin Core asks to be named by their code.
WGS84, EPSG_4326, NO_DATUM = "WGS84", "EPSG:4326", "not recorded"
SOURCES: Mapping[str, str] = {
    "phone": "phone",
    "photo": "metadata of a photograph",
    "typed": "typed by a person",
    "table": "place of the foray, typed at its table",
}
_CODE_OF_SOURCE = {words: code for code, words in SOURCES.items()}
_STEP = re.compile(r"(\d+(?:\.\d+)?) degree cell")
_NUMBER = re.compile(r"([A-Z]{1,6}) (\d{1,9})([A-Z]{0,2})")
_FORAY = re.compile(r"(.*), (\d{4}-\d{2}-\d{2})", re.DOTALL)
_HOST = re.compile(r'"host":("(?:[^"\\]|\\.)*")')


class PlaceOut(NamedTuple):
    """A place as it leaves. `step_deg` given: the middle of a cell of that side, or no numbers at all, and no words."""

    latitude: float | None = None
    longitude: float | None = None
    datum: str = ""
    uncertainty_m: float | None = None
    altitude_m: float | None = None
    typed: str = ""
    source: str = ""
    locality: str = ""
    region: str = ""
    country: str = ""
    foray: str = ""
    foray_on: str = ""
    note: str = ""
    step_deg: float | None = None


class FindOut(NamedTuple):
    """A find as it leaves; `extra` are terms told by whoever keeps the specimens, by short name. `changed_at`: ISO 8601
    in UTC.
    """

    id: str
    number: str
    kept: bool
    changed_at: str
    found_on: date | None
    found_at: time | None
    offset_minutes: int | None
    by: str
    by_id: str
    fruit_bodies: int | None
    host: str
    place: PlaceOut
    name: NameOut | None
    name_place: int
    settled: bool
    extra: Mapping[str, str]


def occurrence_row(find: FindOut, country_code: str = "") -> list[str]:
    """The cells of OCCURRENCE_COLUMNS. `country_code` is that of the find's country, if it is known."""
    place, name, extra = find.place, find.name, find.extra
    on = find.found_on
    bare, authority, rank, qualifier = names_out.cells(name) if name else ("", "", "", "")
    latitude, longitude = number_text(place.latitude), number_text(place.longitude)
    altitude = number_text(place.altitude_m)
    cells = [
        find.id,
        KEPT if find.kept else SEEN,
        find.changed_at,
        "",
        "",
        find.number,
        find.by,
        find.by_id,
        "" if find.fruit_bodies is None else str(find.fruit_bodies),
        "" if find.fruit_bodies is None else BODIES,
        "",
        "",
        "",
        host_cell(find.host) if find.host else "",
        place.note,
        f"{place.foray}, {place.foray_on}" if place.foray else "",
        event_date(on, find.found_at, find.offset_minutes),
        *((str(on.year), str(on.month), str(on.day)) if on else ("", "", "")),
        place.country,
        country_code,
        place.region,
        place.locality,
        altitude,
        altitude,
        latitude,
        longitude,
        _datum(place) if latitude or place.typed else "",
        number_text(place.uncertainty_m) if place.uncertainty_m else "",
        number_text(place.step_deg) if latitude and place.step_deg else "",
        place.typed,
        SOURCES.get(place.source, place.source),
        generalised(place.step_deg, place.uncertainty_m) if place.step_deg and latitude else "",
        withheld(place.step_deg, bool(latitude)) if place.step_deg else "",
        names_out.name_id(find.id, find.name_place) if name else "",
        bare,
        authority,
        rank,
        name.order if name else "",
        name.family if name else "",
        name.vernacular if name else "",
        qualifier,
        name.typed if name else "",
        name.by if name else "",
        name.by_id if name else "",
        name.on if name else "",
        names_out.remarks(name.basis, name.note) if name else "",
        SETTLED if find.settled else "",
    ]
    for term, value in extra.items():
        place_in_row = _PLACES.get(term)
        if place_in_row is not None and not cells[place_in_row]:
            cells[place_in_row] = value
    return cells


_PLACES = {column: place for place, column in enumerate(OCCURRENCE_COLUMNS)}


@lru_cache(maxsize=20_000)
def host_cell(host: str) -> str:
    return '"host":' + json.dumps(host, ensure_ascii=False)


@lru_cache(maxsize=20_000)
def generalised(step_deg: float, uncertainty_m: float) -> str:
    """The sentence of dataGeneralizations."""
    return (
        f"Coordinates coarsened to the centre of a {step_deg:g} degree cell "
        f"(within {metres_text(uncertainty_m)}); a finer place is held."
    )


def withheld(step_deg: float, has_cell: bool) -> str:
    """The sentence of informationWithheld. It is the same whatever is held, so that it tells nothing of it."""
    told = "" if has_cell else f" It would be told by a {step_deg:g} degree cell."
    return (
        "The exact place, its words, altitude, foray and trees nearby, the time of day, notes, and photographs that may "
        "show it are kept back." + told
    )


def _datum(place: PlaceOut) -> str:
    return EPSG_4326 if place.datum == WGS84 else place.datum or NO_DATUM


def event_date(on: date | None, at: time | None, offset_minutes: int | None) -> str:
    """ISO 8601: the day; with time where it is known; with its offset from UTC where that is known too."""
    if on is None:
        return ""
    if at is None:
        return on.isoformat()
    if offset_minutes is None:
        return f"{on.isoformat()}T{_time(at)}"
    sign, away = ("-", -offset_minutes) if offset_minutes < 0 else ("+", offset_minutes)
    return f"{on.isoformat()}T{_time(at)}{sign}{away // 60:02d}:{away % 60:02d}"


def _time(at: time) -> str:
    return at.isoformat("seconds" if at.second else "minutes") if not at.microsecond else at.isoformat()


def find_in(row: Mapping[str, str]) -> dict[str, Any]:
    """The values of an occurrence under the ledger's names, those that are told; ValueError names the term that is wrong.

    Numbers, dates and times as such; `found_on` is a date only where the whole day is told. `number` is the collecting
    number as (code, serial, letter), None where it is of another form. `step_deg` is the side of the cell a coarsened
    place was told by. What has no place in the ledger is not here: see `KNOWN_TERMS`.
    """
    latitude, longitude = (
        _number(row, "dwc:decimalLatitude"),
        _number(row, "dwc:decimalLongitude"),
    )
    step = _STEP.search(row.get("dwc:dataGeneralizations", "") + row.get("dwc:informationWithheld", ""))
    number = _NUMBER.fullmatch(row.get("dwc:recordNumber", ""))
    foray = _FORAY.fullmatch(row.get("dwc:parentEventID", ""))
    host = _HOST.search(row.get("dwc:associatedTaxa", ""))
    datum = row.get("dwc:geodeticDatum", "")
    quantity = row.get("dwc:organismQuantity", "")
    is_count = row.get("dwc:organismQuantityType", "") == BODIES and quantity.isdecimal()
    found = {
        "id": row.get("dwc:occurrenceID", ""),
        "number": (number[1], int(number[2]), number[3]) if number else None,
        "kept": row.get("dwc:basisOfRecord", "") not in ("", SEEN, "MachineObservation", "Occurrence"),
        "by": row.get("dwc:recordedBy", ""),
        "by_id": row.get("dwc:recordedByID", ""),
        "changed_at": _moment(row.get("dcterms:modified", "")),
        "fruit_bodies": int(quantity) if is_count else None,
        "host": json.loads(host[1]) if host else "",
        "note": row.get("dwc:occurrenceRemarks", ""),
        "foray": (foray[1], date.fromisoformat(foray[2])) if foray else None,
        "country": row.get("dwc:country", ""),
        "region": row.get("dwc:stateProvince", ""),
        "locality": row.get("dwc:locality", ""),
        "altitude_m": _number(row, "dwc:minimumElevationInMeters"),
        "latitude": latitude,
        "longitude": longitude,
        "datum": WGS84 if datum in ("", EPSG_4326) else "" if datum == NO_DATUM else datum,
        "uncertainty_m": _number(row, "dwc:coordinateUncertaintyInMeters"),
        "position_typed": row.get("dwc:verbatimCoordinates", ""),
        "position_source": _CODE_OF_SOURCE.get(row.get("dwc:georeferenceSources", ""), ""),
        "step_deg": float(step[1]) if step else None,
    }
    return found | _when(row.get("dwc:eventDate", ""))


OF_A_COARSE_PLACE = ("dwc:dataGeneralizations", "dwc:informationWithheld")
"""Come back as `step_deg` where they are ours; what another hand wrote there is kept as words."""
KNOWN_TERMS = frozenset(OCCURRENCE_COLUMNS) - {
    "dwc:catalogNumber",
    "dwc:otherCatalogNumbers",
    "dwc:preparations",
    "dwc:disposition",
    "dwc:materialEntityRemarks",
    "dwc:identificationVerificationStatus",
}
"""Terms whose value comes back by `find_in` and `names_out.name_in`; of the others the ledger has no box, so that
whoever takes them in keeps them beside the find and gives them again as `FindOut.extra`."""


def _number(row: Mapping[str, str], term: str) -> float | None:
    text = row.get(term, "").strip()
    if not text:
        return None
    try:
        # Python alone reads an underscore within a number.
        value = float(text if "_" not in text else "none")
    except ValueError:
        raise ValueError(_no_number(term, text)) from None
    if value != value or value in (float("inf"), float("-inf")):
        raise ValueError(_no_number(term, text))
    return value


def _no_number(term: str, text: str) -> str:
    return say("{term} is {text}, which is no number", term=term.partition(":")[2], text=repr(text[:40]))


def _moment(text: str) -> datetime | None:
    try:
        moment = datetime.fromisoformat(text)
        return moment.astimezone(UTC) if moment.tzinfo else moment.replace(tzinfo=UTC)
    except (ValueError, OverflowError):
        return None


def _when(text: str) -> dict[str, Any]:
    """Day, time and offset of an eventDate; none of them where it tells a span or a part of a day's date."""
    nothing: dict[str, Any] = {"found_on": None, "found_at_time": None, "utc_offset_minutes": None}
    day, mark, clock = text.partition("T")
    try:
        found_on = date.fromisoformat(day) if len(day) == 10 else None
        at = time.fromisoformat(clock) if mark else None
    except ValueError:
        return nothing
    if found_on is None:
        return nothing
    away = at.utcoffset() if at else None
    return {
        "found_on": found_on,
        "found_at_time": at.replace(tzinfo=None) if at else None,
        "utc_offset_minutes": None if away is None else away // timedelta(minutes=1),
    }
