import json

from ledger.traits.result_json import as_json, error_json
from tests.ledger.traits.making import BLUE, RED, calibrated, checked, reference, row, specimen

KNOWN = reference(
    row("cap_width", high=80, note="single caps"),
    row("cap_width", low=20, high=40, high_extreme=60, source="club", binding=True),
    row("underside", states="pores|maze"),
    row("underside", states="smooth", taxon=BLUE),
    row("rot", states="white rot"),
    row("rot", states="brown rot", taxon=BLUE),
    calibration=calibrated(underside={"decisive": True}),
)


def _json(**more):
    return as_json(checked(KNOWN, specimen(underside="pores", cap_width=[58, 75], **more)), KNOWN)


def test_the_keys_promised_are_there():
    found = _json()
    assert {"taxon", "standing", "traits", "look_alikes", "next_look"} <= set(found)
    assert all(
        {"trait", "outcome", "measured", "documented", "dissent", "why"} <= set(t) for t in found["traits"]
    )
    assert all({"taxon", "standing", "weight_db", "against"} <= set(c) for c in found["look_alikes"])
    unread = as_json(checked(KNOWN, specimen(None)))
    assert all({"trait", "gain_bits", "effort", "answers"} <= set(look) for look in unread["next_look"])
    assert unread["next_look"]


def test_every_documented_range_carries_its_source():
    width = next(t for t in _json()["traits"] if t["trait"] == "cap_width")
    assert [(d["source"], d["citation"]) for d in width["documented"]] == [
        ("book-a", "Invented book-a"),
        ("club", "Invented club"),
    ]


def test_a_missing_bound_is_left_out_and_never_zero():
    width = next(t for t in _json()["traits"] if t["trait"] == "cap_width")
    assert "low" not in width["documented"][0] and width["documented"][0]["high"] == 80


def test_numbers_come_with_their_uncertainty_and_count():
    measured = next(t for t in _json()["traits"] if t["trait"] == "cap_width")["measured"]
    assert (measured["low"], measured["high"], measured["n"], measured["unit"]) == (58, 75, 2, "mm")
    assert round(measured["expanded_uncertainty"], 3) == 0.577


def test_a_broken_house_rule_is_told_with_its_source():
    width = next(t for t in _json()["traits"] if t["trait"] == "cap_width")
    assert width["house_rule"] == "club"


def test_what_was_not_read_was_not_measured():
    rot = next(t for t in _json()["traits"] if t["trait"] == "rot")
    assert (rot["outcome"], rot["measured"]) == ("not read", None)


def test_the_id_is_there_only_if_one_was_given():
    one = specimen(RED)
    assert "id" not in as_json(checked(KNOWN, one))


def test_look_alikes_hold_their_reasons():
    (other,) = _json()["look_alikes"]
    assert other["standing"] == "ruled out" and other["against"][0]["trait"] == "underside"


def test_the_result_is_plain_json():
    assert json.loads(json.dumps(_json(), allow_nan=False))["taxon"] == RED


def test_a_line_that_failed_keeps_its_number_and_reason():
    assert error_json(3, "is not JSON") == {"error": {"line": 3, "reason": "is not JSON"}}
    assert error_json(3, "x", id=9)["id"] == 9
