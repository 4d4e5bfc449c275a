"""The check in Python and the check in JavaScript say the same of every specimen."""

import gc
import hashlib
import json
import os
from collections.abc import Iterator
from random import Random
from typing import Any

import pytest
from django.utils import translation
from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st

from ledger.management.commands.check_cases import anew
from ledger.traits.check import check_specimen
from ledger.traits.lookalikes import clear_first
from ledger.traits.phone_pack import pack, pack_digest
from ledger.traits.reference import Reference
from ledger.traits.result_json import as_json
from ledger.traits.specimen_json import SpecimenError, parse_specimen
from tests.js_side import CheckSide
from tests.ledger.traits.drawn import Drawing, smallest, with_house_rules
from tests.ledger.traits.making import FIXTURES

SEED, SPECIMENS = int(os.environ["CHECK_SEED"]), int(os.environ["CHECK_SPECIMENS"])
# In parts that can run side by side; a few more than asked for, since two may come out alike.
PARTS, BATCH = 4, 40
EXAMPLES = -(-SPECIMENS // (PARTS * BATCH)) + 1
HOUSE_RULES = 300
# How far two numbers may lie apart that were rounded after a last digit differed: half a step and a little.
ROUNDED = {"weight_db": 0.0051, "probability": 1.01e-4, "gain_bits": 1.01e-3}


@pytest.fixture(scope="module")
def js() -> Iterator[CheckSide]:
    side = CheckSide()
    yield side
    side.close()


@pytest.fixture(scope="module")
def ruled(whole_reference: Reference) -> Iterator[Reference]:
    """The whole reference and house rules of a club, other ones in each run."""
    made = with_house_rules(whole_reference, Random(SEED), HOUSE_RULES)
    gc.collect()
    gc.freeze()  # a quarter of the time went into looking through references for garbage
    yield made
    gc.unfreeze()


@pytest.mark.parametrize("part", range(PARTS))
def test_thousands_of_drawn_specimens_are_checked_the_same(js, ruled, part):
    """Each run draws others; its summary says by which CHECK_SEED and how many, which repeats it."""
    js.load(ruled)
    drawing, checked = Drawing(ruled), set[int]()

    @seed(SEED * PARTS + part)
    @settings(
        max_examples=EXAMPLES,
        derandomize=False,
        database=None,
        deadline=None,
        phases=(Phase.generate,),
        suppress_health_check=[HealthCheck.too_slow],
    )
    @given(st.randoms(use_true_random=True))
    def compare(random: Random) -> None:
        specimens = [drawing.specimen(random) for _ in range(BATCH)]
        _same(js, ruled, specimens)
        checked.update(hash(json.dumps(one)) for one in specimens)

    compare()
    assert len(checked) >= SPECIMENS / PARTS


def test_tables_made_ahead_change_no_result(js, whole_reference):
    drawing, random = Drawing(whole_reference), Random(SEED)
    js.load(whole_reference, ready=True)
    _same(js, whole_reference, [drawing.specimen(random) for _ in range(BATCH)])


def test_some_hundreds_are_told_the_same_in_another_language(whole_reference):
    side = CheckSide(language="de")
    side.load(whole_reference)
    drawing, random = Drawing(whole_reference), Random(SEED)
    try:
        with translation.override("de"):
            for _ in range(8):
                _same(side, whole_reference, [drawing.specimen(random) for _ in range(BATCH)])
    finally:
        side.close()


def test_specimens_that_cannot_be_checked_are_refused_the_same(js, whole_reference):
    js.load(whole_reference)
    refused = [
        {"readings": {"cap_width": {"values": [-1]}}},
        {"readings": {"underside": {"states": ["bristles"]}}},
        {"readings": {"nose": {}}},
        {"state": "wet"},
    ]
    _same(js, whole_reference, refused)


def test_the_pack_is_read_whole(js, whole_reference):
    assert js.load(whole_reference) == pack_digest(pack(whole_reference))


def _same(js: CheckSide, reference: Reference, specimens: list[dict[str, Any]]) -> None:
    for specimen, place in zip(specimens, _differences(js, reference, specimens), strict=True):
        if place is not None:
            small = smallest(specimen, lambda one: _differences(js, reference, [one]) != [None])
            [place] = _differences(js, reference, [small])
            pytest.fail(f"{place}\nof {json.dumps(small)}")


def _differences(js: CheckSide, reference: Reference, specimens: list[dict[str, Any]]) -> list[str | None]:
    js.send(specimens)  # Node works while Python does
    ours = [_python(reference, one) for one in specimens]
    theirs = js.receive()
    return [None if a == b else difference(a, b) for a, b in zip(ours, theirs, strict=True)]


def _python(reference: Reference, specimen: dict[str, Any]) -> dict[str, Any]:
    try:
        checked = check_specimen(reference, parse_specimen(specimen, reference.vocabulary))
    except SpecimenError as error:
        return {"refused": str(error)}
    first = clear_first(checked.look_alikes)
    result = as_json(checked) | {"stands_out": first.taxon if first else None}
    for look in result["next_look"]:
        for answer in look["answers"]:
            digest = hashlib.sha256("|".join(answer["leaves"]).encode()).hexdigest()
            answer["leaves"] = f"{len(answer['leaves'])} taxa, {digest}"
    return result


def difference(one: Any, other: Any, name: str = "") -> str | None:
    """The first place where two results differ by more than a last digit, and how; None if nowhere."""
    if isinstance(one, dict) and isinstance(other, dict) and one.keys() == other.keys():
        found = (difference(one[key], other[key], key) for key in one)
    elif isinstance(one, list) and isinstance(other, list) and len(one) == len(other):
        found = (difference(a, b, name) for a, b in zip(one, other, strict=True))
    elif _is_number(one) and _is_number(other):
        near = ROUNDED.get(name, 1e-9 * abs(one))
        return None if abs(one - other) <= near else f"{name}: {one!r} in Python, {other!r} in JavaScript"
    else:
        same = one == other and _kind(one) is _kind(other)
        return None if same else f"{name}: {one!r} in Python, {other!r} in JavaScript"
    return next((f"{name}/{place}" if name else place for place in found if place is not None), None)


def _kind(value: object) -> type:
    """A sentence that knows its English is text."""
    return str if isinstance(value, str) else type(value)


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def test_the_comparison_sees_what_differs():
    assert difference({"weight_db": 1.0}, {"weight_db": 1.005}) is None
    assert difference({"weight_db": 1.0}, {"weight_db": 1.01}) is not None
    assert difference({"mean": 4.0}, {"mean": 4.0000001}) is not None
    assert difference({"why": "a"}, {"why": "b"}) == "why: 'a' in Python, 'b' in JavaScript"
    assert difference({"leaves": ["a", "b"]}, {"leaves": ["b", "a"]}) is not None
    assert difference({"slip": {}}, {}) is not None
    assert difference({"decisive": True}, {"decisive": 1}) is not None


def test_the_chosen_specimens_come_out_as_kept_on_both_sides(js, whole_reference):
    """fixtures/check_cases.json; stale: run python manage.py check_cases --write"""
    js.load(whole_reference)
    cases = json.loads((FIXTURES / "check_cases.json").read_text(encoding="utf-8"))
    assert len(cases) >= 60
    specimens = [case["specimen"] for case in cases]
    assert _differences(js, whole_reference, specimens) == [None] * len(cases)
    for case in cases:
        assert anew(whole_reference, case) == case, (
            f"{case['says']}: run python manage.py check_cases --write"
        )
