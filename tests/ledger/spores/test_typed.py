import pytest

from ledger.spores.typed import MOST_SPORES, SporesError, as_typed, parse_spores

TWO = ((9.5, 4.2), (10.0, 4.0))


@pytest.mark.parametrize(
    "text",
    [
        "9.5 x 4.2, 10 x 4",
        "9.5x4.2,10x4",
        "9.5 x 4.2; 10 x 4",
        "9.5 x 4.2 10 x 4",
        "9.5 x 4.2\n10 x 4",
        "9.5 X 4.2\r\n\r\n10 × 4\n",
        "9.5 × 4.2 µm, 10 × 4 µm",
        "9.5 µm x 4.2 µm, 10um x 4um",
        "9.5*4.2 / 10*4",
        "1. 9.5 x 4.2\n2. 10 x 4",
        "1) 9.5 x 4.2\n2) 10 x 4",
        "9,5 x 4,2; 10 x 4",
        "9,5 x 4,2, 10 x 4",
        "9,5×4,2\n10,0×4,0",
        "9.5\u00a0x\u00a04.2, 10\u202fx 4",
        "9.5 4.2\n10 4",
        "9.5\t4.2\n10\t4",
        "9,5\t4,2\n10\t4",
        "9,5;4,2\n10;4",
        "9,5 4,2\n10 4",
        "9.5, 4.2\n10, 4.0",
        "9.5,4.2\n10,4",
        "length width\n9.5 4.2\n10 4",
        "Width (µm);Length (µm)\n4,2;9,5\n4;10",
        "no\tL\tW\tQ\n1\t9.5\t4.2\t2.26\n2\t10\t4\t2.5",
        "1 9.5 4.2 2.26\n2 10 4 2.5",
        "1 9.5 4.2\n2 10 4",
        "9.5 4.2 2.26\n10 4 2.5",
        "Spores from a print, in water:\n9.5 x 4.2\n10 x 4",
    ],
)
def test_the_same_two_spores_as_people_write_them(text):
    assert parse_spores(text).pairs == TWO


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "No measurement was typed"),
        (" \n ", "No measurement was typed"),
        ("10 x 4,10 x 5", "two ways"),
        ("9.5 x 4,2", "one kind of decimal sign"),
        ("9.5 x 4,2, 10 x 4", "one kind of decimal sign"),
        ("9,4", "9,4 can be 9.4, or 9 long and 4 wide"),
        ("9.5 x 4.2\n10", "Line 2: “10” is not length x width"),
        ("5\n6", "is one number"),
        ("9.5 x 4.2 mm", "the text says mm"),
        ("9500 nm x 4200 nm", "the text says nm"),
        ("(5.2–)5.5–7.0(–7.2) × (1.9–)2.1–2.6(–2.9)", "is a range"),
        ("5-6 x 3", "is a range"),
        ("9.5 4.2 10 4", "4 numbers"),
        ("9.5 4.2 7\n10 4 8", "3 numbers"),
        ("9 4 8 3 7", "5 numbers"),
        ("9.5 4.2\n10", "is one number"),
        ("1 9.5 4.2\n10 4", "another number of columns"),
        ("0 x 4", "has no size"),
        ("9500 x 4200", "no spore"),
        ("9.5 x 4.2 x 3", "“x 3” is not length x width"),
        ("-9.5 x 4.2", "is not length x width"),
        ("9.5 x 4.2 about", "is not length x width"),
        ("l w\n", "no measurement in this"),
    ],
)
def test_what_is_not_clear_is_refused_with_its_line(text, said):
    with pytest.raises(SporesError) as refusal:
        parse_spores(text)
    assert said in str(refusal.value)


def test_what_was_left_out_is_told():
    assert parse_spores("1 9.5 4.2\n2 10 4").left_out == ("a running number before each spore",)
    assert parse_spores("no;length;width\n7;9.5;4.2\n").left_out == ("the column no",)


def test_five_troubles_are_told_and_the_rest_is_counted():
    with pytest.raises(SporesError) as refusal:
        parse_spores("9 x 4\n" + "nine and 4\n" * 8)
    assert len(refusal.value.sentences) == 6 and refusal.value.sentences[-1] == "3 more lines are not read."


def test_more_than_are_kept_together_are_refused():
    assert len(parse_spores("9 x 4\n" * MOST_SPORES).pairs) == MOST_SPORES
    with pytest.raises(SporesError, match="two sets"):
        parse_spores("9 x 4\n" * (MOST_SPORES + 1))


def test_spores_and_repeats_keep_their_order():
    assert parse_spores("9 x 4, 8 x 4, 9 x 4").pairs == ((9.0, 4.0), (8.0, 4.0), (9.0, 4.0))


def test_pairs_written_out_are_read_back_the_same():
    pairs = ((9.5, 4.25), (10.0, 4.0), (0.1, 0.1), (123.456, 1.0))
    assert parse_spores(as_typed(pairs)).pairs == pairs
