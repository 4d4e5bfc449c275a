import pytest

from ledger.traits.units import factor_to, number_text, with_unit


@pytest.mark.parametrize(
    ("unit", "written", "factor"),
    [
        ("mm", None, 1.0),
        ("mm", "cm", 10.0),
        ("mm", "Inch", 25.4),
        ("um", "µm", 1.0),
        ("um", "μm", 1.0),
        ("um", "mm", 1000.0),
        ("1/mm", "per  cm", 0.1),
        ("1/mm", "je mm", 1.0),
        ("mm", "je mm", None),
        ("mm", "1/mm", None),
        ("mm", "furlong", None),
    ],
)
def test_units_convert_to_the_traits_own_or_not_at_all(unit, written, factor):
    assert factor_to(unit, written) == factor


@pytest.mark.parametrize(
    ("value", "text"), [(58.0, "58"), (4.3333, "4.333"), (0.5, "0.5"), (12345.6, "12346")]
)
def test_numbers_print_without_needless_digits(value, text):
    assert number_text(value) == text


def test_units_print_as_people_write_them():
    assert [with_unit("4", unit) for unit in ("mm", "um", "1/mm")] == ["4 mm", "4 µm", "4 per mm"]
