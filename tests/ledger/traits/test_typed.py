import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.traits.typed import TypedError, parse_measure


def test_decimal_comma_and_point_read_alike():
    assert (
        parse_measure("3,5 4 4", "1/mm").values == parse_measure("3.5 4 4", "1/mm").values == (3.5, 4.0, 4.0)
    )


@pytest.mark.parametrize("text", ["30 35 45", "30; 35;45", "30, 35, 45", " 30  35\t45 "])
def test_replicates_may_be_parted_by_spaces_semicolons_or_comma_and_space(text):
    assert parse_measure(text, "mm").values == (30.0, 35.0, 45.0)


@pytest.mark.parametrize("text", ["4-5 n=3", "4–5, n = 3", "4 - 5 (n=3)", "4−5 N 3"])
def test_low_high_and_n(text):
    found = parse_measure(text, "1/mm")
    assert (found.low, found.high, found.n, found.values) == (4.0, 5.0, 3, ())


def test_extremes_in_brackets():
    found = parse_measure("(3-)4-5(-6)", "1/mm")
    assert (found.low_extreme, found.low, found.high, found.high_extreme) == (3, 4, 5, 6)


def test_extremes_count_where_single_pieces_are_compared_and_not_for_a_mean():
    found = parse_measure("(3–)4–5(–6,5)", "1/mm")
    assert found.bounds("individual") == (3.0, 6.5)
    assert found.bounds("mean") == (4.0, 5.0)


def test_a_unit_in_the_text_is_converted_and_told():
    found = parse_measure("3,5 cm", "mm")
    assert found.values == (35.0,) and found.written_unit == "cm"


def test_the_unit_of_the_box_may_be_repeated_without_ado():
    found = parse_measure("5.2 µm", "um")
    assert found.values == (5.2,) and found.written_unit is None


def test_inches_are_25_4_mm():
    assert parse_measure("2 in", "mm").values == (50.8,)


def test_commas_beside_decimal_points_part_numbers():
    assert parse_measure("3.5,4,4.5", "1/mm").values == (3.5, 4.0, 4.5)


@pytest.mark.parametrize(
    ("text", "ways"),
    [
        ("3,4,5", ("3 4 5", "3.4 5")),
        ("1,234", ("1.234", "1234")),
        ("1.234,5", ("1234.5", "1.234 5")),
        ("13.9-15.3-16.5", ("13.9 15.3 16.5", "13.9-16.5")),
    ],
)
def test_what_reads_two_ways_is_refused_with_both(text, ways):
    with pytest.raises(TypedError) as error:
        parse_measure(text, "mm")
    assert error.value.readings == ways
    assert all(way in str(error.value) for way in ways)


@pytest.mark.parametrize(
    "text",
    [
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
    ],
)
def test_what_is_no_measurement_is_refused(text):
    with pytest.raises(TypedError):
        parse_measure(text, "mm")


@pytest.mark.parametrize("text", ["9" * 400, "1000000001", "999999999 cm", "999999999-999999999 in"])
def test_a_number_too_large_is_refused_in_whichever_unit_it_is_typed(text):
    with pytest.raises(TypedError, match="too large"):
        parse_measure(text, "mm")


@given(st.text(max_size=60), st.sampled_from(["mm", "um", "1/mm"]))
def test_any_text_gives_numbers_above_zero_or_a_typed_error(text, unit):
    try:
        found = parse_measure(text, unit)
    except TypedError as error:
        assert str(error)
        return
    numbers = (*found.values, *(b for b in (found.low, found.high) if b is not None))
    assert numbers and all(number > 0 for number in numbers)


@given(st.text(alphabet="0123456789.,;-–() nµm=cx", max_size=25))
def test_any_text_of_the_right_characters_is_read_or_refused(text):
    try:
        found = parse_measure(text, "mm")
    except TypedError:
        return
    assert found.low is None or found.high is None or found.low <= found.high


@given(st.lists(st.decimals(min_value="0.01", max_value="999", places=2), min_size=1, max_size=8))
def test_what_is_written_out_is_read_back(numbers):
    wanted = tuple(float(number) for number in numbers)
    assert parse_measure("; ".join(str(number) for number in numbers), "mm").values == wanted
    assert parse_measure(" ".join(str(number).replace(".", ",") for number in numbers), "mm").values == wanted


@pytest.mark.parametrize("text", ["3.5 4,5", "3,5 4.5", "12,5 13.125"])
def test_a_point_beside_a_decimal_comma_is_refused_with_both_readings(text):
    with pytest.raises(TypedError) as refused:
        parse_measure(text, "mm")
    assert len(refused.value.readings) == 2


@pytest.mark.parametrize(
    ("text", "letter", "meant"),
    [
        ("5o", "o", "50"),
        ("5O mm", "O", "50"),
        ("3.l 4", "l", "3.1"),
        ("30 l2", "l", "12"),
        ("o.5", "o", "0.5"),
    ],
)
def test_a_letter_in_a_number_is_named_and_the_likely_number_proposed(text, letter, meant):
    with pytest.raises(
        TypedError, match=rf"has the letter {letter} in a number; type {meant} if that is meant"
    ):
        parse_measure(text, "mm")


@pytest.mark.parametrize(
    ("unit", "such_as"),
    [("mm", "type 35, or 30 35 45"), ("1/mm", "type 4, or 4 5 4"), ("um", "type 8.5, or 8 8.5 9.5")],
)
def test_what_may_be_typed_is_said_in_figures_that_the_trait_has(unit, such_as):
    with pytest.raises(TypedError, match=such_as):
        parse_measure("many", unit)
    assert parse_measure(such_as.split(", or ")[1], unit).values
