"""Specimens in JavaScript against the Python they follow: the same values, the same refusals.

Floats that are whole numbers stay out where a sentence might quote them: JavaScript does not tell 3.0 from 3.
"""

import dataclasses
from collections.abc import Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.traits.specimen_json import SpecimenError, parse_specimen
from tests.js_side import KNOWN, JsSide, SaidError
from tests.ledger.traits.making import vocabulary


@pytest.fixture(scope="module")
def js() -> Iterator[JsSide]:
    side = JsSide("run_typed.mjs")
    side.ask(
        "vocabulary",
        [
            {
                "code": trait.code,
                "kind": trait.kind,
                "unit": trait.unit,
                "states": [{"code": state.code, "label": state.label} for state in trait.states],
            }
            for trait in vocabulary().traits.values()
        ],
    )
    yield side
    side.close()


def _python(data):
    try:
        made = parse_specimen(data, vocabulary())
    except SpecimenError as error:
        return str(error)
    readings = {
        code: dataclasses.asdict(reading) | {"values": list(reading.values), "states": sorted(reading.states)}
        for code, reading in made.readings.items()
    }
    return {"id": made.id, "taxon": made.taxon, "state": made.state, "age": made.age, "readings": readings}


def _javascript(js, data):
    try:
        return js.ask("parseSpecimen", data)
    except SaidError as error:
        return str(error)


def _same(js, data):
    assert _javascript(js, data) == _python(data)


CODES = (
    "cap_width",
    "pores_per_mm",
    "spore_length",
    "underside",
    "zonation",
    "fruiting_months",
    "rot",
    "stem",
)
numbers = (
    st.integers(-3, 2000)
    | st.sampled_from([0, -1, 0.5, 1e-9, 1.5e9, 10**400, 10**9, 10**9 + 1, -0.0])
    | st.floats(0.001, 3000)
)
odd = (
    st.none()
    | st.booleans()
    | st.integers(-9, 9)
    | st.just(2.5)
    | st.text(alphabet=KNOWN, max_size=5)
    | st.just([1, ["a'", None]])
)
states_seen = st.lists(
    st.sampled_from(["pores", "maze", "zoned", "absent", "white", "brown", "holes", "\U0001f344", "\uffee"])
)


def _mostly(usual):
    """The usual, and one time in eight something else."""
    return st.integers(0, 7).flatmap(lambda dice: odd if dice == 0 else usual)


readings = _mostly(
    st.fixed_dictionaries(
        {},
        optional={
            "looked": _mostly(st.sampled_from(["read", "read", "not looked", "cannot say", "absent"])),
            "values": _mostly(st.lists(_mostly(numbers), max_size=3)),
            "low": _mostly(numbers),
            "high": _mostly(numbers),
            "n": _mostly(st.integers(-1, 5)),
            "unit": _mostly(st.sampled_from(["mm", "cm", "in", "um", "µm", "1/mm", "per cm", "month"])),
            "resolution": _mostly(numbers),
            "states": _mostly(states_seen),
            "state": _mostly(st.sampled_from(["fresh", "air-dry", "damp"])),
            "age": _mostly(st.sampled_from(["young", "old"])),
        },
    )
)
# Entries that agree with themselves, so that a good share of the specimens is taken.
measured = st.builds(
    lambda values, unit, more: {"values": values, "unit": unit} | more,
    st.lists(st.floats(0.001, 3000) | st.integers(1, 300), min_size=1, max_size=4),
    st.sampled_from(["mm", "cm", "in", "um", "1/mm"]),
    st.fixed_dictionaries(
        {},
        optional={
            "resolution": st.sampled_from([1, 0.5, 0.1]),
            "state": st.sampled_from(["fresh", "air-dry"]),
        },
    ),
)
between = st.builds(
    lambda low, wide, n: {"low": low, "high": low + wide} | ({} if n is None else {"n": n}),
    st.floats(0.01, 300),
    st.floats(0, 30),
    st.none() | st.integers(1, 60),
)
chosen = st.fixed_dictionaries(
    {"states": st.lists(st.sampled_from(["pores", "maze", "teeth", "smooth"]), min_size=1)}
)
good = st.dictionaries(st.sampled_from(CODES[:3]), measured | between, max_size=3).flatmap(
    lambda made: st.just(made) | chosen.map(lambda states: made | {"underside": states})
)


