"""The reference as it goes to the phone: one compact JSON, its tables computed here, under a digest of its own.

static/js/rules/pack.js reads it. Evidence comes as whole numbers of 1/PER_DECIBAN decibans; a source by its place in the
list, with the few words it is named by, and without its citation. Every list has an order of its own, so that the same
reference has the same digest whatever order a database gives its rows in.

    {"digest": SHA-256 of the JSON without this key,
     "reference": digest of the reference it was made from,
     "efforts": {code: cost}, "conditions": [...], "traits": [...as in fixtures/traits.json, nothing left empty...],
     "taxa": [[name, authority, family, order, vernacular names, synonyms, the club's own names if any]],
     "sources": [[id, short name, kind]],
     "rows": [{trait: [row, ...]} for each taxon], "pairs": [[taxon, taxon, what parts them, source]] by place,
     "calibration": {"doubtful_below_db", "lead_db", "traits": {code: {"decisive", "band95", "band98", "error_rate"}}},
     "evidence": {trait: {"base", "step"} | {"step"} | {"rows", "factor", "pair"}},
     "form": {"resolutions": {unit: {instrument: resolution}}, "hosts": {kind of wood, or "": [names of hosts]},
              "host_genera": [genera of hosts]}}

A row is [source, seen, condition, flags, note, unit], cut after the last that is not 0 or empty. `seen` is
[low_extreme, low, high, high_extreme], or the states as a sum of 2 ** their place; flags: 1 doubtful, 2 binding; a unit
stands only where it is not the trait's own.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from types import MappingProxyType
from typing import Any

from ledger.traits.evidence_tables import PER_DECIBAN, MonthTable, NumberTable, Table
from ledger.traits.explain import source_name
from ledger.traits.instruments import INSTRUMENTS
from ledger.traits.lookalikes import LEAD_DB, evidence_tables
from ledger.traits.ranges import CONDITIONS, DocumentedRange
from ledger.traits.reference import Reference
from ledger.traits.reference_files import LookAlikePair
from ledger.traits.vocabulary import Trait
from ledger.words import english_of

DOUBTFUL, BINDING = 1, 2


def pack(
    reference: Reference,
    pairs: Iterable[LookAlikePair] = (),
    hosts: Mapping[str, Sequence[str]] = MappingProxyType({}),
    host_genera: Sequence[str] = (),
) -> dict[str, Any]:
    """The reference as plain JSON values, without its digest. Pairs of taxa it does not hold are left out.

    `hosts` are the names of hosts by kind of wood (`HostTable.by_group`), with which the log form reads a typed host;
    `host_genera` are offered while one is typed (`HostTable.genera`).
    """
    place_of = {name: place for place, name in enumerate(reference.taxa)}
    sources = {id: place for place, id in enumerate(sorted(reference.sources))}
    calibration = reference.calibration
    return {
        "reference": reference.digest,
        "efforts": {code: _plain(cost) for code, cost in reference.vocabulary.effort_cost.items()},
        "conditions": list(CONDITIONS),
        "traits": [_trait(trait) for trait in reference.vocabulary.traits.values()],
        "taxa": [
            [
                *(taxon.name, taxon.authority, taxon.family, taxon.order),
                *(list(taxon.vernacular), sorted(taxon.synonyms)),
                *([list(taxon.local)] if taxon.local else []),
            ]
            for taxon in reference.taxa.values()
        ],
        "sources": [
            [id, english_of(source_name(reference.sources[id])), reference.sources[id].kind] for id in sources
        ],
        "rows": [_rows_of(reference, taxon, sources) for taxon in reference.taxa],
        "pairs": sorted(
            [place_of[one.taxon_a], place_of[one.taxon_b], one.what_parts_them, sources[one.source_id]]
            for one in pairs
            if one.taxon_a in place_of and one.taxon_b in place_of and one.source_id in sources
        ),
        "calibration": {
            "doubtful_below_db": _plain(calibration.doubtful_below_db),
            "lead_db": _plain(LEAD_DB),
            "traits": {
                code: {
                    "decisive": measured.decisive,
                    "band95": _plain(measured.band95),
                    "band98": _plain(measured.band98),
                    "error_rate": _plain(measured.error_rate),
                }
                for code, measured in calibration.traits.items()
                if code in reference.vocabulary.traits
            },
        },
        "evidence": {code: _table(table) for code, table in evidence_tables(reference).traits.items()},
        "form": {
            "resolutions": {
                unit: {one.code: _plain(one.resolution) for one in instruments}
                for unit, instruments in INSTRUMENTS.items()
            },
            "hosts": {group: sorted(names) for group, names in sorted(hosts.items())},
            "host_genera": sorted(host_genera),
        },
    }


def pack_bytes(packed: Mapping[str, Any]) -> bytes:
    """The JSON that is sent, UTF-8: `digest` first, over the same JSON without it."""
    bare = _bare(packed)
    return b'{"digest":"' + _sha256(bare).encode() + b'",' + bare[1:]


def pack_digest(packed: Mapping[str, Any]) -> str:
    """The digest under which `pack_bytes` sends it, 64 hexadecimal digits."""
    return _sha256(_bare(packed))


def _bare(packed: Mapping[str, Any]) -> bytes:
    text = json.dumps(packed, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    return text.encode()


def _sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def _trait(trait: Trait) -> dict[str, Any]:
    data = {
        "code": trait.code,
        "label": trait.label,
        "group": trait.group,
        "kind": trait.kind,
        "unit": trait.unit,
        "compared": trait.compared,
        "growth": trait.growth,
        "effort": trait.effort,
        "order": trait.order,
        "fresh_only": trait.fresh_only,
        "short_form": trait.short_form,
        "resolution": _plain(trait.resolution),
        "applies_when": {k: sorted(v) for k, v in (trait.applies_when or {}).items()},
        "absent_means": trait.absent_means,
        "can_be_absent": trait.can_be_absent,
        "drying_note": trait.drying_note,
        "ask": trait.ask,
        "states": [[s.code, s.label, s.meaning, s.icon] for s in trait.states],
    }
    return {name: value for name, value in data.items() if value not in (None, False, "", [], {})}


def _rows_of(reference: Reference, taxon: str, sources: Mapping[str, int]) -> dict[str, Any]:
    return {
        code: [_row(trait, row, sources) for row in rows]
        for code, trait in reference.vocabulary.traits.items()
        if (rows := reference.ranges_for(taxon, code))
    }


def _row(trait: Trait, row: DocumentedRange, sources: Mapping[str, int]) -> list[Any]:
    if trait.kind == "states":
        codes = [state.code for state in trait.states]
        seen: Any = sum(1 << codes.index(state) for state in row.states)
    else:
        seen = [_plain(bound) for bound in (row.low_extreme, row.low, row.high, row.high_extreme)]
    flags = DOUBTFUL * row.doubtful + BINDING * row.binding
    unit = "" if row.unit == trait.unit else row.unit or "none"
    cells = [sources[row.source_id], seen, CONDITIONS.index(row.condition), flags, row.note, unit]
    while len(cells) > 2 and not cells[-1]:
        cells.pop()
    return cells


def _table(table: Table) -> dict[str, Any]:
    if isinstance(table, NumberTable):
        rows = [[_plain(number) for number in row] for row in table.rows]
        return {"rows": rows, "factor": _plain(table.factor), "pair": _plain(table.pair)}
    step = {state: _whole(column) for state, column in table.step.items()}
    return {"step": step} if isinstance(table, MonthTable) else {"base": _whole(table.base), "step": step}


def _whole(column: Sequence[float]) -> list[int]:
    return [round(value * PER_DECIBAN) for value in column]


def _plain(value: float | None) -> float | int | None:
    """4 and not 4.0, which is shorter and the same number."""
    return int(value) if value is not None and float(value).is_integer() else value
