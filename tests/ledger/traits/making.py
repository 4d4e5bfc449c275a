"""Small references and specimens for the tests of the check: a test states only what matters to it."""

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from ledger.traits.calibration_values import Calibration, TraitCalibration
from ledger.traits.check import CheckResult, TraitOutcome, check_specimen
from ledger.traits.ranges import DocumentedRange, Source, TaxonEntry
from ledger.traits.readings import Specimen
from ledger.traits.reference import Reference
from ledger.traits.reference_files import read_vocabulary
from ledger.traits.specimen_json import parse_specimen
from ledger.traits.vocabulary import Vocabulary

FIXTURES = Path(__file__).resolve().parents[3] / "fixtures"
RED, BLUE = "Rubra exempli", "Caerulea exempli"


@cache
def vocabulary() -> Vocabulary:
    return read_vocabulary(FIXTURES / "traits.json")


def row(trait: str, *, taxon: str = RED, source: str = "book-a", **more: Any) -> DocumentedRange:
    """A documented range; `states` may be written `pores|maze`, the unit is the trait's own."""
    states = frozenset(more.pop("states").split("|")) if "states" in more else frozenset()
    unit = vocabulary().traits[trait].unit
    return DocumentedRange(taxon, trait, unit=unit, states=states, source_id=source, **more)


def calibrated(**traits: Mapping[str, Any]) -> Calibration:
    """Bands and decisive traits of the named traits only; nothing weighs anything."""
    made = {code: TraitCalibration(cases=100, **values) for code, values in traits.items()}
    return Calibration(made, scale=1.0, doubtful_below_db=-10.0)


def reference(*rows: DocumentedRange, calibration: Calibration | None = None) -> Reference:
    taxa = [TaxonEntry(name) for name in sorted({RED, BLUE} | {one.taxon for one in rows})]
    sources = [Source(one, f"Invented {one}", kind="handbook") for one in sorted({r.source_id for r in rows})]
    return Reference.build(vocabulary(), taxa, sources, rows, calibration or calibrated())


def specimen(
    taxon: str | None = RED, state: str | None = "fresh", age: str | None = None, **readings: Any
) -> Specimen:
    """A specimen; a reading may be written 58 (one value), [4, 5] (replicates), `pores|maze`, or in full."""
    data = {code: _entry(code, reading) for code, reading in readings.items()}
    return parse_specimen({"taxon": taxon, "state": state, "age": age, "readings": data}, vocabulary())


def _entry(code: str, reading: Any) -> Any:
    if isinstance(reading, Mapping):
        return reading
    if isinstance(reading, str):
        return {"states": reading.split("|")}
    return {"values": reading if isinstance(reading, list) else [reading]}


def checked(known: Reference, one: Specimen) -> CheckResult:
    return check_specimen(known, one)


def outcome(known: Reference, trait: str, one: Specimen) -> TraitOutcome:
    """The outcome of one trait of the named taxon."""
    return next(found for found in check_specimen(known, one).traits if found.trait == trait)
