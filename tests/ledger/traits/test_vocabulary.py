import copy
import csv
import json

import pytest

from ledger.traits.reference_files import ReferenceFileError, read_vocabulary
from ledger.traits.vocabulary import EFFORTS, Vocabulary, VocabularyError
from tests.ledger.traits.making import FIXTURES, vocabulary


def _data():
    return json.loads((FIXTURES / "traits.json").read_text(encoding="utf-8"))


def test_every_state_has_a_plain_meaning_and_an_icon():
    states = [state for trait in vocabulary().traits.values() for state in trait.states]
    assert len(states) >= 94
    assert all(s.label and s.icon and s.meaning.endswith(".") and s.meaning.count(".") == 1 for s in states)


def test_the_vocabulary_holds_every_state_the_documented_ranges_use():
    with (FIXTURES / "ranges.csv").open(encoding="utf-8", newline="") as file:
        used = {(r["trait"], s) for r in csv.DictReader(file) for s in r["states"].split("|") if s}
    known = {(t.code, s.code) for t in vocabulary().traits.values() for s in t.states}
    assert used <= known


def test_the_order_at_the_find_starts_with_the_underside():
    assert next(iter(vocabulary().traits)) == "underside"


def test_efforts_cost_more_from_eye_to_microscope():
    costs = [vocabulary().effort_cost[effort] for effort in EFFORTS]
    assert costs == sorted(costs) and costs[0] == 1


def test_what_drying_destroys_is_marked_fresh_only():
    fresh_only = {t.code for t in vocabulary().traits.values() if t.fresh_only}
    assert {"flexibility", "pore_surface_colour", "pores_per_mm", "cap_width", "zonation"} <= fresh_only
    assert not {"rot", "host", "spore_length", "life_span"} & fresh_only


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (lambda t: t.update(kind="colour"), "kind 'colour'"),
        (lambda t: t.update(effort="nose"), "effort 'nose'"),
        (lambda t: t.update(unit="mm"), "unit 'mm'"),
        (lambda t: t.update(states=[]), "has states"),
        (lambda t: t.update(absent_means="none"), "absent_means"),
        (lambda t: t.update(applies_when={"rot": ["green rot"]}), "applies_when"),
        (lambda t: t.update(group="capp"), "group 'capp' is none of fertile side"),
        (lambda t: t.update(shortform=True), "has shortform, which is no key"),
        (lambda t: t.pop("ask"), "lacks ask"),
        (lambda t: t.pop("fresh_only"), "lacks fresh_only"),
        (lambda t: t.update(fresh_only="yes"), "fresh_only 'yes' is neither true nor false"),
        (lambda t: t.update(ask=""), "ask is empty"),
        (lambda t: t.update(resolution=1), "only a number has"),
        (lambda t: t["states"][0].pop("icon"), "state pores lacks icon"),
        (lambda t: t["states"][0].update(hint="x"), "state pores has hint"),
    ],
)
def test_a_wrong_trait_is_refused_by_name(change, message):
    data = copy.deepcopy(_data())
    change(next(t for t in data["traits"] if t["code"] == "underside"))
    with pytest.raises(VocabularyError, match="underside.*" + message.replace("(", r"\(")):
        Vocabulary.from_json(data)


def test_the_file_and_the_start_of_a_trait_without_code_are_named(tmp_path):
    data = _data()
    del data["traits"][0]["code"]
    wrong = tmp_path / "traits.json"
    wrong.write_text(json.dumps(data), encoding="utf-8")
    with pytest.raises(ReferenceFileError, match=r"traits\.json.*'label': 'Underside'.*lacks code"):
        read_vocabulary(wrong)


def test_an_unknown_key_beside_the_traits_is_refused():
    with pytest.raises(VocabularyError, match="the table has trait, which is no key"):
        Vocabulary.from_json(_data() | {"trait": []})


def test_a_trait_that_stands_twice_is_refused():
    data = _data()
    data["traits"].append(data["traits"][0])
    with pytest.raises(VocabularyError, match="stands twice"):
        Vocabulary.from_json(data)
