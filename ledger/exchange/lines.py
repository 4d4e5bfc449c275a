"""Rows of an archive as lines of CSV, as fast as a million finds with ten million readings need it. Pure.

What a line says is said by the row of the same name (`occurrence_row`, `name_row`, `fact_rows`): a line is that row with
its cells guarded (`formulas`) and quoted (`tables.quoted`), and what is the same in many lines is made once. So cells of
our own making, such as identities, days and numbers, are not looked at again; those that hold what somebody wrote are.
"""

import json
from collections.abc import Mapping
from functools import lru_cache

from ledger.exchange import measurements
from ledger.exchange.formulas import guarded, guarded_row
from ledger.exchange.names_out import NameOut, name_id, name_row, remarks
from ledger.exchange.occurrence import FindOut, occurrence_row
from ledger.exchange.pairs import LIST
from ledger.exchange.tables import LINE_END, OCCURRENCE_COLUMNS, line_of, number_text, quoted

_KEPT = 20_000  # answers of each kind that are kept
_LONG = 80  # signs; what is longer is seldom written twice
# Columns of the core that never hold anything but identities, moments, numbers or words of ours without a comma; those
# where people write at length; and the collecting number, another with every find. All others are few words, often the same.
_OURS = frozenset(
    {
        *("dwc:occurrenceID", "dwc:basisOfRecord", "dcterms:modified", "dwc:organismQuantity"),
        *("dwc:organismQuantityType", "dwc:eventDate", "dwc:year", "dwc:month", "dwc:day"),
        *("dwc:minimumElevationInMeters", "dwc:maximumElevationInMeters", "dwc:decimalLatitude"),
        *("dwc:decimalLongitude", "dwc:coordinateUncertaintyInMeters", "dwc:coordinatePrecision"),
        *("dwc:identificationID", "dwc:dateIdentified"),
    }
)
_AT_LENGTH = ("dwc:occurrenceRemarks", "dwc:verbatimCoordinates", "dwc:locality", "dwc:identificationRemarks")
_NUMBER = "dwc:recordNumber"
_LONG_TEXTS = [OCCURRENCE_COLUMNS.index(column) for column in _AT_LENGTH]
_NUMBERED = OCCURRENCE_COLUMNS.index(_NUMBER)
_WORDS = [
    place
    for place, column in enumerate(OCCURRENCE_COLUMNS)
    if column not in _OURS and column not in _AT_LENGTH and column != _NUMBER
]


def cell(text: str) -> str:
    """A cell as it stands in a line: no formula, and quoted where it must be.

    >>> cell("=1+1"), cell("by the ford, west"), cell("-2.5")
    ("'=1+1", '"by the ford, west"', '-2.5')
    """
    return _cell(text) if len(text) < _LONG else quoted(guarded(text))


@lru_cache(maxsize=_KEPT)
def _cell(text: str) -> str:
    return quoted(guarded(text))


def occurrence_line(find: FindOut, country_code: str = "") -> str:
    """`occurrence_row` as a line, without its end."""
    cells = occurrence_row(find, country_code)
    if find.extra:
        # Another room may have filled any of them.
        return line_of(guarded_row(cells))[: -len(LINE_END)]
    for place in _WORDS:
        if text := cells[place]:
            cells[place] = _cell(text)
    for place in _LONG_TEXTS:
        if text := cells[place]:
            cells[place] = cell(text)
    number = cells[_NUMBERED]
    if not number.replace(" ", "").isalnum():
        cells[_NUMBERED] = quoted(guarded(number))
    return ",".join(cells)


def name_line(find_id: str, place: int, name: NameOut) -> str:
    """`name_row` as a line."""
    typed, vernacular, taxon, authority, _, _, by, by_id, on, basis, note = name
    said = _said(typed, vernacular, taxon, authority, by, by_id)
    told = cell(remarks(basis, note)) if basis or note else ""
    return f"{find_id},{name_id(find_id, place)},{said},{on},{told}{LINE_END}"


@lru_cache(maxsize=_KEPT)
def _said(typed: str, vernacular: str, taxon: str, authority: str, by: str, by_id: str) -> str:
    """The cells between the identity of an opinion and its day."""
    row = name_row("", 0, NameOut(typed, vernacular, taxon, authority, "", "", by, by_id, "", ""))
    return ",".join([cell(text) for text in row[2:-2]])


def fact_lines(find_id: str, facts: Mapping[str, object]) -> list[str]:
    """`measurements.fact_rows` as lines."""
    lines = []
    for code in measurements.FACT_OF_CODE:
        value = facts.get(code)
        # Nought is told as well; what is None, empty or False is not.
        if value or (value == 0 and value is not False):
            lines.append(f"{find_id},{find_id}{_fact(code, value)}")
    return lines


@lru_cache(maxsize=_KEPT, typed=True)
def _fact(code: str, value: object) -> str:
    (row,) = measurements.fact_rows("", {code: value})
    return line_of(guarded_row(row[1:]))


def trait_cells(trait: str, label: str) -> str:
    """What stands behind the key of the find in measurementID, and the two cells of the trait."""
    return f":{trait},{cell(label)},{cell(trait)},"


def seen_cells(
    looked: str,
    values: str,
    low: float | None,
    high: float | None,
    n: int | None,
    unit: str,
    resolution: float | None,
    typed: str,
    states: str,
    state: str,
    age: str,
) -> tuple[str, str]:
    """Value, accuracy and unit of a reading as they stand in its line, and its remarks. Lists as JSON, parted as
    json.dumps does.
    """
    is_plain = looked == measurements.READ and states == "[]" and low is None and high is None
    if not is_plain or values[1] in "]-" or "e" in values:
        return _seen(looked, values, low, high, n, unit, resolution, typed, states, state, age)
    # Most are plain numbers: their JSON says them as they go out, but for a ".0" at the end.
    seen = values[1:-1] if ".0" not in values else values.replace(".0,", ",").replace(".0]", "]")[1:-1]
    said = _remarks(n, state, age, typed) if n is not None or state or age or typed else ""
    return seen.replace(", ", LIST) + _in_unit(resolution, unit), said


@lru_cache(maxsize=_KEPT)
def _seen(
    looked: str,
    values: str,
    low: float | None,
    high: float | None,
    n: int | None,
    unit: str,
    resolution: float | None,
    typed: str,
    states: str,
    state: str,
    age: str,
) -> tuple[str, str]:
    saw = json.loads(values), low, high, n, unit, resolution, typed, json.loads(states), state, age
    seen, _, _ = measurements.body(looked, *saw)
    told = measurements.remarks_of(looked, n, low, high, state, age, typed)
    return cell(seen) + _in_unit(resolution, unit), cell(told)


@lru_cache(maxsize=_KEPT)
def _in_unit(resolution: float | None, unit: str) -> str:
    return f",{number_text(resolution)},{cell(unit)},"


@lru_cache(maxsize=_KEPT)
def _remarks(n: int | None, state: str, age: str, typed: str) -> str:
    return cell(measurements.remarks_of(measurements.READ, n, None, None, state, age, typed))
