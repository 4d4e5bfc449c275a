"""Typed measurements in JavaScript against the Python they follow: the same numbers, the same sentences."""

from collections.abc import Iterator

import pytest
from django.utils import translation
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.traits.typed import TypedError, parse_measure
from tests.js_side import KNOWN, JsSide, SaidError

units = st.sampled_from(["mm", "um", "1/mm", "month", "ell"])
likely = st.text(alphabet='0123456789.,;-–()[] nN=µμ"/cmuinpero\u00a0\t\n٣५𝟗olI\x1c\ufeff', max_size=25)
piece = st.sampled_from(
    [
        *("3", "4.5", "4,5", "0.31", "12,5", "1,234", "1.234,5", ".5", ",5", "10", "0", "999", "5o", "l2"),
        *(" ", " ", " ", "; ", ", ", "-", " – ", "(", ")", "(3-)", "(-6)", " - "),
        *(
            "n=3",
            " n = 2",
            "(n=2)",
            ", N 1",
            "nn=3",
            "xn=2",
            " cm",
            " mm",
            " in",
            '"',
            " µm",
            " per cm",
            "1/in",
            "cm.",
        ),
        *("٣", "１２", "𝟘𝟡", "\u3000", "9" * 30, "ten", "x", "about "),
    ]
)
typed = st.lists(piece, max_size=8).map("".join)

AWKWARD = [
    *(
        "",
        "  ",
        "about 4",
        "-3",
        "0",
        "4-",
        "5-4",
        "4/5",
        "4x5",
        "3.4.5",
        "n=3",
        "4 5 n=3",
        "4 5 n=0",
        "4 furlongs",
    ),
    *(
        "3,5 4 4",
        "3.5 4 4",
        "30; 35;45",
        "30, 35, 45",
        " 30  35\t45 ",
        "4-5 n=3",
        "4–5, n = 3",
        "4 - 5 (n=3)",
    ),
    *(
        "4−5 N 3",
        "(3-)4-5(-6)",
        "(3–)4–5(–6,5)",
        "3,5 cm",
        "5.2 µm",
        "2 in",
        "3.5,4,4.5",
        "3,4,5",
        "1,234",
        "1.234,5",
    ),
    *(
        "13.9-15.3-16.5",
        "3.5 4,5",
        "3,5 4.5",
        "12,5 13.125",
        "5o",
        "5O mm",
        "3.l 4",
        "30 l2",
        "o.5",
        "9" * 400,
    ),
    *(
        "x" * 501,
        "𝟛" * 500,
        "٣٫٥",
        "３，５",
        "4 n=٣",
        "5 n=1",
        "5-6 n=0",
        "it's 4",
        'a "b" it\'s',
        "4\u2028",
        "1e3",
        "1_000",
    ),
    *(
        "1000000000",
        "1000000001",
        "0,0",
        "5-4 cm",
        "4\ufeff",
        "\ufeff4",
        "4 \U0001f344",
        "a\\b",
        "7-7",
        "4 mm n=2",
    ),
]


@pytest.fixture(scope="module")
def js() -> Iterator[JsSide]:
    side = JsSide("run_typed.mjs")
    yield side
    side.close()


def _python(text, unit):
    try:
        made = parse_measure(text, unit)
    except TypedError as error:
        return str(error), error.readings
    return {
        "unit": made.unit,
        "values": list(made.values),
        "lowExtreme": made.low_extreme,
        "low": made.low,
        "high": made.high,
        "highExtreme": made.high_extreme,
        "n": made.n,
        "writtenUnit": made.written_unit,
    }, [_listed(made.bounds(compared)) for compared in ("individual", "mean")]


def _listed(bounds):
    return None if bounds is None else list(bounds)


def _javascript(js, text, unit):
    try:
        made = js.ask("parseMeasure", text, unit)
    except SaidError as error:
        return str(error), error.readings
    return made, [js.ask("boundsOf", made, compared) for compared in ("individual", "mean")]


def _same(js, text, unit):
    assert _javascript(js, text, unit) == _python(text, unit)


@pytest.mark.parametrize("text", AWKWARD, ids=lambda text: ascii(text[:20]))
def test_awkward_texts_are_read_or_refused_alike(js, text):
    for unit in ("mm", "um", "1/mm"):
        _same(js, text, unit)


@settings(max_examples=2000)
@given(typed, units)
def test_measurements_in_pieces_are_read_or_refused_alike(js, text, unit):
    _same(js, text, unit)


@settings(max_examples=1500)
@given(likely, units)
def test_likely_characters_are_read_or_refused_alike(js, text, unit):
    _same(js, text, unit)


@settings(max_examples=500)
@given(st.text(alphabet=KNOWN, max_size=60), units)
def test_any_text_is_read_or_refused_alike(js, text, unit):
    _same(js, text, unit)


@settings(max_examples=500)
@given(st.lists(st.floats(1e-6, 1e6), min_size=1, max_size=5), st.sampled_from(["", " cm", " in", " um"]))
def test_long_decimals_keep_every_digit(js, numbers, unit):
    _same(js, " ".join(f"{number:.17f}" for number in numbers) + unit, "mm")


def test_what_is_typed_is_refused_with_the_same_words_in_another_language():
    side = JsSide("run_typed.mjs", language="de")
    try:
        with translation.override("de"):
            for text in (*AWKWARD, "4 je mm", "4\u00a0je  mm"):
                for unit in ("mm", "um", "1/mm"):
                    _same(side, text, unit)
    finally:
        side.close()
