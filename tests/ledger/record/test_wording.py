import pytest

from ledger.record.wording import shown


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        ("away_m", 9_999.0, "9,999 m"),
        ("away_m", 10_000, "10.0 km"),
        ("away_m", 123_456, "123 km"),
        ("away_m", 0.5, "0.5 m"),
        ("late_minutes", 0, "0 min"),
        ("late_minutes", 1560, "1 d 2 h"),
        ("behind_db", 14.4, "14 dB"),
        ("step_deg", 0.1, "0.1°"),
        ("count", 3, "3"),
        ("width", 12.50, "12.5"),
        ("host", "oak", "oak"),
        ("wood", ("a", "b", "c"), "a, b and c"),
        ("wood", (), "none"),
        ("wood", None, "not given"),
    ],
)
def test_a_value_is_said_with_the_unit_its_name_ends_in(name, value, words):
    assert shown(name, value) == words
