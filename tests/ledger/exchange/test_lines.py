"""The quick lines say what the rows of the same name say, for every text and every number."""

import csv
import io
import json
from datetime import date, time

from hypothesis import given
from hypothesis import strategies as st

from ledger.exchange.formulas import guarded_row
from ledger.exchange.lines import (
    cell,
    fact_lines,
    name_line,
    occurrence_line,
    seen_cells,
    trait_cells,
)
from ledger.exchange.measurements import FACTS, ReadingOut, fact_rows, reading_row
from ledger.exchange.names_out import NameOut, name_row
from ledger.exchange.occurrence import FindOut, PlaceOut, occurrence_row
from ledger.exchange.tables import LINE_END, OCCURRENCE_COLUMNS

KEY = "0f3c2f2e-5d3c-4a52-9a57-3f6f2f0b7c11"
TEXT = st.one_of(
    st.text(st.sampled_from("=+-@'\t\r\n;, \"|\\a5é＝\u00a0"), max_size=8),
    st.text(st.characters(exclude_categories=["Cs"]), max_size=100),
)
FLOATS = st.floats(allow_nan=False, allow_infinity=False)
# Answers are kept by value, and no measure is minus nought.
NUMBER = st.one_of(FLOATS, st.integers(-9, 99), st.just(1e-05)).map(lambda number: number + 0.0)
MAYBE = st.one_of(st.none(), NUMBER)
DAYS = st.dates(date(1900, 1, 1))
ISO = st.one_of(st.just(""), DAYS.map(date.isoformat))
NAMES = st.builds(NameOut, TEXT, TEXT, TEXT, TEXT, TEXT, TEXT, TEXT, TEXT, ISO, TEXT, TEXT)
WORDS = (TEXT, TEXT, TEXT, TEXT, TEXT, TEXT, ISO, TEXT)
ERRORS = st.floats(1, 1e6)
SIDES = st.sampled_from([1.0, 0.1, 0.01, 0.001])
PLACES = st.one_of(
    st.builds(PlaceOut, MAYBE, MAYBE, TEXT, st.one_of(st.none(), ERRORS), MAYBE, *WORDS, st.none()),
    # A place that is told as a cell has an error always.
    st.builds(PlaceOut, MAYBE, MAYBE, TEXT, ERRORS, MAYBE, *WORDS, SIDES),
)
EXTRA = st.one_of(
    st.just({}), st.dictionaries(st.sampled_from(OCCURRENCE_COLUMNS), TEXT, min_size=1, max_size=3)
)
FINDS = st.builds(
    FindOut,
    *(st.just(KEY), TEXT, st.booleans(), st.just("2026-10-04T18:30:15Z"), st.one_of(st.none(), DAYS)),
    *(st.one_of(st.none(), st.times(), st.just(time(14, 15))), st.one_of(st.none(), st.integers(-720, 840))),
    *(TEXT, TEXT, st.one_of(st.none(), st.integers(0, 500)), TEXT, PLACES, st.one_of(st.none(), NAMES)),
    *(st.integers(1, 9), st.booleans(), EXTRA),
)


def written(cells: list[str]) -> str:
    """The line that csv.writer makes of the row, guarded."""
    out = io.StringIO(newline="")
    csv.writer(out, lineterminator=LINE_END).writerow(guarded_row(cells))
    return out.getvalue()


@given(FINDS, TEXT)
def test_the_line_of_a_find_is_its_row(find: FindOut, country_code: str) -> None:
    assert occurrence_line(find, country_code) + LINE_END == written(occurrence_row(find, country_code))


@given(NAMES)
def test_the_line_of_a_name_is_its_row(name: NameOut) -> None:
    assert name_line(KEY, 2, name) == written(name_row(KEY, 2, name))


@given(
    st.fixed_dictionaries(
        {
            fact.code: {str: TEXT, float: MAYBE, bool: st.booleans(), int: st.one_of(st.none(), st.just(60))}[
                fact.kind
            ]
            for fact in FACTS
        }
    )
)
def test_the_lines_of_facts_are_their_rows(facts: dict[str, object]) -> None:
    assert fact_lines(KEY, facts) == [written(row) for row in fact_rows(KEY, facts)]


def test_a_fact_that_is_one_and_one_that_is_yes_are_told_apart() -> None:
    assert fact_lines(KEY, {"keyed_at_table": True})[0].split(",")[4] == "yes"
    assert fact_lines(KEY, {"height_m": 1.0})[0].split(",")[4] == "1"


READINGS = st.builds(
    ReadingOut,
    *(st.just("cap_width"), st.sampled_from(["read", "not looked", "cannot say", "absent"])),
    *(st.lists(NUMBER, max_size=4), MAYBE, MAYBE, st.one_of(st.none(), st.integers(1, 40))),
    *(st.sampled_from(["", "mm", "1/mm"]), MAYBE, TEXT, st.lists(st.sampled_from(["pores", "white rot"]))),
    *(st.sampled_from(["", "fresh"]), st.sampled_from(["", "old"])),
    *(st.just("Ada, Oak"), st.just("2026-10-03")),
)


@given(READINGS)
def test_the_cells_of_a_reading_are_those_of_its_row(reading: ReadingOut) -> None:
    trait, looked, values, low, high, n, unit, resolution, typed, states, state, age, by, on = reading
    saw = (json.dumps(values), low, high, n, unit, resolution, typed, json.dumps(states), state, age)
    seen, remarks = seen_cells(looked, *saw)
    line = f"{KEY},{KEY}{trait_cells(trait, 'Cap width')}{seen}{cell(by)},{on},,{remarks}{LINE_END}"
    assert line == written(reading_row(KEY, reading, "Cap width"))
