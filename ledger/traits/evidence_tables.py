"""Tables of the weight of evidence out of what is expected of each taxon; see evidence.py for what they are for."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ledger.traits.calibration_values import Calibration
from ledger.traits.expectation import NumberRow, Row, StateRow
from ledger.traits.learning import Constants, Learned, LearnedNumbers, LearnedStates, Spread

# What is kept and sent to the phone: ten-thousandths of a deciban, or so many significant digits.
PER_DECIBAN = 1e4
DIGITS = 6


@dataclass(frozen=True, slots=True)
class StateTable:
    """By taxon (places as in the list of taxa), in decibans: `base` if no state is seen, `step` more for each seen."""

    base: Sequence[float]
    step: Mapping[str, Sequence[float]]


@dataclass(frozen=True, slots=True)
class MonthTable:
    """By month, by taxon: decibans of finding it in that month."""

    step: Mapping[str, Sequence[float]]


@dataclass(frozen=True, slots=True)
class NumberTable:
    """By taxon: ln of the documented top, its distance to the bottom, and the blur. `factor`: decibans per nat, weighted."""

    rows: Sequence[NumberRow]
    factor: float
    pair: float


Table = StateTable | MonthTable | NumberTable


def make_table(
    kind: str, rows: Mapping[int, Row], learned: Learned, factor: float, constants: Constants
) -> Table:
    """The table of one trait from the rows of all taxa, in the order of their places."""
    places = sorted(rows)
    if isinstance(learned, LearnedNumbers):
        return NumberTable([_number_row(rows[p]) for p in places], factor, constants.pair)
    states = list(learned.background)
    entry = month_entry if kind == "months" else state_entry
    entries = [entry(_state_row(rows[p]), learned, factor, constants) for p in places]
    step = {state: [steps[state] for _, steps in entries] for state in states}
    return MonthTable(step) if kind == "months" else StateTable([base for base, _ in entries], step)


def rounded(table: Table) -> Table:
    """The table as it is kept and sent: numbers short enough to be the same in every copy."""
    if isinstance(table, NumberTable):
        rows = [(_short(top), _short(width), _short(blur)) for top, width, blur in table.rows]
        return NumberTable(rows, _short(table.factor), _short(table.pair))
    step = {state: _columns(column) for state, column in table.step.items()}
    return MonthTable(step) if isinstance(table, MonthTable) else StateTable(_columns(table.base), step)


def _columns(column: Sequence[float]) -> list[float]:
    return [to_grid(one, PER_DECIBAN) for one in column]


def to_grid(value: float, per_one: float) -> float:
    """The nearest multiple of 1/per_one, a half upwards, as the phone rounds too."""
    return math.floor(value * per_one + 0.5) / per_one


def _short(value: float) -> float:
    return float(f"{value:.{DIGITS}g}")


def replaced(
    table: Table, kind: str, rows: Mapping[int, Row], learned: Learned, factor: float, constants: Constants
) -> Table:
    """The same table with other rows for some taxa."""
    if isinstance(table, NumberTable):
        numbers = list(table.rows)
        for place, row in rows.items():
            numbers[place] = _number_row(row)
        return NumberTable(numbers, table.factor, table.pair)
    assert isinstance(learned, LearnedStates)
    entry = month_entry if kind == "months" else state_entry
    step = {state: list(column) for state, column in table.step.items()}
    base = [] if isinstance(table, MonthTable) else list(table.base)
    for place, row in rows.items():
        at_base, steps = entry(_state_row(row), learned, factor, constants)
        if base:
            base[place] = at_base
        for state, value in steps.items():
            step[state][place] = value
    return MonthTable(step) if isinstance(table, MonthTable) else StateTable(base, step)


def state_entry(
    row: StateRow, learned: LearnedStates, factor: float, constants: Constants
) -> tuple[float, dict[str, float]]:
    """What a taxon gets when no state is seen, and how much more for each that is."""
    base, steps = 0.0, {}
    for state, chance in row.items():
        usual = learned.background[state]
        missing = constants.absent * math.log((1.0 - chance) / (1.0 - usual))
        base += missing
        steps[state] = factor * (math.log(chance / usual) - missing)
    return factor * base, steps


def month_entry(
    row: StateRow, learned: LearnedStates, factor: float, constants: Constants
) -> tuple[float, dict[str, float]]:
    """The share of the season that a month has, against its share in the seasons of all taxa."""
    season, usual = math.fsum(row.values()), math.fsum(learned.background.values())
    return 0.0, {
        month: factor * math.log(chance / season * usual / learned.background[month])
        for month, chance in row.items()
    }


def learned_from(calibration: Calibration, code: str) -> Learned | None:
    """What was learned of a trait, out of the stored calibration; None where nothing was."""
    measured = calibration.traits.get(code)
    if measured is not None and measured.background:
        return LearnedStates(measured.background, measured.interchange)
    stored = calibration.tables.get("numbers", {}).get(code)
    if stored is None:
        return None
    return LearnedNumbers(Spread(*map(float, stored["top"])), Spread(*map(float, stored["width"])))


def _state_row(row: Row) -> StateRow:
    assert isinstance(row, dict)
    return row


def _number_row(row: Row) -> NumberRow:
    assert isinstance(row, tuple)
    return row
