import pytest
from django.utils import translation

from ledger.paper import glyphs
from tests.vouchers.labels.making import make_cut, make_label
from vouchers.labels import fit
from vouchers.labels.content import line_word
from vouchers.labels.pdf import _laid_out
from vouchers.labels.prepare import Ready, prepared
from vouchers.labels.sheets import SHEETS
from vouchers.labels.sizes import A4_PACKET_LABEL, SLIP

SMALLEST = A4_PACKET_LABEL.steps[-1]


def plain(text):
    return fit.runs(((text, False),))


def ready(**changed):
    made = prepared(make_label(**changed), A4_PACKET_LABEL)
    assert isinstance(made, Ready)
    return made


def drawn_over(label):
    """How far the label ends below its foot as it is drawn, in millimetres."""
    _, overs = _laid_out({(0, 0): label}, [SHEETS["labels-96x92"]["a4"]])
    return overs[0, 0]


@pytest.mark.parametrize(
    "whole",
    [
        *("6–7 per mm", "3 per mm", "58 mm", "± 9 m", "5.5–6.5 × 2.5–3.5 µm", "12 %", "10–30 cm"),
        *("(n = 3)", "altitude 214 m", "altitude −3 m", "14 Oct 2026"),
        *("6–7 je mm", "Höhe 214 m", "14. Okt. 2026", "3. März 2026"),
    ],
)
def test_what_belongs_together_never_parts(whole):
    assert plain(f"pores {whole}, grey") == (
        ("pores ", False, False),
        (whole, False, True),
        (", grey", False, False),
    )


def test_plain_words_may_part_anywhere():
    assert plain("grey, darkening") == (("grey, darkening", False, False),)


def test_no_text_takes_no_line():
    assert fit.line_count(50, ((), 9)) == 0


def test_a_text_breaks_at_the_last_word_that_fits():
    words = plain("aaaa aaaa aaaa aaaa")
    # Two words and the space between them, in ems of 9 pt, and a hair more.
    two = fit._measured(plain("aaaa aaaa")).whole * 9 * 25.4 / 72 + 0.01
    assert fit.line_count(two, (words, 9)) == 2


def test_a_short_label_gets_the_largest_type_and_a_long_one_smaller():
    assert ready(fresh=(), dry=(), near="").step == 0
    assert ready(fresh=tuple(f"pores {n} per mm at place {n}" for n in range(12))).step > 2


def test_a_label_too_long_for_any_type_is_tried_in_the_smallest():
    assert ready(fresh=("pores grey",) * 200).step == len(A4_PACKET_LABEL.steps) - 1


@pytest.mark.parametrize(
    ("field", "value", "line"),
    [
        ("authority", "x" * 60, "Name"),
        ("determined_basis", "x" * 60, "Det."),
        ("near", "x" * 90, "Near"),
        ("institution", "W" * 40, "Institution"),
        ("accession_number", "TARNSIDE-FUNGARIUM-2026-0118", "Number"),
    ],
)
def test_a_word_wider_than_its_column_names_its_line(field, value, line):
    refusal = prepared(make_label(**{field: value}), A4_PACKET_LABEL)
    assert not isinstance(refusal, Ready)
    assert refusal.line == line


def test_the_same_number_that_is_too_wide_under_a_code_fits_a_slip():
    assert not fit._number_too_wide("TFG2026000118X", SLIP)
    assert fit._number_too_wide("TFG2026000118X" * 3, SLIP)


@pytest.mark.parametrize("words", [3, 12, 25, 40])
def test_the_estimate_is_within_half_a_line_of_the_drawing_for_common_texts(words):
    # Half a line of 9 pt is some 2 mm; texts at the very end of a line can be a whole line off.
    note = "pores grey, darkening when pressed, cap velvety and zoned towards the margin; smell faint " * 4
    label = ready(fresh=(" ".join(note.split()[:words]),))
    over = drawn_over(label)
    estimate = fit.height_mm(label.texts, A4_PACKET_LABEL, A4_PACKET_LABEL.steps[label.step])
    assert estimate == pytest.approx(A4_PACKET_LABEL.room_mm + over, abs=2)


def test_a_wrong_first_guess_is_put_right_by_the_drawing():
    label = ready(fresh=("pores grey, darkening when pressed",) * 6)
    label.step = 0
    over = drawn_over(label)
    assert over > 0
    assert fit.next_step(label.texts, A4_PACKET_LABEL, 0, over) > 0


@pytest.mark.parametrize("language", ["en-gb", "de"])
@pytest.mark.parametrize("sheet", ["packet", "boxes", "duplicates", "annotations"])
def test_no_word_of_the_margin_reaches_the_rule_beside_it(sheet, language):
    size = SHEETS[sheet]["a4"].size
    made = make_cut() if sheet == "annotations" else make_label(moist=("limp",), noted=("on a stub",))
    with translation.override(language):
        words = [line_word(line.word) for line in made.lines()]
    assert words
    for word in words:
        # 8 points, as style.typ sets it; the least white that parts a word from a rule.
        assert glyphs.width_em(word, italic=True) * 8 * 25.4 / 72 < size.margin_mm - 0.8, word
