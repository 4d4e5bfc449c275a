"""What printed codes hold, and how they are read however they are typed."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vouchers.codes import (
    KIND_OF_LETTER,
    PART_KINDS,
    ForeignCode,
    PartCode,
    PlaceCode,
    TrayCode,
    UnknownCode,
    VoucherCode,
    kind_word,
    read_code,
)
from vouchers.register.numbers import AccessionNumber

OURS = AccessionNumber("TFG", 2026, 118)


@pytest.mark.parametrize(
    "typed",
    ["TFG 2026-0118", "tfg2026/118", " TFG-2026-118 ", "TFG 2026–0118", "2026-118", "TFG\u00a02026-0118"],
)
def test_a_voucher_is_read_however_it_is_typed(typed: str) -> None:
    assert read_code(typed, "TFG") == VoucherCode(OURS)


@pytest.mark.parametrize(
    "typed", ["TFG 2026-0118 S1", "tfg2026/118s1", "TFG-2026-0118-S1", "2026-118 s 01", "TFG 2026-0118/S-1"]
)
def test_a_part_is_read_however_it_is_typed(typed: str) -> None:
    code = read_code(typed, "TFG")
    assert code == PartCode(OURS, "S1")
    assert (code.kind, code.text) == ("slide", "TFG 2026-0118 S1")


@pytest.mark.parametrize("typed", ["TFG PLACE 17", "place 17", "tfg-place-017", "TFG PLACE17", "Platz 17"])
def test_a_place_is_read(typed: str) -> None:
    assert read_code(typed, "TFG") == PlaceCode("TFG", 17)


def test_a_tray_is_read() -> None:
    assert read_code("tfg tray 5", "TFG") == TrayCode("TFG", 5)


@pytest.mark.parametrize("typed", ["HFG 2026-0118", "HFG 2026-0118 D1", "HFG PLACE 17", "HFG TRAY 5"])
def test_another_prefix_is_another_collection_s(typed: str) -> None:
    assert read_code(typed, "TFG") == ForeignCode("HFG", typed)


def test_a_prefix_the_club_had_before_is_its_own() -> None:
    assert read_code("BL 2024-0007", ["TFG", "BL"]) == VoucherCode(AccessionNumber("BL", 2024, 7))
    assert read_code("2024-0007", ["TFG", "BL"]) == VoucherCode(AccessionNumber("TFG", 2024, 7))


@pytest.mark.parametrize(
    "typed",
    [
        *(
            "",
            "   ",
            "4006381333931",
            "AT 118",
            "https://example.org/TFG 2026-0118",
            "TFG 2026-0000",
            "TFG 2026-O118",
        ),
        *(
            "TFG 2026-0118 S0",
            "TFG 2026-0118 X1",
            "TFG PLACE 0",
            "TFG PLACE",
            "PLACE",
            "TFG 2026",
            "TFG 2026-0118 S",
        ),
    ],
)
def test_anything_else_is_unknown(typed: str) -> None:
    assert read_code(typed, "TFG") == UnknownCode(" ".join(typed.split()))


def test_what_is_read_of_a_long_text_is_cut() -> None:
    assert len(read_code("x" * 5000, "TFG").text) == 60


numbers = st.builds(
    AccessionNumber,
    prefix=st.from_regex(r"[A-Z]{2,8}", fullmatch=True),
    year=st.integers(1000, 9999),
    serial=st.integers(1, 999_999),
)
codes = (
    st.builds(VoucherCode, numbers)
    | st.builds(PartCode, numbers, st.from_regex(f"[{''.join(KIND_OF_LETTER)}][1-9][0-9]?", fullmatch=True))
    | st.builds(PlaceCode, st.from_regex(r"[A-Z]{2,8}", fullmatch=True), st.integers(1, 999_999))
    | st.builds(TrayCode, st.from_regex(r"[A-Z]{2,8}", fullmatch=True), st.integers(1, 999_999))
)


@given(codes)
def test_every_code_is_read_back_from_its_text(code: VoucherCode | PartCode | PlaceCode | TrayCode) -> None:
    prefix = code.number.prefix if isinstance(code, VoucherCode | PartCode) else code.prefix
    assert read_code(code.text, prefix) == code
    assert read_code(code.text.lower().replace(" ", "-"), prefix) == code


@given(codes)
def test_a_code_s_text_is_of_the_alphanumeric_mode_of_qr(
    code: VoucherCode | PartCode | PlaceCode | TrayCode,
) -> None:
    # ISO/IEC 18004, table 5: digits, capital letters, space and $ % * + - . / :
    assert re.fullmatch(r"[0-9A-Z $%*+\-./:]+", code.text)


@given(st.text(max_size=80))
def test_no_text_makes_reading_fail(text: str) -> None:
    read_code(text, "TFG")


def test_the_word_of_a_kind_is_what_the_rows_hold() -> None:
    assert [kind_word(kind.code) for kind in PART_KINDS] == [kind.code for kind in PART_KINDS]
