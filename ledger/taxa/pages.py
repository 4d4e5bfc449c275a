"""What a taxon page shows, gathered from the compiled reference: traits in the order of looking, strips, sources."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.translation import get_language

from ledger.days import short_month_text
from ledger.languages import name_of
from ledger.taxa import models as stored
from ledger.taxa import range_words
from ledger.traits.ranges import DocumentedRange, Source
from ledger.traits.reference import Reference
from ledger.traits.strip import Strip, range_text, strip_for
from ledger.traits.vocabulary import State, Trait, Vocabulary
from ledger.words import lowered, say

MONTHS = tuple(short_month_text(month) for month in range(1, 13))


@dataclass(frozen=True, slots=True)
class StateLine:
    """One state, and the sources that print it, each with the condition it holds for."""

    state: State
    sources: tuple[tuple[Source, str], ...]


@dataclass(frozen=True, slots=True)
class SourceLine:
    """What one source says, in one line."""

    source: Source
    text: str
    condition: str
    note: str
    doubtful: bool
    binding: bool


@dataclass(frozen=True, slots=True)
class TraitSection:
    trait: Trait
    strip: Strip | None
    states: tuple[StateLine, ...]
    lines: tuple[SourceLine, ...]


@dataclass(frozen=True, slots=True)
class OwnRangeLine:
    """A range of the club's own as a line of the list; `row` tells its source, who entered it and who ended it."""

    row: stored.DocumentedRange
    text: str


@dataclass(frozen=True, slots=True)
class CommonNames:
    """The names in one language, by what that calls itself."""

    language: str
    called: str
    names: str


def common_names(taxon: stored.Taxon) -> tuple[CommonNames, ...]:
    """The names in use, of the reference and of the club, those of the reader's language first."""
    by_language: dict[str, list[str]] = {"en": [taxon.vernacular] if taxon.vernacular else []}
    for row in taxon.club_names.filter(ended_at__isnull=True):
        by_language.setdefault(row.language, []).append(row.name)
    reader = (get_language() or "en").partition("-")[0]
    return tuple(
        CommonNames(code, name_of(code), "; ".join(names))
        for code, names in sorted(by_language.items(), key=lambda pair: (pair[0] != reader, pair[0]))
        if names
    )


def trait_sections(reference: Reference, taxon: str, beside: Iterable[str]) -> tuple[TraitSection, ...]:
    """Return a section per documented trait of *taxon*, its strips drawn beside those of its look-alikes."""
    beside = [name for name in beside if name != taxon]
    sections = []
    for code, trait in reference.vocabulary.traits.items():
        rows = reference.ranges_for(taxon, code)
        if not rows:
            continue
        strip = strip_for(reference, code, [taxon, *beside], named=taxon)
        states = _state_lines(reference, trait, rows)
        lines = tuple(_source_line(reference, trait, row) for row in rows)
        sections.append(TraitSection(trait, strip, states, lines))
    return tuple(sections)


def _state_lines(
    reference: Reference, trait: Trait, rows: Iterable[DocumentedRange]
) -> tuple[StateLine, ...]:
    lines = []
    for state in trait.states:
        printing = tuple(
            (reference.sources[row.source_id], row.condition) for row in rows if state.code in row.states
        )
        if printing:
            lines.append(StateLine(state, printing))
    # The state most sources print first: a reader takes the first for the usual one.
    return tuple(sorted(lines, key=lambda line: -len(line.sources)))


def _source_line(reference: Reference, trait: Trait, row: DocumentedRange) -> SourceLine:
    if trait.kind == "states":
        text = ", ".join(lowered(state.label) for state in trait.states if state.code in row.states)
    elif trait.kind == "months":
        text = months_text(row)
    else:
        text = range_text([row])
    return SourceLine(
        source=reference.sources[row.source_id],
        text=text,
        condition="" if row.condition == "any" else row.condition,
        note=row.note,
        doubtful=row.doubtful,
        binding=row.binding,
    )


def own_range_line(vocabulary: Vocabulary, row: stored.DocumentedRange) -> OwnRangeLine:
    """A range of the club's own in words; a trait the vocabulary no longer holds is told by its code."""
    trait = vocabulary.traits.get(row.trait)
    if trait is None:
        return OwnRangeLine(row, row.trait)
    if trait.kind == "number":
        text = range_words.bounds_words(
            trait,
            low_extreme=row.low_extreme,
            low=row.low,
            high=row.high,
            high_extreme=row.high_extreme,
        )
    else:
        text = range_words.states_words(trait, row.states.split("|"))
    return OwnRangeLine(row, text)


def months_text(row: DocumentedRange) -> str:
    """Return `Jul to Jan`, wrapping over the new year; `all year` for the twelve."""
    if row.low is None or row.high is None:
        return ""
    low, high = int(row.low), int(row.high)
    if (high - low) % 12 == 11:
        return say("all year")
    first, last = MONTHS[low - 1], MONTHS[high - 1]
    return str(first) if low == high else say("{first} to {last}", first=first, last=last)
