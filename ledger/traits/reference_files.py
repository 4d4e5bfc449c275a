"""Read the reference from its files (traits.json, taxa.csv, sources.csv, ranges.csv, look_alikes.csv).

Every refusal names file and line, the value, and what would be right; nothing is half read.
"""

from __future__ import annotations

import csv
import itertools
import json
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from ledger.traits.ranges import CONDITIONS, DocumentedRange, Source, TaxonEntry
from ledger.traits.vocabulary import Trait, Vocabulary, VocabularyError

BOUNDS = ("low_extreme", "low", "high", "high_extreme")
COLUMNS = {
    "taxa.csv": ("taxon", "authority", "family", "order", "vernacular", "synonyms", "note"),
    "sources.csv": ("source_id", "citation", "url", "year", "kind", "voice"),
    "ranges.csv": (
        *("taxon", "trait", *BOUNDS, "unit", "states"),
        *("condition", "source_id", "note", "doubtful", "binding"),
    ),
    "look_alikes.csv": ("taxon_a", "taxon_b", "what_parts_them", "source_id"),
}


class ReferenceFileError(ValueError):
    """A file of the reference cannot be taken. `file` and `line` (1 is the header) say where, `reason` why."""

    def __init__(self, file: str, line: int, reason: str) -> None:
        super().__init__(
            f"{file}, line {line}: {reason}. Nothing was loaded; correct the line and load again."
        )
        self.file, self.line, self.reason = file, line, reason


@dataclass(frozen=True, slots=True)
class LookAlikePair:
    """Two taxa that are confused, and what parts them, by one source."""

    taxon_a: str
    taxon_b: str
    what_parts_them: str
    source_id: str


@dataclass(frozen=True, slots=True)
class ReferenceFiles:
    """The reference as read: everything but the calibration."""

    vocabulary: Vocabulary
    taxa: tuple[TaxonEntry, ...]
    sources: tuple[Source, ...]
    ranges: tuple[DocumentedRange, ...]
    look_alikes: tuple[LookAlikePair, ...]


def read_reference(folder: Path) -> ReferenceFiles:
    """Read all five files of `folder`; ReferenceFileError names the first wrong line."""
    vocabulary = read_vocabulary(folder / "traits.json")
    taxa = _read_taxa(folder / "taxa.csv")
    sources = _read_sources(folder / "sources.csv")
    names, ids = {entry.name for entry in taxa}, {source.id for source in sources}
    ranges = _read_ranges(folder / "ranges.csv", vocabulary, names, ids)
    pairs = _read_pairs(folder / "look_alikes.csv", names, ids)
    return ReferenceFiles(vocabulary, taxa, sources, ranges, pairs)


def read_vocabulary(path: Path) -> Vocabulary:
    """Read traits.json; a wrong table is refused with the name of the trait."""
    try:
        return Vocabulary.from_json(json.loads(_text(path)))
    except json.JSONDecodeError as error:
        raise ReferenceFileError(path.name, error.lineno, f"is not JSON: {error.msg}") from error
    except RecursionError as error:
        raise ReferenceFileError(path.name, 1, "is nested beyond reason") from error
    except KeyError as error:
        raise ReferenceFileError(path.name, 1, f"a row of the table of traits has no {error}") from error
    except (VocabularyError, TypeError, ValueError, AttributeError) as error:
        raise ReferenceFileError(path.name, 1, f"table of traits is wrong: {error}") from error


