import pytest

from ledger.traits.ranges import DocumentedRange, judges, months_of


@pytest.mark.parametrize(
    ("condition", "state", "age", "expected"),
    [
        ("any", None, None, "yes"),
        ("any", "weathered", "old", "yes"),
        ("fresh", "fresh", None, "yes"),
        ("fresh", "fresh", "mature", "yes"),
        ("fresh", "fresh", "old", "no"),
        ("fresh", "fresh", "mixed", "maybe"),
        ("fresh", "moist", None, "no"),
        ("fresh", "air-dry", None, "no"),
        ("fresh", "weathered", None, "no"),
        ("fresh", None, None, "maybe"),
        ("dry", "air-dry", None, "yes"),
        ("dry", "oven-dry", "old", "yes"),
        ("dry", "fresh", None, "no"),
        ("dry", None, None, "maybe"),
        ("young", "fresh", "young", "yes"),
        ("young", "fresh", "mature", "no"),
        ("young", "fresh", "old", "no"),
        ("young", "fresh", "mixed", "maybe"),
        ("young", "fresh", None, "maybe"),
        ("old", "fresh", "young", "no"),
        ("old", "air-dry", "old", "yes"),
    ],
)
def test_a_row_judges_only_its_own_condition(condition, state, age, expected):
    assert judges(condition, state, age) == expected


def test_a_season_wraps_over_the_new_year():
    assert months_of(11, 2) == {11, 12, 1, 2}


def test_a_season_of_one_month_and_of_the_whole_year():
    assert months_of(5, 5) == {5}
    assert months_of(1, 12) == set(range(1, 13))


def test_extremes_are_the_outermost_bounds():
    both = DocumentedRange("T", "pores_per_mm", low_extreme=3, low=4, high=5, high_extreme=6)
    assert (both.lowest, both.highest) == (3, 6)


def test_a_missing_bound_stays_missing():
    upper = DocumentedRange("T", "cap_width", high=80)
    assert (upper.lowest, upper.highest) == (None, 80)
