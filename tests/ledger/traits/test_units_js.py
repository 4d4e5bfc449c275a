"""Numbers, blanks and units in JavaScript against the Python they follow."""

import re
import unicodedata
from collections.abc import Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.traits.units import accepted, factor_to, number_text, with_unit
from tests.js_side import KNOWN, JsSide

UNITS = ("mm", "um", "1/mm", "month", "furlong")
finite = st.floats(allow_nan=False, allow_infinity=False)
# Values that lie midway between two printed ones, which the two languages round differently.
halves = st.builds(lambda whole, power: (whole + 0.5) / 2**power, st.integers(0, 200_000), st.integers(0, 8))


@pytest.fixture(scope="module")
def js() -> Iterator[JsSide]:
    side = JsSide("run_typed.mjs")
    yield side
    side.close()


@settings(max_examples=1000)
@given(finite | halves | st.integers(0, 10**6).map(lambda n: n / 1000) | st.integers(0, 10**9).map(float))
def test_numbers_print_the_same(js, value):
    wanted = [number_text(value), f"{value:g}", f"{value:.10g}", f"{value:.15g}", f"{value:.0f}", repr(value)]
    said = [js.ask("numberText", value), *(js.ask("general", value, digits) for digits in (6, 10, 15))]
    assert [*said, js.ask("whole", value), js.ask("floatText", value)] == wanted


@pytest.mark.parametrize("value", [100.25, 100.35, 1000.5, 1001.5, 9999.5, 10000.5, 0.00012345, 1e22, 1e-320])
def test_awkward_numbers_print_the_same(js, value):
    assert js.ask("numberText", value) == number_text(value)


@given(st.integers(0, 10**15))
def test_thousands_are_parted_the_same(js, value):
    assert js.ask("thousands", value) == f"{value:,}"


@pytest.mark.parametrize("unit", UNITS)
def test_units_are_the_same(js, unit):
    assert js.ask("accepted", unit) == list(accepted(unit))
    assert js.ask("withUnit", "4", unit) == with_unit("4", unit)


def test_a_number_without_a_unit_is_printed_alone(js):
    assert js.ask("withUnit", "4", None) == with_unit("4", None) == "4"


@given(
    st.sampled_from(UNITS),
    st.none()
    | st.text(alphabet=KNOWN, max_size=6)
    | st.sampled_from(["µm", "μm", "MM", "per  Inch", "je  mm", "\u00a0cm ", "1/IN", '"', "K"]),
)
def test_factors_are_the_same(js, unit, written):
    assert js.ask("factorTo", unit, written) == factor_to(unit, written)


def test_every_character_is_taken_for_the_same_kind(js):
    """Blank, figure, folded, lower, upper and quoted: every character of Python's Unicode but the surrogates.

    Six letters became lower case after the Unicode of Python 3.11; they are left out by name.
    """
    newer = set("\u0295\u10fc\ua7f2\ua7f3\ua7f4\uab69")
    signs = [
        sign
        for sign in map(chr, range(0x110000))
        if unicodedata.category(sign) not in ("Cn", "Cs", "Co") and sign not in newer
    ]

    def each(call):
        return js.ask("each", call, [[sign] for sign in signs])

    assert each("strip") == [sign.strip() for sign in signs]
    assert each("casefold") == [sign.casefold() for sign in signs]
    assert each("isLower") == [sign.islower() for sign in signs]
    assert each("isUpper") == [sign.isupper() for sign in signs]
    assert each("quoted") == [repr(sign) for sign in signs]
    assert each("isWord") == [re.match(r"\w", sign) is not None for sign in signs]
    assert each("isLetter") == [re.match(r"[^\W\d_]", sign) is not None for sign in signs]
    figures = [sign for sign in signs if sign.isdecimal()]
    assert js.ask("each", "plainFigures", [[sign] for sign in figures]) == [
        str(int(sign)) for sign in figures
    ]


@given(st.text(alphabet=KNOWN, max_size=20))
def test_texts_are_handled_the_same(js, text):
    assert js.ask("strip", text) == text.strip()
    assert js.ask("splitBlanks", text) == text.split()
    assert js.ask("quoted", text) == repr(text)
    assert js.ask("lengthOf", text) == len(text)
    assert js.ask("firstOf", text, 5) == text[:5]
    assert js.ask("casefold", text) == text.casefold()
    assert js.ask("stripSigns", text, " ,;") == text.strip(" ,;")
