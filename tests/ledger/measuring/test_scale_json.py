import json

import pytest

from ledger.measuring.lengths import measure
from ledger.measuring.ruler import from_two_points
from ledger.measuring.scale_json import BrokenView, as_json, card_corners, from_json
from tests.ledger.measuring.making import straight_view


def there_and_back(view):
    return from_json(json.loads(json.dumps(as_json(view), allow_nan=False)))


@pytest.mark.parametrize(
    "view", [straight_view(), from_two_points((10, 20), (800, 30), 70.0)], ids=["card", "ruler"]
)
def test_a_length_taken_again_from_what_was_kept_is_the_same_to_the_last_digit(view):
    ends = ((100.5, 200.25), (900.0, 700.0))
    assert measure(there_and_back(view), *ends) == measure(view, *ends)


def test_a_kept_card_says_the_same_sentences():
    kept = there_and_back(straight_view())
    assert (kept.summary, kept.sentences) == (straight_view().summary, straight_view().sentences)


def test_a_card_s_corners_can_be_drawn():
    corners = card_corners(as_json(straight_view()))
    assert len(corners) == 4
    assert corners[0] == pytest.approx(straight_view().corners_px[0].tolist(), abs=0.06)


def test_a_ruler_has_no_corners():
    assert card_corners(as_json(from_two_points((0, 0), (500, 0), 50.0))) is None


@pytest.mark.parametrize(
    "damage",
    [
        {"parameters": [1.0] * 7},
        {"parameters": [float("nan")] * 8},
        {"kind": "huge"},
        {"size_px": None},
        {"covariance": [[0.0] * 8] * 7},
        {"share": "much"},
        {"markers": None},
    ],
)
def test_what_is_broken_is_refused_with_a_sentence(damage):
    with pytest.raises(BrokenView, match="Look for the card again"):
        from_json(as_json(straight_view()) | damage)


def test_nothing_kept_is_refused():
    with pytest.raises(BrokenView):
        from_json({})
