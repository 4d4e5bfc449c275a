import pytest

from ledger.record.decay import DecayScaleError, scales_from_json
from tests.ledger.record.cases import LIMITS

STEP = {"code": "1", "label": "fresh", "meaning": "Sound.", "criteria": {}}
SCALE = {"code": "own", "label": "Our own", "wood": ["stump"], "source": "from memory", "classes": [STEP]}


def test_a_scale_of_the_clubs_own_can_be_added():
    scale = scales_from_json({"scales": [SCALE]})["own"]
    assert scale.classes["1"].brackets_expected
    assert scale.wood == {"stump"}


def test_a_scale_without_source_is_refused():
    with pytest.raises(DecayScaleError, match="'own' has no source"):
        scales_from_json({"scales": [{**SCALE, "source": ""}]})


def test_a_class_that_stands_twice_is_refused():
    with pytest.raises(DecayScaleError, match="twice"):
        scales_from_json({"scales": [{**SCALE, "classes": [STEP, STEP]}]})


def test_each_kept_class_has_plain_words_of_its_own():
    for scale in LIMITS.decay_scales.values():
        meanings = [step.meaning for step in scale.classes.values()]
        assert len(set(meanings)) == len(meanings) == 5
        assert all(meaning.endswith(".") for meaning in meanings)