def _text(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8-sig")
    except FileNotFoundError as error:
        raise ReferenceFileError(path.name, 1, "the file is missing") from error
    except UnicodeDecodeError as error:
        line = error.object[: error.start].count(b"\n") + 1
        raise ReferenceFileError(path.name, line, "is not UTF-8 text") from error


def _rows(path: Path) -> Iterator[tuple[int, dict[str, str]]]:
    """Rows with the number of the line each one ends on; the header must be exactly the known columns."""
    columns = COLUMNS[path.name]
    reader = csv.reader(_text(path).splitlines(keepends=True), strict=True)
    try:
        header = next(reader, [])
        if tuple(header) != columns:
            raise ReferenceFileError(path.name, 1, f"the columns must be {','.join(columns)}")
        for cells in reader:
            if not cells:
                continue
            if len(cells) != len(columns):
                reason = f"has {len(cells)} cells instead of {len(columns)}"
                raise ReferenceFileError(path.name, reader.line_num, reason)
            yield reader.line_num, {name: cell.strip() for name, cell in zip(columns, cells, strict=True)}
    except csv.Error as error:
        raise ReferenceFileError(path.name, reader.line_num, f"is not CSV: {error}") from error


def _read_taxa(path: Path) -> tuple[TaxonEntry, ...]:
    seen: dict[str, TaxonEntry] = {}
    for line, row in _rows(path):
        name = row["taxon"]
        if not name:
            raise ReferenceFileError(path.name, line, "has no taxon")
        if name in seen:
            raise ReferenceFileError(path.name, line, f"{name} stands twice")
        _printable(path.name, line, row)
        if name.casefold() in {other.casefold() for other in seen}:
            raise ReferenceFileError(path.name, line, f"{name} differs from another taxon by capitals only")
        vernacular = tuple(v.strip() for v in row["vernacular"].split(";") if v.strip())
        synonyms = tuple(s.strip() for s in row["synonyms"].split("|") if s.strip())
        seen[name] = TaxonEntry(
            name, row["authority"], row["family"], row["order"], vernacular, synonyms, row["note"]
        )
    return tuple(seen.values())


def _read_sources(path: Path) -> tuple[Source, ...]:
    seen: dict[str, Source] = {}
    for line, row in _rows(path):
        for column in ("source_id", "citation", "kind"):
            if not row[column]:
                raise ReferenceFileError(path.name, line, f"has no {column}")
        _printable(path.name, line, row)
        if row["source_id"] in seen:
            raise ReferenceFileError(path.name, line, f"source {row['source_id']} stands twice")
        voice = row["voice"] or row["source_id"]
        seen[row["source_id"]] = Source(
            row["source_id"], row["citation"], row["url"], row["year"], row["kind"], voice
        )
    return tuple(seen.values())


# What a column of the ledger's tables holds at most, in characters; checked here, where the line is known.
_LONGEST = {"taxon": 120, "authority": 160, "family": 80, "order": 80, "vernacular": 300, "source_id": 80}
_LONGEST |= {"synonyms": 2000, "citation": 4000, "url": 500, "year": 20, "kind": 40, "voice": 80, "note": 300}


def _printable(file: str, line: int, row: Mapping[str, str]) -> None:
    """Refuse control characters and texts that no column could hold."""
    for column, text in row.items():
        if any(ord(sign) < 32 for sign in text):
            raise ReferenceFileError(file, line, f"{column} holds a control character")
        most = _LONGEST.get(column, 300)
        if len(text) > most:
            raise ReferenceFileError(file, line, f"{column} has {len(text)} characters; {most} at most")


def _read_pairs(path: Path, taxa: set[str], sources: set[str]) -> tuple[LookAlikePair, ...]:
    seen: dict[tuple[str, str, str], LookAlikePair] = {}
    for line, row in _rows(path):
        pair = LookAlikePair(row["taxon_a"], row["taxon_b"], row["what_parts_them"], row["source_id"])
        for name in (pair.taxon_a, pair.taxon_b):
            if name not in taxa:
                raise ReferenceFileError(path.name, line, f"unknown taxon {name!r}")
        _known_source(path.name, line, pair.source_id, sources)
        if pair.taxon_a == pair.taxon_b or not pair.what_parts_them:
            raise ReferenceFileError(path.name, line, "needs two different taxa and what parts them")
        first, second = sorted((pair.taxon_a, pair.taxon_b))
        key = (first, second, pair.source_id)
        if key in seen:
            raise ReferenceFileError(path.name, line, f"{key[0]} and {key[1]} stand twice for {key[2]}")
        seen[key] = pair
    return tuple(seen.values())


def _read_ranges(
    path: Path, vocabulary: Vocabulary, taxa: set[str], sources: set[str]
) -> tuple[DocumentedRange, ...]:
    seen: dict[tuple[str, str, str, str], DocumentedRange] = {}
    for line, row in _rows(path):
        made = _range(path.name, line, row, vocabulary, taxa, sources)
        key = (made.taxon, made.trait, made.source_id, made.condition)
        if key in seen:
            reason = f"{made.trait} of {made.taxon} ({made.condition}) stands twice for {made.source_id}"
            raise ReferenceFileError(path.name, line, reason)
        seen[key] = made
    return tuple(seen.values())


def _range(
    file: str, line: int, row: Mapping[str, str], vocabulary: Vocabulary, taxa: set[str], sources: set[str]
) -> DocumentedRange:
    if row["taxon"] not in taxa:
        raise ReferenceFileError(file, line, f"unknown taxon {row['taxon']!r}")
    trait = vocabulary.traits.get(row["trait"])
    if trait is None:
        raise ReferenceFileError(file, line, f"unknown trait {row['trait']!r}")
    _known_source(file, line, row["source_id"], sources)
    if row["condition"] not in CONDITIONS:
        reason = f"unknown condition {row['condition']!r}, must be one of {', '.join(CONDITIONS)}"
        raise ReferenceFileError(file, line, reason)
    states = frozenset(row["states"].split("|")) if row["states"] else frozenset()
    bounds = {name: _number(file, line, name, row[name]) for name in BOUNDS}
    if trait.kind == "states":
        _check_states(file, line, trait, states, row, bounds)
    else:
        _check_bounds(file, line, trait, states, row, bounds)
    return DocumentedRange(
        taxon=row["taxon"],
        trait=trait.code,
        **bounds,
        unit=row["unit"] or None,
        states=states,
        condition=row["condition"],
        source_id=row["source_id"],
        note=row["note"],
        doubtful=_yes(file, line, "doubtful", row["doubtful"]),
        binding=_yes(file, line, "binding", row["binding"]),
    )


def _check_states(
    file: str,
    line: int,
    trait: Trait,
    states: frozenset[str],
    row: Mapping[str, str],
    bounds: Mapping[str, float | None],
) -> None:
    if not states:
        raise ReferenceFileError(file, line, f"{trait.code} needs at least one state")
    unknown = sorted(states - trait.state_codes)
    if unknown:
        raise ReferenceFileError(file, line, f"unknown state {unknown[0]!r} of {trait.code}")
    if row["unit"] or any(bound is not None for bound in bounds.values()):
        raise ReferenceFileError(file, line, f"{trait.code} has states, so neither unit nor bounds")


def _check_bounds(
    file: str,
    line: int,
    trait: Trait,
    states: frozenset[str],
    row: Mapping[str, str],
    bounds: Mapping[str, float | None],
) -> None:
    if states:
        raise ReferenceFileError(file, line, f"{trait.code} is a {trait.kind} trait, so it has no states")
    if row["unit"] != trait.unit:
        raise ReferenceFileError(
            file, line, f"unknown unit {row['unit']!r} of {trait.code}, must be {trait.unit}"
        )
    given = [(name, bound) for name, bound in bounds.items() if bound is not None]
    if not given:
        raise ReferenceFileError(file, line, f"{trait.code} has no bound at all")
    if trait.kind == "months":
        low, high = bounds["low"], bounds["high"]
        whole = all(bound in range(1, 13) for _, bound in given)
        if low is None or high is None or not whole:
            raise ReferenceFileError(file, line, "months need a low and a high, whole, from 1 to 12")
        return
    for (name_a, a), (name_b, b) in itertools.pairwise(given):
        if a > b:
            raise ReferenceFileError(file, line, f"{name_a} {a:g} is above {name_b} {b:g}")
    if given[0][1] < 0:
        raise ReferenceFileError(file, line, f"{given[0][0]} {given[0][1]:g} is below zero")


def _known_source(file: str, line: int, source_id: str, sources: set[str]) -> None:
    if not source_id:
        raise ReferenceFileError(file, line, "has no source; no documented range without a source")
    if source_id not in sources:
        raise ReferenceFileError(file, line, f"unknown source {source_id!r}")


def _number(file: str, line: int, name: str, text: str) -> float | None:
    if not text:
        return None
    try:
        number = float(text)
    except ValueError:
        number = math.nan
    if not math.isfinite(number):
        raise ReferenceFileError(file, line, f"{name} {text!r} is not a number")
    return number


def _yes(file: str, line: int, name: str, text: str) -> bool:
    if text not in ("", "yes"):
        raise ReferenceFileError(file, line, f"{name} {text!r} must be yes or empty")
    return text == "yes"
