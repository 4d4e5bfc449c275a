"""Readings, and what else of a find has no column of its own, as rows of MeasurementOrFact; and back. Pure.

A reading is one row. `measurementValue` is what was seen, for whoever wants the number or the word: replicates and
states as a list, low and high alone as `4-5`. `measurementAccuracy` is the resolution of the instrument in the same
unit. What else belongs to the reading stands in `measurementRemarks` (`KEYS`), so that it comes back to the last digit.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from ledger.exchange.pairs import LIST, joined, parted
from ledger.exchange.tables import number_text

READ, NOT_LOOKED = "read", "not looked"
KEYS = ("looked", "n", "low", "high", "specimen", "age", "typed")
FACT = "find:"
"""Before the code of what is no trait, in `verbatimMeasurementType`: `find:height_m`."""


class ReadingOut(NamedTuple):
    """One reading as the ledger holds it; numbers in `unit`, `by` as its reader agreed to be named, `on` an ISO day."""

    trait: str
    looked: str
    values: Sequence[float]
    low: float | None
    high: float | None
    n: int | None
    unit: str
    resolution: float | None
    typed: str
    states: Sequence[str]
    state: str
    age: str
    by: str = ""
    on: str = ""


@dataclass(frozen=True, slots=True)
class Fact:
    """Something told of a find that Darwin Core has no column for. `tells_place`: left out where the place is kept
    back.
    """

    code: str
    label: str
    unit: str = ""
    kind: type = str
    tells_place: bool = False


FACTS = (
    Fact("host_known_by", "Host known by"),
    Fact("trees_nearby", "Trees nearby", tells_place=True),
    Fact("wood_position", "Where on the wood"),
    Fact("height_m", "Height on the tree", "m", float),
    Fact("diameter_cm", "Diameter of the wood", "cm", float),
    Fact("decay_scale", "Scale of decay"),
    Fact("decay_class", "Decay class of the wood"),
    Fact("facing_deg", "Cap faces, degrees from north", "deg", float),
    Fact("smell", "Smell"),
    Fact("specimen_state", "Specimen"),
    Fact("specimen_age", "Age of the specimen"),
    Fact("keyed_at_table", "Keyed at the foray table", kind=bool),
    Fact("utc_offset_minutes", "Offset from UTC, the time of day not being known", "min", int),
)
FACT_OF_CODE: Mapping[str, Fact] = {fact.code: fact for fact in FACTS}


def reading_row(find_id: str, reading: ReadingOut, label: str) -> list[str]:
    """The row of a reading; `label` is what its trait is called."""
    trait, looked, values, low, high, n, unit, resolution, typed, states, state, age, by, on = reading
    return [
        find_id,
        f"{find_id}:{trait}",
        label,
        trait,
        *body(looked, values, low, high, n, unit, resolution, typed, states, state, age),
        by,
        on,
        "",
        remarks_of(looked, n, low, high, state, age, typed),
    ]


def body(
    looked: str,
    values: Sequence[float],
    low: float | None,
    high: float | None,
    n: int | None,
    unit: str,
    resolution: float | None,
    typed: str,
    states: Sequence[str],
    state: str,
    age: str,
) -> tuple[str, str, str]:
    """Value, accuracy and unit of a reading."""
    if looked != READ:
        seen = "" if looked == NOT_LOOKED else looked
    elif states:
        seen = LIST.join(states)
    elif values:
        seen = LIST.join([number_text(value) for value in values])
    else:
        seen = _range(low, high)
    return seen, number_text(resolution), unit


def _range(low: float | None, high: float | None) -> str:
    if low is not None and high is not None:
        return f"{number_text(low)}-{number_text(high)}"
    if low is not None:
        return f"≥{number_text(low)}"
    return "" if high is None else f"≤{number_text(high)}"


def remarks_of(
    looked: str, n: int | None, low: float | None, high: float | None, state: str, age: str, typed: str
) -> str:
    return joined(
        {
            "looked": "" if looked == READ else looked,
            "n": "" if n is None else str(n),
            "low": number_text(low),
            "high": number_text(high),
            "specimen": state,
            "age": age,
            "typed": typed,
        }
    )


def reading_in(row: Mapping[str, str]) -> ReadingOut | None:
    """The reading of a row by short terms, None where it is no trait's. Raises ValueError for a number that is none."""
    trait = row.get("dwc:verbatimMeasurementType", "")
    if not trait or trait.startswith(FACT):
        return None
    told = parted(row.get("dwc:measurementRemarks", ""), KEYS)
    looked = told.get("looked", READ)
    low, high = _float(told.get("low")), _float(told.get("high"))
    values, states = _seen(row.get("dwc:measurementValue", ""), looked, _range(low, high))
    return ReadingOut(
        trait=trait,
        looked=looked,
        values=values,
        low=low,
        high=high,
        n=int(told["n"]) if told.get("n") else None,
        unit=row.get("dwc:measurementUnit", ""),
        resolution=_float(row.get("dwc:measurementAccuracy")),
        typed=told.get("typed", ""),
        states=states,
        state=told.get("specimen", ""),
        age=told.get("age", ""),
        by=row.get("dwc:measurementDeterminedBy", ""),
        on=row.get("dwc:measurementDeterminedDate", ""),
    )


def _seen(cell: str, looked: str, ends: str) -> tuple[tuple[float, ...], tuple[str, ...]]:
    """Replicates or states. Whether a list is of numbers is seen by its first: codes of states begin with a letter."""
    if looked != READ or cell in ("", ends):
        return (), ()
    parts = cell.split(LIST)
    if parts[0][:1].isalpha():
        return (), tuple(parts)
    return tuple(float(part) for part in parts), ()


def fact_rows(find_id: str, facts: Mapping[str, object]) -> Iterator[list[str]]:
    """The rows of facts by code (`FACTS`); what is None, empty or False has none."""
    for fact in FACTS:
        value = facts.get(fact.code)
        if value is None or value == "" or value is False:
            continue
        told = "yes" if value is True else number_text(value) if isinstance(value, float) else str(value)
        yield [
            find_id,
            f"{find_id}:{FACT}{fact.code}",
            fact.label,
            FACT + fact.code,
            told,
            "",
            fact.unit,
            "",
            "",
            "",
            "",
        ]


def fact_in(row: Mapping[str, str]) -> tuple[str, object] | None:
    """Code and value of a fact, None where the row is none of ours."""
    code = row.get("dwc:verbatimMeasurementType", "").removeprefix(FACT)
    fact = FACT_OF_CODE.get(code)
    if fact is None or row["dwc:verbatimMeasurementType"] == code:
        return None
    value = row.get("dwc:measurementValue", "")
    return code, value == "yes" if fact.kind is bool else fact.kind(value)


def _float(text: str | None) -> float | None:
    return float(text) if text else None
