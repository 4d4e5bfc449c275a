"""The geometry of a range strip: documented ranges of a few taxa on one axis, and a reading across them.

Everything is in per cent of the axis, so that a drawing keeps its text at the reader's size whatever its width.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ledger.traits.ranges import DocumentedRange, judges
from ledger.traits.reference import Reference
from ledger.traits.units import number_text
from ledger.words import later, say, say_n, together

UNIT_WORDS = {"mm": "mm", "um": "µm", "1/mm": later("per mm"), "month": later("month")}

_WANTED_TICKS = 4


@dataclass(frozen=True, slots=True)
class Reach:
    """What a reading covers, in the trait's unit: the values themselves and their expanded uncertainty.

    For a trait compared by its mean, low and high are both the mean.
    """

    low: float
    high: float
    uncertainty: float = 0.0


@dataclass(frozen=True, slots=True)
class Bar:
    """One source's range: `x` and `width` in per cent. An open end means that the source does not judge that side."""

    x: float
    width: float
    open_low: bool
    open_high: bool
    doubtful: bool
    binding: bool
    source_id: str


@dataclass(frozen=True, slots=True)
class StripRow:
    """One taxon: its sources' bars laid over one another, and a thin line out to the extremes."""

    taxon: str
    short: str
    named: bool
    bars: tuple[Bar, ...]
    extreme_x: float | None
    extreme_end: float | None
    text: str


@dataclass(frozen=True, slots=True)
class Tick:
    x: float
    text: str
    anchor: str


@dataclass(frozen=True, slots=True)
class Mark:
    """The reading: one or two lines, and the band of its uncertainty."""

    lines: tuple[float, ...]
    band_x: float
    band_width: float
    text: str


@dataclass(frozen=True, slots=True)
class Strip:
    """A whole range strip. `sentence` says in words what the drawing shows."""

    trait: str
    label: str
    unit: str
    rows: tuple[StripRow, ...]
    ticks: tuple[Tick, ...]
    mark: Mark | None
    sentence: str


def strip_for(
    reference: Reference,
    trait: str,
    taxa: Sequence[str],
    *,
    reading: Reach | None = None,
    named: str | None = None,
    state: str | None = None,
    age: str | None = None,
) -> Strip | None:
    """Return the strip of a measured trait for `taxa` in their order, or None where nothing can be drawn.

    Rows that cannot judge a specimen in that state and age are left out, as the check leaves them out.
    """
    known = reference.vocabulary.traits.get(trait)
    if known is None or known.kind != "number":
        return None
    documented = [
        (
            taxon,
            tuple(
                row
                for row in reference.ranges_for(taxon, trait)
                if (row.lowest is not None or row.highest is not None)
                and judges(row.condition, state, age) != "no"
            ),
        )
        for taxon in taxa
    ]
    return draw_strip(trait, known.label, known.unit or "", documented, reading=reading, named=named)


def draw_strip(
    trait: str,
    label: str,
    unit: str,
    documented: Iterable[tuple[str, Sequence[DocumentedRange]]],
    *,
    reading: Reach | None = None,
    named: str | None = None,
) -> Strip | None:
    """Lay ranges and reading on one axis. Taxa without a range get no row; without any row there is no strip."""
    shown = [(taxon, rows) for taxon, rows in documented if rows]
    if not shown:
        return None
    ends = [b for _, rows in shown for r in rows for b in (r.low_extreme, r.low, r.high, r.high_extreme)]
    numbers = [b for b in ends if b is not None]
    if reading is not None:
        numbers.append(reading.high + reading.uncertainty)
    top, step = _axis(max(numbers))
    word = say(UNIT_WORDS.get(unit, unit))
    label = say(label)
    rows = tuple(_row(taxon, ranges, taxon == named, top, word) for taxon, ranges in shown)
    mark = _mark(reading, top, word) if reading is not None else None
    told = [f"{label}, {word}."]
    if mark:
        told.append(say("Your reading: {reading}.", reading=mark.text))
    told += [f"{row.taxon}: {row.text}." for row in rows]
    return Strip(trait, label, word, rows, _ticks(top, step), mark, " ".join(told))