def _specimens(entries):
    return st.fixed_dictionaries(
        {"readings": entries},
        optional={
            "taxon": _mostly(st.sampled_from(["Trametes  versicolor", " ", "\u00a0A\u2003b "])),
            "state": _mostly(st.sampled_from(["fresh", "oven-dry"])),
            "age": _mostly(st.sampled_from(["mature", "mixed"])),
            "id": odd,
        },
    )


@settings(max_examples=1500)
@given(_specimens(good))
def test_good_specimens_are_read_alike(js, data):
    _same(js, data)


@settings(max_examples=2500)
@given(_specimens(_mostly(st.dictionaries(st.sampled_from([*CODES, "cap_widht"]), readings, max_size=2))))
def test_odd_specimens_are_read_or_refused_alike(js, data):
    _same(js, data)


@pytest.mark.parametrize(
    "data",
    [
        *(
            None,
            [],
            3,
            "x",
            {},
            {"colour": "red"},
            {"taxon": 3},
            {"taxon": " "},
            {"state": "damp"},
            {"age": ["old"]},
        ),
        *({"readings": []}, {"readings": None}, {"readings": {"cap_width": 3}}, {"id": ["a", {"b": 1.5}]}),
        {"readings": {"cap_widht": {"values": [1]}}},
        {"readings": {"it's": {"values": [1]}}},
        {"readings": {"underside": {"states": ["holes", "craters"]}}},
        {"readings": {"cap_width": {"values": [3], "unit": "furlong"}}},
        {"readings": {"cap_width": {"values": [3], "unit": 3}}},
        {"readings": {"cap_width": {"values": ["3"]}}},
        {"readings": {"cap_width": {"values": [True]}}},
        {"readings": {"cap_width": {"values": [10**400]}}},
        {"readings": {"cap_width": {"values": [10**9 + 0.5]}}},
        {"readings": {"cap_width": {"values": [1] * 10_001}}},
        {"readings": {"cap_width": {"values": 3}}},
        {"readings": {"cap_width": {}}},
        {"readings": {"cap_width": {"looked": None, "values": [3]}}},
        {"readings": {"underside": {"states": "pores"}}},
        {"readings": {"underside": {"states": ["pores"], "unit": "mm"}}},
        {"readings": {"underside": {"states": ["pores", "maze", "pores"]}}},
        {"readings": {"underside": {"looked": "absent", "states": ["pores"]}}},
        {"readings": {"underside": {"values": [3]}}},
        {"readings": {"cap_width": {"low": 3, "high": 4, "n": 2.5}}},
        {"readings": {"cap_width": {"low": 3, "high": 4, "n": 10**6}}},
        {"readings": {"cap_width": {"low": 1, "high": 5, "n": int("9" * 400)}}},
        {"readings": {"cap_width": {"low": 9.25, "high": 3}}},
        {"readings": {"cap_width": {"values": [3, 4], "n": 3}}},
        {"readings": {"cap_width": {"values": [3], "low": 3}}},
        {"readings": {"cap_width": {"states": ["pores"]}}},
        {"readings": {"cap_width": {"value": 3}}},
        {"readings": {"fruiting_months": {"values": [13]}}},
        {"readings": {"fruiting_months": {"values": [3.5]}}},
        {"readings": {"fruiting_months": {"values": [3], "unit": "month"}}},
        {"readings": {"cap_width": {"values": [5.8], "unit": "cm", "resolution": 0.1}}},
        {"readings": {"cap_width": {"values": [-0.0]}}},
        {"readings": {"cap_width": {"values": [3], "resolution": 0}}},
    ],
    ids=lambda data: ascii(data)[:60],
)
def test_awkward_specimens_are_read_or_refused_alike(js, data):
    _same(js, data)
