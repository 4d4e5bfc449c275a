"""A check as plain JSON values, and the JSON of a line that could not be checked."""

from __future__ import annotations

from typing import Any

from ledger.traits.ranges import DocumentedRange
from ledger.traits.reference import Reference
from ledger.traits.results import Candidate, CheckResult, Measured, NextLook, TraitOutcome


def as_json(result: CheckResult, reference: Reference | None = None) -> dict[str, Any]:
    """The result as values that json.dumps takes. With the reference each source is named in full, not by id alone."""
    data: dict[str, Any] = {} if result.id is None else {"id": result.id}
    data |= {
        "taxon": result.taxon,
        "standing": result.standing,
        "traits": [_trait(outcome, reference) for outcome in result.traits],
        "look_alikes": [_candidate(candidate) for candidate in result.look_alikes],
        "next_look": [_look(look) for look in result.next_look],
        "weight_db": _rounded(result.weight_db, 2),
        "probability": _rounded(result.probability, 4),
        "missing": list(result.missing),
    }
    if result.note:
        data["note"] = result.note
    return data


def error_json(line: int, reason: str, id: object = None) -> dict[str, Any]:
    """What stands in place of a result when line `line` (from 1) could not be checked."""
    data: dict[str, Any] = {} if id is None else {"id": id}
    return data | {"error": {"line": line, "reason": reason}}


def _trait(outcome: TraitOutcome, reference: Reference | None) -> dict[str, Any]:
    data: dict[str, Any] = {
        "trait": outcome.trait,
        "outcome": outcome.outcome,
        "measured": None if outcome.measured is None else _measured(outcome.measured),
        "documented": [_range(row, reference) for row in outcome.documented],
        "dissent": list(outcome.dissent),
        "why": outcome.why,
        "decisive": outcome.decisive,
    }
    if outcome.slip is not None:
        data["slip"] = {
            "factor": outcome.slip.factor,
            "corrected": outcome.slip.corrected,
            "sentence": outcome.slip.sentence,
        }
    if outcome.house_rule is not None:
        data["house_rule"] = outcome.house_rule
    return data


def _measured(measured: Measured) -> dict[str, Any]:
    data: dict[str, Any] = {"text": measured.text}
    if measured.states:
        return data | {"states": list(measured.states)}
    for name in ("low", "high", "mean", "expanded_uncertainty", "n", "unit"):
        value = getattr(measured, name)
        if value is not None:
            data[name] = value
    return data


def _range(row: DocumentedRange, reference: Reference | None) -> dict[str, Any]:
    """Only what the source gives: a missing bound is left out, never 0."""
    data: dict[str, Any] = {"source": row.source_id, "condition": row.condition}
    for name in ("low_extreme", "low", "high", "high_extreme", "unit"):
        value = getattr(row, name)
        if value is not None:
            data[name] = value
    if row.states:
        data["states"] = sorted(row.states)
    if row.note:
        data["note"] = row.note
    if row.doubtful:
        data["doubtful"] = True
    if row.binding:
        data["binding"] = True
    if reference is not None:
        data["citation"] = reference.sources[row.source_id].citation
    return data


def _candidate(candidate: Candidate) -> dict[str, Any]:
    return {
        "taxon": candidate.taxon,
        "standing": candidate.standing,
        "weight_db": _rounded(candidate.weight_db, 2),
        "against": [{"trait": one.trait, "text": one.text} for one in candidate.against],
        "probability": _rounded(candidate.probability, 4),
        "missing": list(candidate.missing),
    }


def _look(look: NextLook) -> dict[str, Any]:
    return {
        "trait": look.trait,
        "gain_bits": _rounded(look.gain_bits, 3),
        "effort": look.effort,
        "fresh_only": look.fresh_only,
        "answers": [{"text": answer.text, "leaves": list(answer.leaves)} for answer in look.answers],
        "sentence": look.sentence,
    }


def _rounded(value: float | None, digits: int) -> float | None:
    return None if value is None else round(value, digits) + 0.0
