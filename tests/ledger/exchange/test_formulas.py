"""Cells that would be formulas are text on the way out, and what they were on the way in."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.exchange.formulas import guarded, guarded_row, unguarded

RISKY = st.text(st.sampled_from("=+-@'\t\r\n; ;=12.5aé＝\u00a0"), max_size=12)


@pytest.mark.parametrize(
    "text", ["=1+1", "+44 1234", "-not a number", "@SUM(A1)", "\t=1", "\r=1", "＝1", " =1", "-1-2", "-5e3"]
)
def test_a_cell_that_would_be_a_formula_gets_an_apostrophe(text: str) -> None:
    assert guarded(text).startswith("'" + text[0])


@pytest.mark.parametrize("text", ["-2.34567", "-90", "12", "", "'tis", "Hollin Wood", "a=b", "x - y"])
def test_numbers_and_plain_words_stay_as_they_are(text: str) -> None:
    assert guarded(text) == text


@pytest.mark.parametrize("text", ["a;=1+1", "a\n=1", "two\n- three", "a\t@b"])
def test_where_a_program_may_part_cells_no_formula_begins_either(text: str) -> None:
    guard = guarded(text)
    assert guard != text
    assert unguarded(guard) == text


@given(RISKY)
def test_every_text_comes_back(text: str) -> None:
    assert unguarded(guarded(text)) == text


@given(st.text(max_size=20))
def test_any_text_comes_back(text: str) -> None:
    assert unguarded(guarded(text)) == text


@given(RISKY)
def test_no_piece_between_parting_signs_begins_like_a_formula(text: str) -> None:
    cell = guarded(text)
    if cell != text or not text.lstrip(" \u00a0").startswith(("=", "+", "-", "@")):
        for piece in cell.replace("\t", ";").replace("\r", ";").replace("\n", ";").split(";"):
            assert not piece.lstrip(" \u00a0").startswith(("=", "+", "-", "@", "＝"))


@given(st.lists(RISKY, max_size=6))
def test_a_row_is_guarded_as_its_cells_are(cells: list[str]) -> None:
    assert guarded_row(cells) == [guarded(cell) for cell in cells]
