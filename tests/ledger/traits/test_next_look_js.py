"""The next look in JavaScript against the Python it follows. That whole checks agree is tested in test_same_rules.py."""

import json
from collections.abc import Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.traits.answers import answers_for
from ledger.traits.next_look import in_short
from ledger.traits.phone_pack import pack, pack_bytes
from ledger.traits.readings import AGES, SPECIMEN_STATES
from ledger.traits.result_json import as_json
from ledger.traits.results import NextLook
from ledger.traits.specimen_json import parse_specimen
from tests.js_side import JsSide
from tests.ledger.traits.making import BLUE, RED, calibrated, checked, reference, row, vocabulary

GREEN = "Viridis exempli"


@pytest.fixture(scope="module")
def js() -> Iterator[JsSide]:
    side = JsSide("run_typed.mjs")
    yield side
    side.close()


def _load(js, known):
    js.ask("pack", json.loads(pack_bytes(pack(known))))


@pytest.mark.parametrize("age", [None, *AGES])
@pytest.mark.parametrize("state", [None, *SPECIMEN_STATES])
def test_the_tables_of_answers_are_the_same(js, whole_reference, state, age):
    _load(js, whole_reference)
    for code, trait in vocabulary().traits.items():
        if trait.kind != "months":
            _same_table(
                js.ask("answersFor", code, state, age), answers_for(whole_reference, trait, state, age)
            )


def _same_table(theirs, ours):
    if ours is None:
        assert theirs is None
        return
    assert theirs["texts"] == list(ours.texts)
    assert theirs["leaves"] == [list(column) for column in ours.leaves]
    assert theirs["entropy"] == pytest.approx(ours.entropy, rel=1e-12, abs=1e-12)
    for one, other in zip(theirs["chances"], ours.chances, strict=True):
        assert one == pytest.approx(other, rel=1e-12, abs=1e-12)
    assert [cut["at"] for cut in theirs["cuts"]] == [cut.at for cut in ours.cuts]
    for one, other in zip(theirs["cuts"], ours.cuts, strict=True):
        assert one["chance"] == pytest.approx(other.chance, rel=1e-12, abs=1e-12)
        assert one["entropy"] == pytest.approx(other.entropy, rel=1e-12, abs=1e-12)
        assert one["moreLeaves"] == list(other.more_leaves)
        assert one["lessLeaves"] == list(other.less_leaves)


def _rot(taxon=RED, **more):
    return row("rot", taxon=taxon, **more)


def _two_ways():
    """Rot (knife) and flexibility (eye, destroyed by drying) part the same two taxa."""
    return (
        row("host", states="hardwood"),
        row("host", states="conifer", taxon=BLUE),
        row("flexibility", states="flexible|stiff"),
        row("flexibility", states="stiff", taxon=BLUE),
    )


_PORES = (row("pores_per_mm", low=4, high=6), row("pores_per_mm", low=1, high=2, taxon=BLUE))


@pytest.mark.parametrize(
    ("rows", "specimen"),
    [
        ((), {}),
        ((_rot(states="white rot"), _rot(BLUE, states="brown rot")), {}),
        (
            (
                _rot(states="white rot"),
                _rot(BLUE, states="brown rot"),
                row("host", states="conifer", taxon=GREEN),
            ),
            {},
        ),
        (
            (_rot(states="white rot"), _rot(BLUE, states="brown rot")),
            {"readings": {"rot": {"looked": "cannot say"}}},
        ),
        (
            (_rot(states="white rot"), _rot(BLUE, states="brown rot")),
            {"readings": {"rot": {"looked": "not looked"}}},
        ),
        (_PORES, {}),
        (_PORES, {"readings": {"underside": {"states": ["gills"]}}}),
        ((row("pores_per_mm", low=0, high=6), row("pores_per_mm", low=6, taxon=BLUE)), {}),
        (
            (
                row("pores_per_mm", low=4, high=4),
                row("pores_per_mm", low=6, high=6, doubtful=True, taxon=BLUE),
            ),
            {},
        ),
        ((row("pores_per_mm", low=4, high=4),), {}),
        ((row("cap_width", low=100, high=200), row("cap_width", low=5, high=20, taxon=BLUE)), {}),
        (_two_ways(), {"state": "fresh"}),
        (_two_ways(), {"state": "air-dry"}),
        ((row("fruiting_months", low=1, high=3), row("fruiting_months", low=7, high=9, taxon=BLUE)), {}),
        (
            (
                row("flexibility", states="flexible", condition="fresh"),
                row("flexibility", states="stiff", condition="fresh", taxon=BLUE),
            ),
            {"state": "air-dry"},
        ),
    ],
)
@pytest.mark.parametrize("rate", [None, 0.2, 1.0])
def test_awkward_references_give_the_same_looks(js, rows, specimen, rate):
    rates = {code: {"error_rate": rate} for code in ("rot", "pores_per_mm", "flexibility")}
    known = reference(*rows, calibration=calibrated(**rates))
    _load(js, known)
    ours = as_json(checked(known, parse_specimen(specimen, known.vocabulary)))["next_look"]
    assert js.ask("nextLooks", specimen) == ours


@given(
    st.booleans(),
    st.floats(0, 3) | st.sampled_from([0.0994, 0.0995, 0.09951, 0.0996, 0.1]),
    st.integers(0, 12_345),
    st.sampled_from([None, *SPECIMEN_STATES]),
)
def test_in_short_it_says_the_same(js, fresh_only, gain, still_open, state):
    """The gain of a result in JSON is that of Python in thousandths."""
    look = NextLook("underside", gain, "eye", fresh_only, (), "")
    told = {"fresh_only": fresh_only, "gain_bits": round(gain, 3)}
    ours = in_short(look, still_open=still_open, state=state)
    assert js.ask("inShort", told, {"stillOpen": still_open, "state": state}) == ours
