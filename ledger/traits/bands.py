"""How far sources disagree, trait by trait: bands and error rates, each source held against the others of its taxon.

The *middle* of what one source prints is held against the outermost bounds of all the others. The factor by which it
lies beyond them (for a season: the months) is its disagreement; 1 (0) if it does not. A band covers 95 or 98 % of
them. The error rate is the share of readings made from prints that the check, with such a band, calls `outside` for
their own taxon: the states, the season's middle month, the middle of a trait compared by its mean, else both ends.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from ledger.traits.documented import Documented, compile_rows
from ledger.traits.learning import NO_SPECIMEN
from ledger.traits.outcome import Seen, decide, month_distance, see
from ledger.traits.ranges import DocumentedRange, months_of
from ledger.traits.readings import Reading, Specimen
from ledger.traits.reference import Reference
from ledger.traits.vocabulary import Trait

# With fewer disagreements the 98 % quantile is a single source; those of all growth (or all other) traits are then
# pooled and serve where they are wider.
ENOUGH = 40


@dataclass(frozen=True, slots=True)
class Held:
    """One print held against the other sources: its reading made ready, their rows, its disagreement if it has one."""

    trait: Trait
    taxon: str
    source: str
    seen: Seen
    known: Documented
    beyond: float | None


@dataclass(frozen=True, slots=True)
class Band:
    """Covers 95 and 98 % of `cases` disagreements; `disagree` is the share that lies beyond the bounds at all."""

    cases: int
    disagree: float
    band95: float
    band98: float
    pooled: bool


def hold_all(reference: Reference) -> tuple[Held, ...]:
    """Every print of a source that can be a specimen, where another source documents the trait of that taxon."""
    found = []
    for taxon in reference.taxa:
        for trait in reference.vocabulary.traits.values():
            rows = tuple(row for row in reference.ranges_for(taxon, trait.code) if not row.binding)
            for source in sorted({row.source_id for row in rows}):
                own = tuple(row for row in rows if row.source_id == source)
                others = tuple(row for row in rows if row.source_id != source)
                reading = reading_of(trait, own)
                if reference.sources[source].kind in NO_SPECIMEN or not others or reading is None:
                    continue
                seen = see(reference, Specimen(taxon, {trait.code: reading}))[trait.code]
                known = compile_rows(trait, others, None, None)
                found.append(Held(trait, taxon, source, seen, known, _beyond(trait, own, known)))
    return tuple(found)


def reading_of(trait: Trait, rows: Sequence[DocumentedRange]) -> Reading | None:
    """What a source prints of a trait, as the reading that the check would be given; None if it gives no bound."""
    if trait.kind == "states":
        return Reading(trait.code, states=frozenset().union(*(row.states for row in rows)))
    if trait.kind == "months":
        middle = _middle_month(rows)
        return None if middle is None else Reading(trait.code, values=(float(middle),))
    low = min((b for row in rows if (b := _first(row.low, row.low_extreme)) is not None), default=None)
    high = max((b for row in rows if (b := _first(row.high, row.high_extreme)) is not None), default=None)
    if low is None and high is None:
        return None
    if trait.compared == "mean" and low is not None and high is not None:
        return Reading(trait.code, values=((low + high) / 2.0,))
    return Reading(trait.code, low=low, high=high)


def bands(held: Iterable[Held], left_out: Collection[str] = ()) -> dict[str, Band]:
    """The bands of all numbers and seasons, from the disagreements of all sources but those left out."""
    found: dict[str, list[float]] = {}
    pools: dict[str, list[float]] = {}
    for one in held:
        if one.beyond is not None and one.source not in left_out:
            found.setdefault(one.trait.code, []).append(one.beyond)
            pools.setdefault(_pool(one.trait), []).append(one.beyond)
    kinds = {one.trait.code: (_pool(one.trait), 0.0 if one.trait.kind == "months" else 1.0) for one in held}
    made = {}
    for code, values in sorted(found.items()):
        pool, nothing = kinds[code]
        few = len(values) < ENOUGH
        made[code] = Band(
            cases=len(values),
            disagree=sum(value > nothing for value in values) / len(values),
            band95=max(quantile(values, 0.95), quantile(pools[pool], 0.95) if few else nothing),
            band98=max(quantile(values, 0.98), quantile(pools[pool], 0.98) if few else nothing),
            pooled=few,
        )
    return made


def quantile(values: Collection[float], share: float) -> float:
    """The smallest of the values that at least `share` of them do not exceed."""
    ordered = sorted(values)
    return ordered[max(0, math.ceil(share * len(ordered) - 1e-9) - 1)]


def is_outside(one: Held, made: Mapping[str, Band], *, wide: bool = False) -> bool:
    """Whether the check calls the print `outside` for its own taxon, with the band of 95 % or the wide one."""
    band = made.get(one.trait.code)
    nothing = 0.0 if one.trait.kind == "months" else 1.0
    factor = nothing if band is None else band.band98 if wide else band.band95
    return decide(one.seen, one.known, factor) == "outside"


def _beyond(trait: Trait, own: Sequence[DocumentedRange], known: Documented) -> float | None:
    """How far the middle of a print lies beyond the outermost bounds of the others; None if there is no middle."""
    if trait.kind == "states":
        return None
    if trait.kind == "months":
        middle = _middle_month(own)
        return None if middle is None else float(month_distance(middle, known.allowed_months))
    row = own[0]
    low, high = _first(row.low, row.low_extreme), _first(row.high, row.high_extreme)
    if low is None or high is None or (low + high) <= 0.0:
        return None
    middle_value = (low + high) / 2.0
    below = 1.0 if known.lowest is None else known.lowest / middle_value
    above = middle_value / known.highest if known.highest else 1.0
    return max(1.0, below, above)


def _middle_month(rows: Iterable[DocumentedRange]) -> int | None:
    """The middle of the first season given, the earlier of two middles."""
    for row in rows:
        if row.lowest is not None and row.highest is not None:
            length = len(months_of(int(row.lowest), int(row.highest)))
            return (int(row.lowest) - 1 + (length - 1) // 2) % 12 + 1
    return None


def _pool(trait: Trait) -> str:
    return trait.kind if trait.kind == "months" else "growth" if trait.growth else "others"


def _first(inner: float | None, outer: float | None) -> float | None:
    return outer if inner is None else inner
