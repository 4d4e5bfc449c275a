"""Rows of a table whose columns somebody named, read by the same forms as what is typed on the log page."""

import re
import uuid
from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC, datetime, time, timedelta, timezone
from typing import Any

from django.http import QueryDict

from ledger.exchange.tables import number_text
from ledger.finds.entries import FindEntry, NameGiven, NumberOnPacket, ReadingEntry, reading_text
from ledger.finds.forms import FindForm
from ledger.finds.forms_readings import ReadingsForm
from ledger.phone.numbers import MOST_SERIAL
from ledger.places.position import Position
from ledger.places.precision import stated_up, uncertainty_from_precision_m
from ledger.taking_in import cells
from ledger.taking_in.columns import (
    CLOCK,
    DAY,
    NO,
    NOTE,
    NUMBER,
    PLACE_KEPT_BACK,
    TARGETS,
    TRAIT,
    YES,
    Mapped,
    label_of,
    row_digest,
)
from ledger.taking_in.drafts import Draft, NameThere, WrongLine, find_id_of
from ledger.taking_in.form_sentences import sentence_of_box, without_kept
from ledger.taking_in.gpx import Waypoint, match
from ledger.taking_in.grid import Figure, Grid, GridRow
from ledger.taking_in.units_named import other_units
from ledger.taxa.queries import vocabulary
from ledger.words import say, sentence_of, together

_NUMBER = re.compile(r"([A-Za-z]{1,6})[ .\-]?(\d{1,9})([A-Za-z]{0,2})", re.ASCII)
_IN_FORM = frozenset(
    {
        *(
            "datum",
            "locality",
            "position_typed",
            "host",
            "trees_nearby",
            "smell",
            "permission",
            "note",
            "basis",
        ),
        *("determiner_name", "name_typed"),
    }
)
# What is kept back by a word of the table and no more is told in cells of some 11 km.
_STEP_DEG = 0.1


def drafts_of(grid: Grid, mapped: Mapped, points: Sequence[Waypoint] = ()) -> Iterator[Draft | WrongLine]:
    """Every row as a draft, or what is wrong with it."""
    traits = {code: trait.label for code, trait in vocabulary().traits.items()}
    units = other_units(mapped.columns, grid.header, vocabulary().traits)
    for row in grid.rows:
        if row.wrong:
            yield WrongLine(row.line, [row.wrong])
            continue
        yield _draft(row, grid.header, mapped, points, traits, units)


def _draft(
    row: GridRow,
    header: Sequence[str],
    mapped: Mapped,
    points: Sequence[Waypoint],
    traits: Mapping[str, str],
    units: Mapping[str, str],
) -> Draft | WrongLine:
    told = {code: row.cells[place] for place, code in mapped.columns.items() if place < len(row.cells)}
    told |= _notes(row, header, mapped)
    wrong: list[str] = []
    says: list[str] = []
    kept: dict[str, Any] = {}
    if month := cells.read_month(told.get("found_on", "")):
        says.append(
            say(
                "“{text}” is no single day; it is kept beside the find, whose day stays empty.",
                text=told.pop("found_on"),
            )
        )
        year, number_of_month = month.split("-")
        kept["terms"] = {"dwc:eventDate": month, "dwc:year": year, "dwc:month": str(int(number_of_month))}
    read = {code: _read(code, text, mapped, traits, wrong) for code, text in told.items() if text}
    _time_beside_day(told, read, mapped, wrong)
    digest = row_digest(header, row.cells)
    identity = read.get("identity") or f"row:{digest}"
    if points:
        _match(read, points, mapped, says)
    record, name, readings = _by_the_forms(read, told, mapped, units, wrong, says)
    number = _number(str(read.get("number", "")), says)
    if wrong:
        return WrongLine(row.line, wrong)
    if read.get("number") and number is None:
        kept.setdefault("terms", {})["dwc:otherCatalogNumbers"] = str(read["number"])
    names = []
    if name.typed:
        by = str(read.get("determiner_name", "")) or str(read.get("finder", ""))
        on = read.get("determined_on") or (None if "determiner_name" in read else name.determined_on)
        given = NameGiven(
            typed=name.typed,
            taxon=name.taxon,
            qualifier=name.qualifier,
            vernacular_typed=name.vernacular_typed,
            determined_on=on,
            basis=name.basis,
        )
        names.append(NameThere(given, by, is_current=True))
        if name.taxon is None:
            says.append(
                say("“{name}” is no name that is known here; it is kept as written.", name=name.typed[:60])
            )
    if readings:
        says.append(_in_words(readings))
    foray = str(read.get("foray", ""))
    return Draft(
        line=row.line,
        id=find_id_of(identity),
        identity=identity[:300],
        digest=digest,
        entry=FindEntry(record=record, readings=readings, number=number),
        finder=str(read.get("finder", "")),
        names=names,
        foray=(foray, None) if foray else None,
        kept=kept,
        says=says,
    )


