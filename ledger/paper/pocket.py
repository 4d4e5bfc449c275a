"""What a pocket sheet says of a few taxa: drawn states, documented ranges, seasons, and what parts them.

Everything is read from the reference: a sheet holds no figure and no state that a numbered source does not give. Rows
documented for dry or old material are left out, as the sheet is for fresh finds.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Literal

from ledger.traits.documented import row_months
from ledger.traits.ranges import DocumentedRange, Source, judges
from ledger.traits.reference import Reference
from ledger.traits.reference_files import LookAlikePair
from ledger.traits.strip import Strip, range_text, short_name, strip_for
from ledger.traits.vocabulary import State, Trait
from ledger.words import Said, say, together

MOST_TAXA = 8
LETTERS = "ABCDEFGH"
_FRESH = "fresh"

# How many of a taxon's sources print a state: at least half, fewer, none; or the taxon has no source on the trait.
Mark = Literal["most", "some", "none", "unknown"]


@dataclass(frozen=True, slots=True)
class PocketTaxon:
    """A taxon of the sheet, and the letter it goes by on it."""

    letter: str
    name: str
    authority: str
    vernacular: str

    @property
    def short(self) -> str:
        """`T. versicolor`."""
        return short_name(self.name)


@dataclass(frozen=True, slots=True)
class StateRow:
    """One state, and its mark for each taxon in their order."""

    state: State
    marks: tuple[Mark, ...]


@dataclass(frozen=True, slots=True)
class MonthRow:
    """The months of one taxon, January first."""

    taxon: PocketTaxon
    marks: tuple[Mark, ...]


@dataclass(frozen=True, slots=True)
class RangeRow:
    """The documented range of one taxon in figures: `(2–)3–5`."""

    taxon: PocketTaxon
    text: str


@dataclass(frozen=True, slots=True)
class Part:
    """Letters that a trait parts from other letters: no source documents them alike."""

    these: str
    those: str

    @property
    def said(self) -> Said:
        return say("{these} from {those}", these=" ".join(self.these), those=" ".join(self.those))

    def __str__(self) -> str:
        return str(self.said)


@dataclass(frozen=True, slots=True)
class Block:
    """One trait of the sheet. Of `states`, `strip` with `ranges`, and `months`, one is filled, by the trait's kind."""

    trait: Trait
    parts: tuple[Part, ...]
    parted_count: int
    sources: tuple[tuple[PocketTaxon, tuple[int, ...]], ...]
    states: tuple[StateRow, ...] = ()
    strip: Strip | None = None
    ranges: tuple[RangeRow, ...] = ()
    months: tuple[MonthRow, ...] = ()

    @property
    def said(self) -> Said:
        """What the trait parts, in a few words, or an empty text."""
        if not self.parts:
            return Said("")
        return say("Parts {parts}", parts=together([part.said for part in self.parts], "; "))


@dataclass(frozen=True, slots=True)
class PairLine:
    """What parts two taxa, as the source of that number has it."""

    a: PocketTaxon
    b: PocketTaxon
    text: str
    source: int

    @property
    def epithets(self) -> tuple[str, str]:
        """By what such a text calls the two."""
        return self.a.name.split()[-1], self.b.name.split()[-1]


@dataclass(frozen=True, slots=True)
class Pocket:
    """A whole pocket sheet: blocks in the order of looking, sources numbered from 1, Latin names of its taxa."""

    taxa: tuple[PocketTaxon, ...]
    blocks: tuple[Block, ...]
    pairs: tuple[PairLine, ...]
    sources: tuple[tuple[int, Source], ...]
    latin: frozenset[str]

    @property
    def title(self) -> Said:
        first = self.taxa[0].name
        others = len(self.taxa) - 1
        if others > 1:
            return say("{first} and {n} more", first=first, n=others)
        return say("{first} and {last}", first=first, last=self.taxa[1].name) if others else Said(first)


def pocket_of(
    reference: Reference,
    taxa: Sequence[str],
    pairs: Iterable[LookAlikePair] = (),
    *,
    host_genera: Iterable[str] = (),
) -> Pocket:
    """Return the sheet of those taxa, in their order; a name twice stands once.

    `host_genera`: names beside those of the fungi that stand in italics where a source's words hold them.
    KeyError for a taxon the reference does not hold, ValueError for none or more than MOST_TAXA.
    """
    names = list(dict.fromkeys(taxa))
    if not 1 <= len(names) <= MOST_TAXA:
        raise ValueError(f"a pocket sheet holds 1 to {MOST_TAXA} taxa, not {len(names)}")
    chosen = tuple(
        PocketTaxon(letter, name, entry.authority, ", ".join(entry.vernacular))
        for letter, name, entry in zip(LETTERS, names, (reference.taxa[name] for name in names), strict=False)
    )
    by_name = {taxon.name: taxon for taxon in chosen}
    between = [pair for pair in pairs if pair.taxon_a in by_name and pair.taxon_b in by_name]
    rows = {
        code: {taxon: _judging(reference.ranges_for(taxon.name, code)) for taxon in chosen}
        for code in reference.vocabulary.traits
    }
    used = {row.source_id for of_trait in rows.values() for those in of_trait.values() for row in those}
    used |= {pair.source_id for pair in between}
    numbered = _numbered(reference, used)
    number_of = {source.id: number for number, source in numbered}
    blocks = tuple(
        _block(reference, trait, rows[code], number_of)
        for code, trait in reference.vocabulary.traits.items()
        if any(rows[code].values())
    )
    lines = tuple(_pair_line(pair, by_name, number_of) for pair in between)
    return Pocket(chosen, blocks, lines, numbered, _latin(reference) | frozenset(host_genera))


