"""What the sources document of a trait, made ready for one condition of the specimen.

A row either judges a reading (`yes`), may only excuse it because the condition was not noted (`maybe`), or is left
out. Doubtful rows widen the outermost bounds but never vouch for a reading.
"""

from __future__ import annotations

import math
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import reduce

from ledger.days import month_text
from ledger.traits.ranges import DocumentedRange, judges, months_of
from ledger.traits.reference import Reference
from ledger.traits.units import number_text, with_unit
from ledger.traits.vocabulary import Trait
from ledger.words import Said, lowered, say, together, tongue

Interval = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Documented:
    """Rows of one taxon and trait for one condition.

    `intervals` are those of undoubted rows. A source that gives one bound judges that side only: its missing upper
    bound is that of the other sources, its missing lower bound too, except for growth traits, where `up to 80 mm`
    says that smaller ones occur. `good` and `allowed` are states (or months) of undoubted and of all judging rows.
    """

    trait: Trait
    rows: tuple[DocumentedRange, ...]
    yes: tuple[DocumentedRange, ...]
    maybe: tuple[DocumentedRange, ...]
    intervals: tuple[Interval, ...] = ()
    lowest: float | None = None
    highest: float | None = None
    good: frozenset[str] = frozenset()
    allowed: frozenset[str] = frozenset()
    excused: frozenset[str] = frozenset()
    good_months: frozenset[int] = frozenset()
    allowed_months: frozenset[int] = frozenset()
    _said: dict[Hashable, str] = field(default_factory=dict, compare=False, repr=False)

    @property
    def text(self) -> str:
        """What is documented, in the words of the reader; kept, since of a hundred taxa many are told the same way."""
        language = tongue()
        said = self._said.get(language)
        if said is None:
            said = self._said[language] = _in_words(self.trait, self.yes or self.rows)
        return said


def documented(
    reference: Reference, trait: Trait, state: str | None, age: str | None
) -> Mapping[str, Documented]:
    """By taxon, all that is documented of the trait, for a reading made in that state at that age. Kept in memo."""
    key = ("documented", trait.code, state, age)
    found: Mapping[str, Documented] | None = reference.memo.get(key)
    if found is None:
        found = {
            taxon: compile_rows(trait, rows, state, age)
            for taxon in reference.taxa
            if (rows := reference.ranges_for(taxon, trait.code))
        }
        reference.memo[key] = found
    return found


def compile_rows(
    trait: Trait, rows: tuple[DocumentedRange, ...], state: str | None, age: str | None
) -> Documented:
    """Sort the rows by whether they judge, and gather their bounds or states."""
    yes = tuple(row for row in rows if judges(row.condition, state, age) == "yes")
    maybe = tuple(row for row in rows if judges(row.condition, state, age) == "maybe")
    sure = tuple(row for row in yes if not row.doubtful)
    if trait.kind == "states":
        return Documented(
            trait,
            rows,
            yes,
            maybe,
            good=_union(sure),
            allowed=_union(yes),
            excused=_union(yes) | _union(maybe),
        )
    if trait.kind == "months":
        return Documented(trait, rows, yes, maybe, good_months=_months(sure), allowed_months=_months(yes))
    lowest, highest = _outermost(yes)
    open_low = -math.inf if trait.growth or lowest is None else lowest
    open_high = math.inf if highest is None else highest
    return Documented(
        trait,
        rows,
        yes,
        maybe,
        intervals=tuple(
            (
                open_low if row.lowest is None else row.lowest,
                open_high if row.highest is None else row.highest,
            )
            for row in sure
        ),
        lowest=lowest,
        highest=highest,
    )


def _in_words(trait: Trait, rows: tuple[DocumentedRange, ...]) -> str:
    if trait.kind == "states":
        states = _union(rows)
        return any_of([lowered(state.label) for state in trait.states if state.code in states])
    if trait.kind == "months":
        return months_text(_months(rows))
    return range_text(*_outermost(rows), trait.unit)


def months_text(months: frozenset[int]) -> Said:
    """The names of the months, from January on."""
    return together([month_text(month) for month in sorted(months)], ", ")


def any_of(words: Sequence[str]) -> str:
    """`a or b or c`; nothing for none."""
    return reduce(lambda first, last: say("{first} or {last}", first=first, last=last), words or [""])


def range_text(low: float | None, high: float | None, unit: str | None) -> str:
    """`4–5 per mm`, `up to 80 mm`, `3 mm or more`."""
    if low is None and high is None:
        return say("no bound")
    if low is None and high is not None:
        return say("up to {number}", number=with_unit(number_text(high), unit))
    if high is None and low is not None:
        return say("{number} or more", number=with_unit(number_text(low), unit))
    assert low is not None and high is not None
    if low == high:
        return with_unit(number_text(low), unit)
    return with_unit(f"{number_text(low)}–{number_text(high)}", unit)


def _union(rows: tuple[DocumentedRange, ...]) -> frozenset[str]:
    return frozenset().union(*(row.states for row in rows))


def _months(rows: tuple[DocumentedRange, ...]) -> frozenset[int]:
    return frozenset().union(*(row_months(row) for row in rows))


def row_months(row: DocumentedRange) -> frozenset[int]:
    """The months a row of kind `months` documents; without both bounds it documents none."""
    if row.lowest is None or row.highest is None:
        return frozenset()
    return months_of(int(row.lowest), int(row.highest))


def _outermost(rows: tuple[DocumentedRange, ...]) -> tuple[float | None, float | None]:
    lows = [row.lowest for row in rows if row.lowest is not None]
    highs = [row.highest for row in rows if row.highest is not None]
    return min(lows, default=None), max(highs, default=None)
