from ledger.spores.notation import counted, ends, written
from ledger.spores.statistics import figures, summary


def test_few_spores_have_no_percentiles():
    assert ends(figures([5.0, 6.0, 7.0])) == "5.0–7.0"
    assert ends(figures([5.0])) == "5.0"


def test_an_end_that_would_be_printed_as_the_extreme_is_left_out():
    same_below = [5.0] * 10 + [6.0] * 9 + [9.0]
    assert ends(figures(same_below)) == "5.0–6.2(–9.0)"


def test_all_alike_is_one_number():
    assert ends(figures([5.0] * 12)) == "5.0"


def test_counts_of_spores_fruit_bodies_and_collections():
    assert counted(30, 2) == "[30/2/1]"
    assert counted(30, None) == "[30]"


def test_a_whole_line():
    pairs = [(6.0, 3.0)] * 6 + [(6.6, 3.0)] * 6
    assert written(summary(pairs), fruit_bodies=1) == (
        "[12/1/1] 6.0–6.6 × 3.0 µm, L = 6.30 µm, W = 3.00 µm, Q = 2.0–2.2, Qm = 2.10, n = 12"
    )