def _read(code: str, text: str, mapped: Mapped, traits: Mapping[str, str], wrong: list[str]) -> Any:
    target = TARGETS.get(code)
    try:
        if target is None:
            return text
        if target.kind == DAY:
            return cells.read_day(text, mapped.order)
        if target.kind == CLOCK:
            return cells.read_clock(text)
        if target.kind == NUMBER:
            return cells.read_number(text, cells.mark_of(text, mapped.mark))
        if code in ("kept", PLACE_KEPT_BACK):
            plain = text.casefold()
            if plain not in YES | NO:
                raise cells.CellError(say("“{text}” is neither yes nor no", text=text[:40]))
            return plain in YES
        if code == "identity" and len(text) > 300:
            raise cells.CellError(say("it has more than {most} letters", most=300))
        if code == "finder" and len(text) > 120:
            raise cells.CellError(say("it has more than {most} letters", most=120))
    except cells.CellError as problem:
        wrong.append(say("{label}: {problem}.", label=label_of(code, traits), problem=sentence_of(problem)))
        return None
    return text


def _time_beside_day(told: Mapping[str, str], read: dict[str, Any], mapped: Mapped, wrong: list[str]) -> None:
    """A day with its time in one cell, as programs write them."""
    if "found_on" in read and not told.get("found_at_time"):
        _, clock = cells.parted_time(told["found_on"])
        # At midnight sharp it is a program that wrote a day.
        if clock and clock.strip("0:.") != "":
            try:
                read["found_at_time"] = cells.read_clock(clock.partition(".")[0])
            except cells.CellError as problem:
                label = TARGETS["found_on"].label
                wrong.append(say("{label}: {problem}.", label=label, problem=sentence_of(problem)))
    if read.get("found_at_time") is not None and mapped.offset_minutes is not None:
        read["utc_offset_minutes"] = mapped.offset_minutes


def _match(read: dict[str, Any], points: Sequence[Waypoint], mapped: Mapped, says: list[str]) -> None:
    """Give a find without a position that of its waypoint."""
    if read.get("position_typed") or read.get("latitude") is not None:
        says.append(say("It has a position of its own, so no waypoint was asked."))
        return
    day, clock = read.get("found_on"), read.get("found_at_time")
    if day is None or clock is None:
        says.append(say("It lacks its day or time, so no waypoint was matched."))
        return
    away = timezone(timedelta(minutes=mapped.offset_minutes or 0))
    try:
        at = datetime.combine(day, clock, away).astimezone(UTC)
    except OverflowError:
        says.append(say("Its day is beyond the calendar, so no waypoint was matched."))
        return
    found = match(points, at, timedelta(minutes=mapped.within_minutes))
    if found.point is None:
        says.append(say("No position: {why}.", why=found.why))
        return
    point = found.point
    read["latitude"], read["longitude"] = point.latitude, point.longitude
    if read.get("altitude_m") is None and point.altitude_m is not None:
        read["altitude_m"] = round(point.altitude_m, 1)
    minutes = round(found.away.total_seconds() / 60)
    says.append(
        say(
            "Position of waypoint {name}, {n} minutes apart."
            if minutes
            else "Position of waypoint {name}, of the same minute.",
            name=point.name or say("without a name"),
            n=minutes,
        )
    )