def _latin(reference: Reference) -> frozenset[str]:
    """Every name of the reference, old ones too, and their genera, for a text that names one of them alone."""
    names = {latin for entry in reference.taxa.values() for latin in (entry.name, *entry.synonyms)}
    return frozenset(names | {name.split()[0] for name in names})


def _judging(rows: Iterable[DocumentedRange]) -> tuple[DocumentedRange, ...]:
    return tuple(row for row in rows if judges(row.condition, _FRESH, None) != "no")


def _numbered(reference: Reference, used: Iterable[str]) -> tuple[tuple[int, Source], ...]:
    sources = sorted(
        (reference.sources[one] for one in used), key=lambda source: (source.citation, source.id)
    )
    return tuple(enumerate(sources, 1))


def _block(
    reference: Reference,
    trait: Trait,
    rows: dict[PocketTaxon, tuple[DocumentedRange, ...]],
    number_of: dict[str, int],
) -> Block:
    taxa = list(rows)
    parted = [(a.letter, b.letter) for a, b in combinations(taxa, 2) if _parts(trait, rows[a], rows[b])]
    sources = tuple(
        (taxon, tuple(sorted({number_of[row.source_id] for row in those})))
        for taxon, those in rows.items()
        if those
    )
    block = Block(trait, _told(parted), len(parted), sources)
    if trait.kind == "states":
        states = (
            StateRow(state, tuple(_mark(rows[taxon], state.code) for taxon in taxa)) for state in trait.states
        )
        return replace(block, states=tuple(row for row in states if {"most", "some"} & set(row.marks)))
    if trait.kind == "months":
        months = (MonthRow(taxon, _month_marks(those)) for taxon, those in rows.items() if those)
        return replace(block, months=tuple(months))
    strip = strip_for(reference, trait.code, [taxon.name for taxon in taxa], named=taxa[0].name, state=_FRESH)
    shown = {row.taxon for row in strip.rows} if strip else set()
    ranges = tuple(RangeRow(taxon, _figures(rows[taxon])) for taxon in taxa if taxon.name in shown)
    return replace(block, strip=strip, ranges=ranges)


def _figures(rows: Iterable[DocumentedRange]) -> str:
    """The range without the number of its sources, which stand by their own numbers."""
    bounded = [row for row in rows if row.lowest is not None or row.highest is not None]
    return range_text(bounded).rpartition(", ")[0]


def _mark(rows: Sequence[DocumentedRange], state: str) -> Mark:
    """Sources are counted, not rows: one may print two rows for two conditions."""
    return _share(rows, {row.source_id for row in rows if state in row.states})


def _month_marks(rows: Sequence[DocumentedRange]) -> tuple[Mark, ...]:
    return tuple(
        _share(rows, {row.source_id for row in rows if month in row_months(row)}) for month in range(1, 13)
    )


def _share(rows: Sequence[DocumentedRange], printing: set[str]) -> Mark:
    sources = {row.source_id for row in rows}
    if not sources:
        return "unknown"
    if not printing:
        return "none"
    return "most" if 2 * len(printing) >= len(sources) else "some"


# --- what parts them ---


def _parts(trait: Trait, a: Sequence[DocumentedRange], b: Sequence[DocumentedRange]) -> bool:
    """Whether no source documents the two alike: their states, months or bounds have nothing in common."""
    if not a or not b:
        return False
    if trait.kind == "states":
        return not _states(a) & _states(b)
    if trait.kind == "months":
        months = [frozenset().union(*(row_months(row) for row in rows)) for rows in (a, b)]
        return all(months) and not months[0] & months[1]
    bounds = [_bounds(trait, rows) for rows in (a, b)]
    return bounds[0][1] < bounds[1][0] or bounds[1][1] < bounds[0][0]


def _states(rows: Iterable[DocumentedRange]) -> frozenset[str]:
    return frozenset().union(*(row.states for row in rows))


def _bounds(trait: Trait, rows: Iterable[DocumentedRange]) -> tuple[float, float]:
    """The outermost bounds. A side that no source judges is open, and so is the lower one of a trait that grows."""
    rows = list(rows)
    lows = [row.lowest for row in rows if row.lowest is not None]
    highs = [row.highest for row in rows if row.highest is not None]
    low = -math.inf if trait.growth or not lows else min(lows)
    return low, max(highs) if highs else math.inf


def _told(parted: Sequence[tuple[str, str]]) -> tuple[Part, ...]:
    """The pairs, those with the same other side taken together, each pair told once."""
    others: dict[str, str] = {}
    for a, b in parted:
        others[a] = others.get(a, "") + b
        others[b] = others.get(b, "") + a
    told: set[frozenset[str]] = set()
    parts = []
    for letter in sorted(others):
        these = "".join(one for one in sorted(others) if set(others[one]) == set(others[letter]))
        those = "".join(one for one in sorted(others[letter]) if frozenset((letter, one)) not in told)
        if letter == these[0] and those:
            told |= {frozenset((one, other)) for one in these for other in those}
            parts.append(Part(these, those))
    return tuple(parts)


def _pair_line(pair: LookAlikePair, taxa: dict[str, PocketTaxon], number_of: dict[str, int]) -> PairLine:
    a, b = sorted((taxa[pair.taxon_a], taxa[pair.taxon_b]), key=lambda taxon: taxon.letter)
    return PairLine(a, b, pair.what_parts_them, number_of[pair.source_id])
