import pytest

from vouchers.codes import UnknownCode, read_code
from vouchers.loans.numbers import BORROWING, LEAVE, LOAN, SENDING, PaperNumber, read_paper_number


@pytest.mark.parametrize("typed", ["L2026-003", "l2026/3", " L 2026-003 ", "L-2026-0003"])
def test_a_number_is_read_as_people_write_it(typed: str) -> None:
    assert read_paper_number(typed, LOAN) == PaperNumber(LOAN, 2026, 3)


@pytest.mark.parametrize("typed", ["", "B2026-003", "L2026-0", "L2026", "TFG 2026-0118", "L٢٠٢٦-003x"])
def test_what_is_no_number_of_the_series_is_none(typed: str) -> None:
    assert read_paper_number(typed, LOAN) is None


def test_the_thousandth_of_a_year_takes_a_fourth_figure() -> None:
    assert str(PaperNumber(LOAN, 2026, 1000)) == "L2026-1000"


@pytest.mark.parametrize("letter", [LOAN, BORROWING, SENDING, LEAVE])
def test_no_number_of_a_paper_is_taken_for_a_specimen(letter: str) -> None:
    assert isinstance(read_code(str(PaperNumber(letter, 2026, 118)), "TFG"), UnknownCode)
