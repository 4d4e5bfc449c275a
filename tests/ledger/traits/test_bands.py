import pytest

from ledger.traits.bands import ENOUGH, bands, hold_all, is_outside, quantile
from tests.ledger.traits.making import reference, row


def held(*rows):
    return hold_all(reference(*rows))


def beyond(*rows):
    return {one.source: one.beyond for one in held(*rows)}


def test_the_middle_of_one_book_is_held_against_the_bounds_of_the_others():
    found = beyond(row("pores_per_mm", low=2, high=4), row("pores_per_mm", low=5, high=7, source="book-b"))
    # 3 lies a factor 5/3 below 5; 6 lies a factor 6/4 above 4.
    assert found == {"book-a": pytest.approx(5 / 3), "book-b": pytest.approx(1.5)}


def test_a_middle_inside_the_others_does_not_disagree():
    found = beyond(row("pores_per_mm", low=2, high=4), row("pores_per_mm", low=2, high=5, source="book-b"))
    assert found == {"book-a": 1.0, "book-b": 1.0}


def test_the_outermost_bounds_are_the_extremes():
    found = beyond(
        row("pores_per_mm", low=2, high=4, high_extreme=6),
        row("pores_per_mm", low=5, high=7, source="book-b"),
    )
    assert found["book-b"] == 1.0


def test_a_source_with_one_bound_has_no_middle():
    assert (
        beyond(row("cap_width", high=40), row("cap_width", low=10, high=30, source="book-b"))["book-a"]
        is None
    )


def test_a_season_disagrees_by_months_round_the_turn_of_the_year():
    found = beyond(
        row("fruiting_months", low=12, high=2), row("fruiting_months", low=9, high=11, source="book-b")
    )
    assert found == {"book-a": 2.0, "book-b": 2.0}


def test_memory_and_common_practice_are_not_put_to_the_test():
    known = reference(row("underside", states="pores"), row("underside", states="gills", source="book-b"))
    for one, kind in (("book-a", "memory"), ("book-b", "common practice")):
        object.__setattr__(known.sources[one], "kind", kind)
    assert hold_all(known) == ()


def test_a_lone_source_cannot_be_judged():
    assert held(row("underside", states="pores")) == ()


def test_disjoint_states_are_outside_and_shared_ones_are_not():
    found = held(
        row("underside", states="pores"),
        row("underside", states="gills", source="book-b"),
        row("underside", states="gills|maze", source="book-c"),
    )
    assert {one.source: is_outside(one, {}) for one in found} == {
        "book-a": True,
        "book-b": False,
        "book-c": False,
    }


def test_few_disagreements_take_the_band_of_like_traits_where_it_is_wider():
    taxa = [f"Multa exempli{i}" for i in range(ENOUGH)]
    rows = [
        row("cap_thickness", taxon=t, low=2, high=2, source=s) for t in taxa for s in ("book-a", "book-b")
    ]
    rows += [row("cap_width", low=10, high=10), row("cap_width", low=30, high=30, source="book-b")]
    made = bands(held(*rows))
    assert made["cap_thickness"].band95 == 1.0 and not made["cap_thickness"].pooled
    assert made["cap_width"].band95 == 3.0 and made["cap_width"].pooled


def test_a_source_left_out_has_no_say_in_the_band():
    all_rows = (
        row("pores_per_mm", low=2, high=2),
        row("pores_per_mm", low=2, high=2, source="book-b"),
        row("pores_per_mm", low=20, high=20, source="book-c"),
    )
    assert bands(held(*all_rows))["pores_per_mm"].band98 == 10.0
    assert bands(held(*all_rows), {"book-c"})["pores_per_mm"].band98 == 1.0


@pytest.mark.parametrize(("share", "expected"), [(0.5, 2), (0.95, 4), (0.01, 1), (0.75, 3)])
def test_a_quantile_is_the_smallest_value_that_enough_do_not_exceed(share, expected):
    assert quantile([4, 1, 3, 2], share) == expected