def _by_the_forms(
    read: Mapping[str, Any],
    told: Mapping[str, str],
    mapped: Mapped,
    units: Mapping[str, str],
    wrong: list[str],
    says: list[str],
) -> tuple[dict[str, Any], NameGiven, Sequence[ReadingEntry]]:
    data = QueryDict(mutable=True)
    data["find_id"] = str(uuid.UUID(int=0))
    for code, value in read.items():
        if value is None:
            continue
        if code in _IN_FORM:
            data[code] = value
        elif code in ("uncertainty_m", "altitude_m", "height_m", "diameter_cm", "fruit_bodies"):
            data[code] = number_text(value)
        elif code == "found_on":
            data[code] = value.isoformat()
        elif code == "found_at_time":
            data[code] = value.strftime("%H:%M:%S") if isinstance(value, time) else str(value)
        elif code == "utc_offset_minutes":
            data[code] = str(value)
        elif code.startswith(TRAIT):
            _trait(data, code.removeprefix(TRAIT), value, mapped, units, wrong)
    if read.get("kept", True):
        data["kept"] = "on"
    if read.get(PLACE_KEPT_BACK):
        data["own_blur_step_deg"] = str(_STEP_DEG)
    latitude, longitude = read.get("latitude"), read.get("longitude")
    for code, value, most in (("latitude", latitude, 90), ("longitude", longitude, 180)):
        if value is not None and abs(value) > most:
            wrong.append(
                say(
                    "{label}: {value} is beyond {most} degrees. See whether latitude and longitude stand in each other's "
                    "column, or a point is missing.",
                    label=TARGETS[code].label,
                    value=told.get(code) or number_text(value),
                    most=most,
                )
            )
            return {}, NameGiven(), ()
    if (latitude is None) != (longitude is None) and "latitude" in told and not wrong:
        wrong.append(say("Of latitude and longitude only one is there. Fill in the other, or empty both."))
    form = FindForm(data)
    readings = ReadingsForm(vocabulary(), data)
    if not form.is_valid():
        for name, errors in form.errors.as_data().items():
            label = TARGETS[name].label if name in TARGETS else name
            wrong.extend(
                say(
                    "{label}: {problem} Where a whole column is so, choose Place in words or Note for it."
                    if name == "position_typed"
                    else "{label}: {problem}",
                    label=label,
                    problem=without_kept(sentence_of_box(error)),
                )
                for error in errors
            )
        return {}, NameGiven(), ()
    wrong.extend(without_kept(error) for error in readings.errors.values())
    record = form.record
    record.pop("foray", None)
    for name in ("region", "country"):
        if read.get(name):
            value = str(read[name])
            if len(value) > (120 if name == "region" else 80):
                wrong.append(say("{label}: it is longer than the box.", label=TARGETS[name].label))
            record[name] = value
    place = form.place
    if latitude is not None and longitude is not None:
        # Of two columns, as the file has them; the form's own reading is of what a person types in one.
        place = _place_of(latitude, longitude, told)
        record["position_source"] = "typed"
        record["latitude"], record["longitude"] = latitude, longitude
        record["uncertainty_m"] = place.with_stated_error(record["uncertainty_m"]).uncertainty_m
    _tell_wider(form.cleaned_data["uncertainty_m"], place, says)
    return record, form.name, readings.entries


