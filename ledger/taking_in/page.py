"""What the page of one file shows: its columns with what they are, what must be asked, and the report."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ledger.taking_in import cells
from ledger.taking_in.columns import DAY, NUMBER, TARGETS, Mapped, proposed, wrong_mapping
from ledger.taking_in.grid import Figure, Grid
from ledger.taking_in.models import State, TakingIn
from ledger.taking_in.report import counted, told_again
from ledger.words import say

SHOWN = 200
_SAMPLES = 3
_LONGEST_SAMPLE = 60


@dataclass(frozen=True, slots=True)
class ShownColumn:
    place: int
    name: str
    chosen: str
    samples: str


@dataclass(frozen=True, slots=True)
class Asked:
    """`orders`: (code, words, how many of the dates it can read); empty where no date needs one. `dates`: how many need
    it. `marks`: whether a number with decimals is there."""

    orders: Sequence[tuple[str, str, int]] = ()
    dates: int = 0
    marks: bool = False
    times: bool = False


def first_mapping(taking: TakingIn, grid: Grid, traits: Mapping[str, str]) -> Mapped:
    """As it was chosen, here or the last time; else as the names of the columns say."""
    mapped = Mapped.from_json(taking.mapped)
    return mapped if mapped.columns else Mapped(proposed(grid.header, traits))


def shown_columns(grid: Grid, mapped: Mapped) -> list[ShownColumn]:
    made = []
    for place, name in enumerate(grid.header):
        filled = dict.fromkeys(row.cells[place] for row in grid.rows if row.cells and row.cells[place])
        samples = " · ".join(text[:_LONGEST_SAMPLE] for text in list(filled)[:_SAMPLES])
        made.append(ShownColumn(place, name, mapped.columns.get(place, ""), samples))
    return made


def asked_of(grid: Grid, mapped: Mapped) -> Asked:
    """What cannot be known from the file: the order of its dates, and its decimal mark."""
    days = [text for text in _texts(grid, mapped, DAY) if cells.needs_order(text)]
    counts = cells.orders_of(days)
    numbers = [
        text
        for text in _texts(grid, mapped, NUMBER) + _texts(grid, mapped, "trait")
        if not isinstance(text, Figure)
    ]
    return Asked(
        orders=[(code, words, counts[code]) for code, words in cells.ORDERS.items()] if days else (),
        dates=len(days),
        marks=bool(cells.decimal_marks(numbers)),
        times="found_at_time" in mapped.columns.values() or any(cells.parted_time(day)[1] for day in days),
    )


def _texts(grid: Grid, mapped: Mapped, kind: str) -> list[str]:
    places = [
        place for place, code in mapped.columns.items() if _kind_of(code) == kind and place < len(grid.header)
    ]
    return [row.cells[place] for row in grid.rows if row.cells for place in places if row.cells[place]]


def _kind_of(code: str) -> str:
    return TARGETS[code].kind if code in TARGETS else "trait"


def wrong_with(mapped: Mapped, grid: Grid, traits: Mapping[str, str]) -> str:
    """Why the file cannot be looked at by this choice, in a sentence; empty where it can."""
    wrong = wrong_mapping(mapped.columns, grid.header, traits)
    if wrong:
        return wrong
    asked = asked_of(grid, mapped)
    if asked.orders and not mapped.order:
        return say(
            "{n} dates are written in figures, and the file does not say in which order. What you chose is kept; choose "
            "the order too.",
            n=asked.dates,
        )
    if asked.marks and not mapped.mark:
        return say(
            "Numbers have decimals, and the file does not say behind which mark. What you chose is kept; choose the mark "
            "too."
        )
    return ""


def shown_report(taking: TakingIn, start: int) -> dict[str, Any]:
    """The lines of a page of the report, wrong ones first, and what they come to."""
    report = taking.report
    if not report:
        return {}
    place = {"wrong": 0, "new": 1, "here": 2}
    lines = sorted(report["lines"], key=lambda line: (place.get(line["state"], 3), line["line"]))
    start = start if 0 <= start < len(lines) else 0
    return {
        "said": counted(report["counts"], dry=taking.state == State.LOOKED_AT),
        "counts": report["counts"],
        "notes": told_again(report["notes"], report.get("notes_said", ())),
        "lines": [_shown_line(line) for line in lines[start : start + SHOWN]],
        "first": start + 1,
        "last": min(start + SHOWN, len(lines)),
        "total": len(lines),
        "before": max(0, start - SHOWN) if start else None,
        "after": start + SHOWN if start + SHOWN < len(lines) else None,
        "can_be_taken_in": not report["counts"]["wrong"] and report["counts"]["new"] > 0,
    }


def _shown_line(line: Mapping[str, Any]) -> dict[str, Any]:
    flags = line["flags"]
    told = told_again([sentence for _, sentence in flags], line.get("flags_said", ()))
    return {
        **line,
        "says": told_again(line["says"], line.get("said", ())),
        "flags": [(severity, sentence) for (severity, _), sentence in zip(flags, told, strict=True)],
    }
