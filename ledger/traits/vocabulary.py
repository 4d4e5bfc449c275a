"""Traits and their states, as read from fixtures/traits.json: what can be looked at, in which unit, how."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal, cast

Kind = Literal["number", "states", "months"]
Compared = Literal["individual", "mean"]

KINDS = ("number", "states", "months")
EFFORTS = ("eye", "lens", "ruler", "knife", "drop", "microscope")
UNITS = ("mm", "um", "1/mm", "month")
GROUPS = (
    *("fertile side", "whole bracket", "cap", "measures", "flesh"),
    *("substrate", "chemistry", "spores", "season"),
)

# The keys of traits.json. A key that is not read would be left out in silence, and the trait go on without it.
_TABLE_KEYS = frozenset({"efforts", "traits"})
_EFFORT_KEYS = frozenset({"code", "cost"})
TRAIT_KEYS = frozenset(
    {"code", "label", "group", "kind", "ask", "effort", "order", "fresh_only", "short_form"}
)
_OF_A_NUMBER = frozenset({"compared", "growth", "resolution"})
ALSO_OF_A_TRAIT = _OF_A_NUMBER | {
    *("unit", "states", "applies_when", "on_slip"),
    *("absent_means", "can_be_absent", "drying_note"),
}
_STATE_KEYS = frozenset({"code", "label", "meaning", "icon"})
_YES_OR_NO = ("fresh_only", "short_form", "on_slip", "growth", "can_be_absent")


class VocabularyError(ValueError):
    """The table of traits contradicts itself; the message names the trait."""


@dataclass(frozen=True, slots=True)
class State:
    """One thing a trait can show, with a plain meaning and the name of its drawn icon."""

    code: str
    label: str
    meaning: str
    icon: str


@dataclass(frozen=True, slots=True)
class Trait:
    """One thing to look at or measure. `resolution` is that of the customary instrument, in `unit`.

    `absent_means` is the state that "looked, absent" stands for. `can_be_absent`: "there is none" says something although
    it is no state of the trait: a smooth underside has no pores.
    `on_slip`: a paper data slip asks it, whose room is measured.
    `drying_note` says what drying does to it, as it stands behind a semicolon; empty where that of all such traits serves.
    """

    code: str
    label: str
    group: str
    kind: Kind
    unit: str | None
    compared: Compared | None
    growth: bool
    effort: str
    fresh_only: bool
    order: int
    applies_when: Mapping[str, frozenset[str]] | None
    short_form: bool
    states: tuple[State, ...]
    resolution: float | None = None
    absent_means: str | None = None
    can_be_absent: bool = False
    drying_note: str = ""
    on_slip: bool = False
    ask: str = ""
    state_codes: frozenset[str] = field(default_factory=frozenset)

    def state(self, code: str) -> State:
        """The state with that code; KeyError if the trait has none such."""
        for state in self.states:
            if state.code == code:
                return state
        raise KeyError(code)


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """All traits in the order hands do things, and what each effort costs (relative, `eye` = 1)."""

    traits: Mapping[str, Trait]
    effort_cost: Mapping[str, float]

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> Vocabulary:
        """Build from the parsed fixtures/traits.json; VocabularyError says which trait is wrong and why."""
        _check_keys(data, "the table", _TABLE_KEYS, frozenset({"note"}))
        for row in data["efforts"]:
            _check_keys(row, f"effort {_named(row)}", _EFFORT_KEYS, frozenset({"meaning"}))
        for row in data["traits"]:
            _check_keys(row, f"trait {_named(row)}", TRAIT_KEYS, ALSO_OF_A_TRAIT)
        costs = {
            row["code"]: _above_zero(row["cost"], f"effort {row['code']}: cost") for row in data["efforts"]
        }
        if tuple(costs) != EFFORTS:
            raise VocabularyError(f"efforts must be, in this order: {', '.join(EFFORTS)}")
        traits: dict[str, Trait] = {}
        for row in sorted(data["traits"], key=lambda row: row["order"]):
            trait = _trait(row)
            if trait.code in traits:
                raise VocabularyError(f"trait {trait.code} stands twice")
            traits[trait.code] = trait
        if len({trait.order for trait in traits.values()}) != len(traits):
            raise VocabularyError("two traits have the same order; each needs its own place")
        for trait in traits.values():
            _check_applicability(trait, traits)
        return cls(traits, costs)


def _trait(row: Mapping[str, Any]) -> Trait:
    code = row["code"]
    kind, unit, effort = row["kind"], row.get("unit"), row["effort"]
    for state in row.get("states", ()):
        _check_keys(state, f"trait {code}, state {_named(state)}", _STATE_KEYS)
    states = tuple(State(s["code"], s["label"], s["meaning"], s["icon"]) for s in row.get("states", ()))
    codes = frozenset(s.code for s in states)
    if kind not in KINDS:
        raise VocabularyError(f"trait {code}: kind {kind!r} is none of {', '.join(KINDS)}")
    if row["group"] not in GROUPS:
        raise VocabularyError(f"trait {code}: group {row['group']!r} is none of {', '.join(GROUPS)}")
    for key in _YES_OR_NO:
        if row.get(key) is not None and not isinstance(row[key], bool):
            raise VocabularyError(f"trait {code}: {key} {row[key]!r} is neither true nor false")
    if not row["ask"]:
        raise VocabularyError(f"trait {code}: ask is empty; it is the question the form puts")
    if effort not in EFFORTS:
        raise VocabularyError(f"trait {code}: effort {effort!r} is none of {', '.join(EFFORTS)}")
    if (kind == "states") != bool(states) or len(codes) != len(states):
        raise VocabularyError(f"trait {code}: only a trait of kind states has states, each once")
    if (kind == "states") != (unit is None) or (unit is not None and unit not in UNITS):
        raise VocabularyError(f"trait {code}: unit {unit!r} does not suit kind {kind}")
    if kind == "number" and (row.get("compared") not in ("individual", "mean") or not row.get("resolution")):
        raise VocabularyError(f"trait {code}: a number needs compared (individual or mean) and a resolution")
    if kind != "number" and any(row.get(key) for key in _OF_A_NUMBER):
        raise VocabularyError(f"trait {code}: only a number has {', '.join(sorted(_OF_A_NUMBER))}")
    if row.get("resolution") is not None:
        _above_zero(row["resolution"], f"trait {code}: resolution")
    absent = row.get("absent_means")
    if absent is not None and absent not in codes:
        raise VocabularyError(f"trait {code}: absent_means {absent!r} is not one of its states")
    when = row.get("applies_when")
    return Trait(
        code=code,
        label=row["label"],
        group=row["group"],
        kind=cast(Kind, kind),
        unit=unit,
        compared=row.get("compared"),
        growth=bool(row.get("growth")),
        effort=effort,
        fresh_only=bool(row.get("fresh_only")),
        order=int(row["order"]),
        applies_when={k: frozenset(v) for k, v in when.items()} if when else None,
        short_form=bool(row.get("short_form")),
        states=states,
        resolution=row.get("resolution"),
        absent_means=absent,
        can_be_absent=bool(row.get("can_be_absent")),
        drying_note=row.get("drying_note") or "",
        on_slip=bool(row.get("on_slip")),
        ask=row["ask"],
        state_codes=codes,
    )


def _named(row: Mapping[str, Any]) -> str:
    """The code of a row; without one, the start of what stands there."""
    return str(row["code"]) if "code" in row else f"without a code ({str(dict(row))[:60]})"


def _check_keys(
    row: Mapping[str, Any], what: str, needed: frozenset[str], also: frozenset[str] = frozenset()
) -> None:
    if missing := sorted(needed - row.keys()):
        raise VocabularyError(f"{what} lacks {', '.join(missing)}")
    if unknown := sorted(row.keys() - needed - also):
        raise VocabularyError(
            f"{what} has {', '.join(unknown)}, which is no key here; known: {', '.join(sorted(needed | also))}"
        )


def _above_zero(value: object, what: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 < value < math.inf:
        raise VocabularyError(f"{what} {value!r} is not a number above 0")
    return float(value)


def _check_applicability(trait: Trait, traits: Mapping[str, Trait]) -> None:
    for other, states in (trait.applies_when or {}).items():
        if other not in traits or not states <= traits[other].state_codes:
            raise VocabularyError(
                f"trait {trait.code}: applies_when names an unknown trait or state of {other}"
            )
