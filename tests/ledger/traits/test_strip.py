"""Geometry of range strips: everything in per cent of the axis."""

import pytest

from ledger.traits.ranges import DocumentedRange
from ledger.traits.strip import Reach, draw_strip, range_text, short_name


def row(low=None, high=None, *, low_extreme=None, high_extreme=None, source="a", **more):
    return DocumentedRange(
        "Trametes versicolor",
        "cap_width",
        low_extreme,
        low,
        high,
        high_extreme,
        "mm",
        source_id=source,
        **more,
    )


def drawn(*rows, reading=None):
    return draw_strip(
        "cap_width",
        "Cap width",
        "mm",
        [("Trametes versicolor", rows)],
        reading=reading,
        named="Trametes versicolor",
    )


def test_a_bar_runs_from_low_to_high():
    strip = drawn(row(25, 50))
    (bar,) = strip.rows[0].bars
    # The axis ends 4 % beyond the largest number, 50: 25 lies at 25 / 52.
    assert (bar.x, bar.width) == (48.08, 48.07)


def test_a_range_open_below_starts_at_the_axis_and_says_so():
    (bar,) = drawn(row(None, 50)).rows[0].bars
    assert (bar.x, bar.open_low, bar.open_high) == (0.0, True, False)


def test_a_range_open_above_runs_to_the_end_of_the_axis():
    (bar,) = drawn(row(20, None), reading=Reach(60, 60)).rows[0].bars
    assert (bar.x + bar.width, bar.open_high) == (100.0, True)


def test_a_single_figure_is_still_to_be_seen():
    (bar,) = drawn(row(50, 50)).rows[0].bars
    assert bar.width > 0


def test_extremes_reach_beyond_the_bars():
    drawn_row = drawn(row(20, 50, low_extreme=10, high_extreme=80)).rows[0]
    assert drawn_row.extreme_x < drawn_row.bars[0].x
    assert drawn_row.extreme_end > drawn_row.bars[0].x + drawn_row.bars[0].width


def test_the_axis_holds_a_reading_far_beyond_all_ranges():
    mark = drawn(row(20, 80), reading=Reach(580, 580, 0.58)).mark
    assert 90 < mark.lines[0] <= 100
    assert mark.band_x + mark.band_width <= 100


def test_smallest_and_largest_are_two_lines_and_one_value_is_one():
    assert len(drawn(row(20, 80), reading=Reach(30, 60)).mark.lines) == 2
    assert len(drawn(row(20, 80), reading=Reach(30, 30)).mark.lines) == 1


def test_taxa_without_a_range_get_no_row_and_none_at_all_no_strip():
    some = draw_strip("cap_width", "Cap width", "mm", [("Aus bus", (row(1, 2),)), ("Cus dus", ())])
    assert [r.taxon for r in some.rows] == ["Aus bus"]
    assert draw_strip("cap_width", "Cap width", "mm", [("Cus dus", ())]) is None


def test_the_sentence_says_what_the_drawing_shows():
    sentence = drawn(row(20, 80), reading=Reach(58, 58, 0.6)).sentence
    assert sentence == "Cap width, mm. Your reading: 58 ± 0.6 mm. Trametes versicolor: 20–80, 1 source."


@pytest.mark.parametrize(
    ("rows", "text"),
    [
        ([row(20, 80)], "20–80, 1 source"),
        ([row(20, 80), row(30, 90, source="b")], "20–90, 2 sources"),
        ([row(None, 80)], "up to 80, 1 source"),
        ([row(20, None)], "from 20, 1 source"),
        ([row(3, 5, low_extreme=2, high_extreme=6)], "(2–)3–5(–6), 1 source"),
    ],
)
def test_ranges_are_told_as_the_books_write_them(rows, text):
    assert range_text(rows) == text


def test_ticks_stand_at_round_numbers():
    assert [tick.text for tick in drawn(row(20, 80)).ticks] == ["0", "20", "40", "60", "80"]


def test_a_genus_is_shortened_to_its_letter():
    assert (short_name("Trametes versicolor"), short_name("Stereum")) == ("T. versicolor", "Stereum")
