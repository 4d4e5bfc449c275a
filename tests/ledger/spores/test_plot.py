from ledger.spores.plot import Bounds, draw

PAIRS = [(6.0, 2.5), (6.0, 2.5), (7.0, 2.0)]
BOOK = Bounds("a book", 5.0, 8.0, 1.5, 3.0)


def test_longer_spores_stand_higher_and_wider_ones_further_right():
    dots = {dot.count: dot for dot in draw(PAIRS, []).dots}
    assert dots[1].y < dots[2].y and dots[1].x < dots[2].x


def test_spores_on_one_place_are_one_larger_dot():
    small, large = sorted(draw(PAIRS, []).dots, key=lambda dot: dot.count)
    assert large.count == 2 and round((large.r_px / small.r_px) ** 2, 1) == 2.0


def test_everything_lies_inside_the_frame():
    plot = draw([(95.0, 42.0), *PAIRS], [BOOK])
    for box in plot.boxes:
        assert box.x >= 0 and box.x + box.width <= 100 and box.width > 0
        assert box.y >= 0 and box.y + box.height <= 100 and box.height > 0
    assert all(0 <= dot.x <= 100 and 0 <= dot.y <= 100 for dot in plot.dots)


def test_a_source_that_bounds_one_side_only_is_not_drawn():
    half = Bounds("half", 5.0, None, 1.5, 3.0)
    assert [box.number for box in draw(PAIRS, [half, BOOK]).boxes] == [2]


def test_one_spore_alone_has_a_plot_with_ticks():
    plot = draw([(5.0, 5.0)], [])
    assert len(plot.across) >= 2 and len(plot.up) >= 2


def test_the_sentence_counts_what_lies_inside_a_source():
    said = draw([*PAIRS, (20.0, 9.0)], [BOOK], taxon="Trametes versicolor").sentence
    assert (
        "4 spores" in said
        and "3 of them lie inside" in said
        and "1 source documents of Trametes versicolor" in said
    )
