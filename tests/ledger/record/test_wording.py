import pytest

from ledger.record.wording import shown


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        ("away_m", 9_999.0, "9999 m"),
        ("away_m", 10_000, "10.0 km"),
        ("away_m", 123_456, "123 km"),
        ("away_m", 0.5, "0.5 m"),
        ("late_minutes", 0, "0 min"),
        ("late_minutes", 1560, "1 d 2 h"),
        ("behind_db", 14.4, "14 decibans"),
        ("behind_db", 1, "1 deciban"),
        ("ahead_minutes", 1440, "1 day"),
        ("ahead_minutes", 12 * 1440 + 5, "12 days"),
        ("ahead_minutes", 13_149 * 1440, "36 years"),
        ("found_on", "2062-10-24", "24 October 2062"),
        ("taken_at", "2026-10-03 14:05", "3 October 2026, 14:05"),
        ("found_on", "2062-13-41", "2062-13-41"),
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