def short_name(taxon: str) -> str:
    """`Trametes versicolor` as `T. versicolor`; a name of one word stays whole."""
    genus, _, rest = taxon.partition(" ")
    return f"{genus[0]}. {rest}" if rest else taxon


def range_text(rows: Sequence[DocumentedRange]) -> str:
    """The outermost `(low_extreme-) low - high (-high_extreme)` over the sources, and how many they are."""
    low = min((r.low for r in rows if r.low is not None), default=None)
    high = max((r.high for r in rows if r.high is not None), default=None)
    lowest = min((r.lowest for r in rows if r.lowest is not None), default=None)
    highest = max((r.highest for r in rows if r.highest is not None), default=None)
    if low is None and high is None:
        low, high = lowest, highest
    core = (
        f"{number_text(low)}–{number_text(high)}"
        if low is not None and high is not None and low != high
        else say("up to {number}", number=number_text(high))
        if low is None and high is not None
        else say("from {number}", number=number_text(low))
        if low is not None and high is None
        else number_text(low if low is not None else 0.0)
    )
    before = f"({number_text(lowest)}–)" if lowest is not None and low is not None and lowest < low else ""
    after = (
        f"(–{number_text(highest)})" if highest is not None and high is not None and highest > high else ""
    )
    return say_n(
        "{range}, {n} source",
        "{range}, {n} sources",
        len({r.source_id for r in rows}),
        range=together([before, core, after], ""),
    )


def _axis(largest: float) -> tuple[float, float]:
    """The end of the axis, a little beyond the largest number, and the step of its ticks: 1, 2 or 5 times 10^k."""
    if not math.isfinite(largest) or largest <= 0:
        return 1.0, 1.0
    rough = largest / _WANTED_TICKS
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(f * power for f in (1.0, 2.0, 5.0, 10.0) if f * power >= rough * 0.999)
    return max(largest * 1.04, step), step


def _ticks(top: float, step: float) -> tuple[Tick, ...]:
    ticks = []
    for count in range(int(top / step + 1e-9) + 1):
        x = _percent(count * step, top)
        ticks.append(
            Tick(x, number_text(count * step), "start" if count == 0 else "end" if x > 96 else "middle")
        )
    return tuple(ticks)


def _percent(value: float, top: float) -> float:
    return round(min(max(100.0 * value / top, 0.0), 100.0), 2)


def _row(taxon: str, ranges: Sequence[DocumentedRange], named: bool, top: float, word: str) -> StripRow:
    bars = tuple(_bar(r, top) for r in ranges)
    lowest = min((r.lowest for r in ranges if r.lowest is not None), default=None)
    highest = max((r.highest for r in ranges if r.highest is not None), default=None)
    return StripRow(
        taxon=taxon,
        short=short_name(taxon),
        named=named,
        bars=bars,
        extreme_x=None if lowest is None else _percent(lowest, top),
        extreme_end=None if highest is None else _percent(highest, top),
        text=range_text(ranges),
    )


def _bar(row: DocumentedRange, top: float) -> Bar:
    low = row.low if row.low is not None else row.low_extreme
    high = row.high if row.high is not None else row.high_extreme
    x = _percent(low or 0.0, top)
    end = 100.0 if high is None else _percent(high, top)
    # A single printed figure is a line, not nothing.
    width = max(round(end - x, 2), 0.6)
    return Bar(x, width, low is None, high is None, row.doubtful, row.binding, row.source_id)


def _mark(reading: Reach, top: float, word: str) -> Mark:
    start = _percent(reading.low - reading.uncertainty, top)
    end = _percent(reading.high + reading.uncertainty, top)
    lines = sorted({_percent(reading.low, top), _percent(reading.high, top)})
    spread = (
        number_text(reading.low)
        if reading.low == reading.high
        else f"{number_text(reading.low)}–{number_text(reading.high)}"
    )
    about = f" ± {reading.uncertainty:.2g}" if reading.uncertainty else ""
    return Mark(tuple(lines), start, round(end - start, 2), f"{spread}{about} {word}")
