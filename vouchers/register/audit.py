"""The register held against what it is about: vouchers, parts and the counters of the years. Pure.

The chain alone cannot tell that its last entries are gone once its head was set back; the vouchers can.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from vouchers.register.chain import Head, Row, Trouble, facts_of, verify


@dataclass(frozen=True, slots=True)
class Kept:
    """A voucher as its rows have it: its find's id, whether it is deaccessioned, its parts and whether each is there."""

    find: str
    is_out: bool
    parts: Mapping[str, bool]


@dataclass(frozen=True, slots=True)
class YearCount:
    """A year's counter: the last serial given under that prefix."""

    prefix: str
    year: int
    last_serial: int


@dataclass(slots=True)
class _Told:
    """A voucher as the entries tell it; `entry` is the last one about it."""

    entry: int
    find: str
    is_out: bool = False
    parts: dict[str, bool] = field(default_factory=dict)


def audit(
    rows: Sequence[Row], head: Head, vouchers: Mapping[str, Kept], years: Iterable[YearCount]
) -> Trouble | None:
    """Return the first bad entry, or None: the chain first, then what it tells against *vouchers*, by accession number.

    A voucher without an entry is told under the number that its entry would have had at least: one after the last.
    """
    if trouble := verify(rows, head):
        return trouble
    told: dict[str, _Told] = {}
    for row in rows:
        if trouble := _tell(told, row):
            return trouble
    found = [
        trouble for number, one in told.items() if (trouble := _compare(number, one, vouchers.get(number)))
    ]
    if found:
        return min(found, key=lambda trouble: trouble.number)
    if untold := sorted(vouchers.keys() - told.keys()):
        return Trouble(
            len(rows) + 1,
            untold[0],
            "It is missing: the voucher is there, and no entry tells of its accession.",
        )
    return _gaps(told, years, len(rows))


def _tell(told: dict[str, _Told], row: Row) -> Trouble | None:
    """Carry one entry over into what is told so far."""
    facts = facts_of(row)
    number = row.accession_number
    if row.kind == "accession":
        if number in told:
            return Trouble(row.number, number, f"The number was given before, by entry {told[number].entry}.")
        told[number] = _Told(row.number, str(facts.get("find")), parts={number: True})
        return None
    one = told.get(number)
    if one is None:
        return Trouble(row.number, number, "No entry before it tells of the accession of that number.")
    one.entry = row.number
    if row.kind == "part made":
        one.parts[str(facts.get("part"))] = True
    elif row.kind == "part ended":
        one.parts[str(facts.get("part"))] = False
    elif row.kind in ("deaccession", "split", "taken back"):
        one.is_out = row.kind == "deaccession" or (one.is_out and row.kind != "taken back")
        one.parts |= dict.fromkeys(_listed(facts), row.kind == "taken back")
    return None


def _listed(facts: Mapping[str, Any]) -> list[str]:
    return [str(part) for part in facts.get("parts", [])]


def _compare(number: str, told: _Told, kept: Kept | None) -> Trouble | None:
    def wrong(why: str) -> Trouble:
        return Trouble(told.entry, number, why)

    if kept is None:
        return wrong("The register tells of this voucher, and it is not in the collection's rows.")
    if kept.find != told.find:
        return wrong("The voucher is of another find than the register tells.")
    if kept.is_out != told.is_out:
        return wrong(
            "The voucher is deaccessioned, and no entry tells of it."
            if kept.is_out
            else "The register tells of its deaccession, and the voucher is in the collection."
        )
    for part in sorted(kept.parts.keys() | told.parts.keys()):
        if part not in kept.parts:
            return wrong(f"The register tells of the part {part}, which is not in the collection's rows.")
        if part not in told.parts:
            return wrong(f"The part {part} is there, and no entry tells of it.")
        if kept.parts[part] != told.parts[part]:
            is_there = "there" if kept.parts[part] else "ended"
            return wrong(f"The part {part} is {is_there}, and the register tells otherwise.")
    return None


def _gaps(told: Mapping[str, _Told], years: Iterable[YearCount], count: int) -> Trouble | None:
    """A number of a year that nothing tells of, or one beyond its counter: the row of numbers has no gap and no surplus."""
    counters = {(year.prefix, year.year): year.last_serial for year in years}
    given: dict[tuple[str, int], dict[int, str]] = {key: {} for key in counters}
    for number in told:
        prefix, _, rest = number.rpartition(" ")
        year, _, serial = rest.partition("-")
        given.setdefault((prefix, int(year)), {})[int(serial)] = number
    for key, numbers in sorted(given.items()):
        last = counters.get(key, 0)
        if missing := sorted(set(range(1, last + 1)) - numbers.keys()):
            return Trouble(
                count + 1,
                "",
                f"It is missing: number {missing[0]} of {key[0]} {key[1]} was given; no entry tells.",
            )
        if beyond := sorted(serial for serial in numbers if serial > last):
            number = numbers[beyond[0]]
            return Trouble(
                told[number].entry,
                number,
                f"The counter of {key[0]} {key[1]} stands at {last}, before this number.",
            )
    return None
