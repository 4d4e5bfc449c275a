import pytest

from vouchers.register.numbers import AccessionNumber, AccessionNumberError, parse_accession_number


def test_a_number_is_written_with_four_places() -> None:
    assert str(AccessionNumber("TFG", 2026, 118)) == "TFG 2026-0118"


def test_a_fifth_place_is_taken_when_needed() -> None:
    assert str(AccessionNumber("TFG", 2026, 12345)) == "TFG 2026-12345"


@pytest.mark.parametrize("text", ["TFG 2026-0118", "tfg2026/118", " TFG-2026-118 ", "TFG 2026 118"])
def test_people_write_it_in_several_ways(text: str) -> None:
    assert parse_accession_number(text) == AccessionNumber("TFG", 2026, 118)


@pytest.mark.parametrize(
    "text", ["", "TFG", "2026-0118", "TFG 26-118", "TFG 2026-0", "TFG 2026-0118-2", "T 2026-1"]
)
def test_what_is_no_number_is_refused_with_the_shape_of_one(text: str) -> None:
    with pytest.raises(AccessionNumberError, match="TFG 2026-0118"):
        parse_accession_number(text)


def test_numbers_are_ordered_by_year_then_serial() -> None:
    assert AccessionNumber("TFG", 2025, 900) < AccessionNumber("TFG", 2026, 2)