def _place_of(latitude: float, longitude: float, told: Mapping[str, str]) -> Position:
    """The place of two columns, with what its digits leave open. A device's position has no digits that tell: neither a
    waypoint's nor one that a workbook holds as numbers, and no error is made of them."""
    north, east = told.get("latitude", ""), told.get("longitude", "")
    if not north or not east or isinstance(north, Figure) or isinstance(east, Figure):
        return Position(latitude=latitude, longitude=longitude)
    least_m = stated_up(
        uncertainty_from_precision_m(
            latitude=latitude,
            precision_deg=cells.last_digit(north),
            longitude_precision_deg=cells.last_digit(east),
        )
    )
    return Position(
        latitude=latitude, longitude=longitude, uncertainty_m=least_m, least_uncertainty_m=least_m
    )


def _tell_wider(stated_m: float | None, place: Position | None, says: list[str]) -> None:
    """Say where the error is kept wider than it is stated, as it is of a place that somebody types."""
    least_m = place.least_uncertainty_m if place else None
    if stated_m and least_m and stated_m < least_m:
        says.append(
            say(
                "Its error is stated as {stated} m, but the digits of its position leave {least} m open; that is kept as "
                "its error. Where more digits are known, put them into the file and give it again.",
                stated=number_text(stated_m),
                least=number_text(least_m),
            )
        )


def _notes(row: GridRow, header: Sequence[str], mapped: Mapped) -> dict[str, str]:
    """The note, of several columns each under its name."""
    places = sorted(
        place for place, code in mapped.columns.items() if code == NOTE and place < len(row.cells)
    )
    if len(places) < 2:
        return {}
    return {NOTE: "\n".join(f"{header[place]}: {row.cells[place]}" for place in places if row.cells[place])}


def _trait(
    data: QueryDict, code: str, text: str, mapped: Mapped, units: Mapping[str, str], wrong: list[str]
) -> None:
    """What stands in a cell, as the boxes of the trait."""
    trait = vocabulary().traits[code]
    plain = text.strip().casefold()
    looked = {said.casefold(): word for word in ("absent", "cannot say") for said in (say(word), word)}
    if plain in looked:
        data[f"r-{code}-looked"] = looked[plain]
    elif trait.kind == "number":
        try:
            data[f"r-{code}-unit"] = units.get(code, "")
            data[f"r-{code}-line"] = cells.measured(text, cells.mark_of(text, mapped.mark))
        except cells.CellError as problem:
            wrong.append(say("{label}: {problem}.", label=say(trait.label), problem=sentence_of(problem)))
    else:
        # As the reader is told them too; the ledger's own words go before.
        by_word = {say(state.label).casefold(): state.code for state in trait.states}
        by_word |= {
            word.casefold(): state.code for state in trait.states for word in (state.label, state.code)
        }
        words = [word.strip() for word in re.split(r"[;|,]", text) if word.strip()]
        strange = next((word for word in words if word.casefold() not in by_word), None)
        if strange is not None:
            wrong.append(
                say(
                    "{label}: “{text}” is no state of it. Known are {known}.",
                    label=say(trait.label),
                    text=strange[:40],
                    known=together([say(state.label) for state in trait.states], ", "),
                )
            )
            return
        data.setlist(f"r-{code}-states", [by_word.get(word.casefold(), word) for word in words])


def _in_words(readings: Sequence[ReadingEntry]) -> str:
    """The readings of a line as they were read, for whoever looks at it before it is taken in."""
    known = vocabulary().traits
    told = [
        say(
            "{label}: {reading}",
            label=say(known[one.trait].label),
            reading=reading_text(one, known[one.trait]),
        )
        for one in readings
    ]
    return together([together(told, "; "), "."], "")


def _number(text: str, says: list[str]) -> NumberOnPacket | None:
    found = _NUMBER.fullmatch(text.strip())
    if found and 1 <= int(found[2]) <= MOST_SERIAL:
        return NumberOnPacket(found[1].upper(), int(found[2]), found[3].upper())
    if text.strip():
        says.append(
            say(
                "“{text}” is no collecting number of this form; it is kept beside the find, which gets the next.",
                text=text.strip()[:40],
            )
        )
    return None
