from typing import Any

import pytest

from ledger.taxa.queries import vocabulary
from ledger.taxa.range_words import bounds_words, states_words

NONE: dict[str, Any] = {"low_extreme": None, "low": None, "high": None, "high_extreme": None}


@pytest.mark.parametrize(
    ("trait", "bounds", "said"),
    [
        ("cap_width", {"high": 80.0}, "cap width up to 80 mm"),
        ("cap_width", {"low": 20.0}, "cap width from 20 mm"),
        ("cap_width", {"low": 20.0, "high": 80.0, "high_extreme": 110.0}, "cap width 20 to 80 mm, rarely up to 110"),
        (
            "spore_length",
            {"low_extreme": 4.5, "low": 5.0, "high": 6.0, "high_extreme": 7.5},
            "spore length 5 to 6 µm, rarely down to 4.5 and up to 7.5",
        ),
        ("spore_length", {"low": 5.0, "high": 5.0}, "spore length 5 µm"),
        ("cap_width", {"low_extreme": 10.0}, "cap width rarely down to 10 mm"),
        ("pores_per_mm", {"low": 3.0, "high": 5.0}, "pores per millimetre 3 to 5"),
    ],
)  # fmt: skip
def test_bounds_are_said_in_words(trait: str, bounds: dict[str, float], said: str) -> None:
    assert bounds_words(vocabulary().traits[trait], **{**NONE, **bounds}) == said


def test_states_are_said_by_their_labels_in_the_order_of_the_vocabulary() -> None:
    assert states_words(vocabulary().traits["underside"], ["maze", "pores"]) == "underside pores or maze"
