import pytest

from ledger.traits.outcome import month_distance
from ledger.traits.readings import Reading, Specimen, SpecimenError
from tests.ledger.traits.making import RED, calibrated, checked, outcome, reference, row, specimen

FINE = {"resolution": 0.001}
PORES = row("pores_per_mm", low=4, high=7)
WIDTH = row("cap_width", low=20, high=80)


def _pores(value, *rows, band=1.0):
    known = reference(*(rows or (PORES,)), calibration=calibrated(pores_per_mm={"band95": band}))
    return outcome(known, "pores_per_mm", specimen(pores_per_mm={"values": [value], **FINE})).outcome


def _width(values, *rows, band=1.0):
    known = reference(*(rows or (WIDTH,)), calibration=calibrated(cap_width={"band95": band}))
    return outcome(known, "cap_width", specimen(cap_width={"values": values, **FINE})).outcome


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (3.0, "outside"),
        (3.4, "edge"),
        (4.0, "edge"),
        (4.1, "within"),
        (6.9, "within"),
        (8.3, "edge"),
        (8.5, "outside"),
    ],
)
def test_a_mean_counts_on_both_sides_with_the_band_beyond_the_bounds(value, expected):
    assert _pores(value, band=1.2) == expected


def test_means_are_compared_not_single_counts():
    known = reference(PORES)
    found = outcome(
        known, "pores_per_mm", specimen(pores_per_mm={"values": [3.5, 5, 7.5], "resolution": 0.1})
    )
    assert found.outcome == "edge" and found.measured.mean == pytest.approx(16 / 3)


@pytest.mark.parametrize(
    ("values", "expected"),
    [
        ([50], "within"),
        ([10], "cannot tell"),
        ([1], "cannot tell"),
        ([30, 81], "edge"),
        ([30, 90], "outside"),
        ([10, 50], "cannot tell"),
        ([10, 90], "outside"),
    ],
)
def test_smallest_and_largest_cap_are_compared_and_a_small_one_may_be_young(values, expected):
    assert _width(values, band=1.1) == expected


def test_no_growth_trait_below_its_low_bound_is_ever_outside():
    bodies = [row(t, low=10, high=20) for t in ("cap_width", "cap_length", "cap_thickness", "tube_depth")]
    known = reference(*bodies)
    small = specimen(**{one.trait: 0.5 for one in bodies})
    found = {one.trait: one.outcome for one in checked(known, small).traits}
    assert {found[one.trait] for one in bodies} == {"cannot tell"}


def test_a_source_with_an_upper_bound_only_judges_that_side():
    upper = row("cap_width", high=80)
    assert (_width([2], upper), _width([81], upper)) == ("within", "outside")


def test_a_source_with_a_lower_bound_only_does_not_vouch_for_the_other_side():
    rows = (row("pores_per_mm", low=3), row("pores_per_mm", low=4, high=5, source="book-b"))
    assert (_pores(4.5, *rows), _pores(3.5, *rows), _pores(9, *rows)) == ("within", "within", "outside")


def test_the_gap_between_two_sources_is_the_edge():
    rows = (row("pores_per_mm", low=2, high=3), row("pores_per_mm", low=6, high=7, source="book-b"))
    assert _pores(4.5, *rows) == "edge"


def test_rare_extremes_are_allowed():
    assert _pores(8.5, row("pores_per_mm", low=4, high=7, high_extreme=9)) == "within"


def test_a_within_names_the_source_that_would_not_allow_it():
    known = reference(WIDTH, row("cap_width", high=40, source="book-b"))
    found = outcome(known, "cap_width", specimen(cap_width=60))
    assert (found.outcome, found.dissent) == ("within", ("book-b",))
    assert "Not so by Invented book-b" in found.why


def test_a_young_cap_is_no_dissent():
    known = reference(row("cap_width", high=80), row("cap_width", low=40, high=80, source="book-b"))
    assert outcome(known, "cap_width", specimen(cap_width=20)).dissent == ()


def test_what_only_a_doubtful_row_allows_is_the_edge():
    rows = (PORES, row("pores_per_mm", low=9, high=12, source="book-b", doubtful=True))
    assert (_pores(10, *rows), _pores(13, *rows)) == ("edge", "outside")


def test_a_doubtful_state_alone_is_the_edge():
    known = reference(row("underside", states="pores", doubtful=True))
    assert outcome(known, "underside", specimen(underside="pores")).outcome == "edge"


@pytest.mark.parametrize(
    ("seen", "expected"),
    [("white", "within"), ("white|cream", "within"), ("white|brown", "edge"), ("brown", "outside")],
)
def test_states_are_within_as_a_subset_outside_when_disjoint(seen, expected):
    rows = (row("cap_colour", states="white"), row("cap_colour", states="cream", source="book-b"))
    assert outcome(reference(*rows), "cap_colour", specimen(cap_colour=seen)).outcome == expected


@pytest.mark.parametrize("state", ["moist", "air-dry", "oven-dry", "weathered"])
def test_fresh_figures_judge_no_reading_made_otherwise(state):
    known = reference(row("pore_surface_colour", states="white", condition="fresh"))
    found = outcome(known, "pore_surface_colour", specimen(state=state, pore_surface_colour="brown"))
    assert found.outcome == "cannot tell"
    assert (
        "Documented only for fresh" in found.why and state in found.why and "brown as they dry" in found.why
    )


def test_an_old_cap_is_not_judged_by_fresh_figures():
    known = reference(row("flexibility", states="flexible", condition="fresh"))
    found = outcome(known, "flexibility", specimen(age="old", flexibility="stiff"))
    assert found.outcome == "cannot tell" and "stiffen" in found.why


def test_figures_for_old_caps_do_not_judge_a_young_one():
    known = reference(row("cap_colour", states="green", condition="old"))
    assert outcome(known, "cap_colour", specimen(age="young", cap_colour="white")).outcome == "cannot tell"
    assert outcome(known, "cap_colour", specimen(age="old", cap_colour="white")).outcome == "outside"


def test_a_figure_for_any_condition_judges_all():
    known = reference(row("cap_colour", states="green"))
    assert outcome(known, "cap_colour", specimen(state="oven-dry", cap_colour="white")).outcome == "outside"


def test_a_reading_of_unnoted_age_is_excused_by_what_young_ones_show():
    known = reference(
        row("cap_colour", states="brown"),
        row("cap_colour", states="white", condition="young", source="book-b"),
    )
    found = outcome(known, "cap_colour", specimen(cap_colour="white"))
    assert found.outcome == "cannot tell" and "young ones only" in found.why
    assert outcome(known, "cap_colour", specimen(age="mature", cap_colour="white")).outcome == "outside"
    assert outcome(known, "cap_colour", specimen(age="young", cap_colour="white")).outcome == "within"
    assert outcome(known, "cap_colour", specimen(cap_colour="red")).outcome == "outside"


def test_the_state_of_a_reading_goes_before_that_of_the_specimen():
    known = reference(row("pore_surface_colour", states="white", condition="fresh"))
    one = specimen(state="air-dry", pore_surface_colour={"states": ["white"], "state": "fresh"})
    assert outcome(known, "pore_surface_colour", one).outcome == "within"


def test_pores_are_counted_only_where_there_are_pores_or_a_maze():
    known = reference(PORES)
    for underside, expected in {"gills": "not applicable", "maze": "within", "pores|teeth": "within"}.items():
        one = specimen(underside=underside, pores_per_mm={"values": [5], **FINE})
        assert outcome(known, "pores_per_mm", one).outcome == expected


def test_what_does_not_apply_is_not_asked_for_and_says_why():
    found = outcome(reference(PORES), "pores_per_mm", specimen(underside="gills"))
    assert found.outcome == "not applicable"
    assert found.why == "Applies only where underside is pores or maze; here it is gills."


def test_an_underside_that_could_not_be_told_excludes_nothing():
    one = specimen(underside={"looked": "cannot say"}, pores_per_mm={"values": [5], **FINE})
    assert outcome(reference(PORES), "pores_per_mm", one).outcome == "within"


def test_not_looked_cannot_say_and_absent_are_told_apart():
    known = reference(row("margin_colour", states="white"))
    ways = ("not looked", "cannot say", "absent")
    found = [outcome(known, "margin_colour", specimen(margin_colour={"looked": way})) for way in ways]
    assert [one.outcome for one in found] == ["not read", "cannot tell", "cannot tell"]
    assert len({one.why for one in found}) == 3
    assert [one.measured and one.measured.text for one in found] == [None, "cannot say", "looked, absent"]


def test_zones_looked_for_and_absent_are_compared_as_unzoned_and_shown_as_absent():
    found = outcome(
        reference(row("zonation", states="zoned")), "zonation", specimen(zonation={"looked": "absent"})
    )
    assert found.outcome == "outside" and found.measured.text == "looked, absent (that is: unzoned)"


def test_a_trait_no_source_documents_cannot_be_told():
    found = outcome(reference(PORES), "zonation", specimen(zonation="zoned"))
    assert found.outcome == "cannot tell" and "no source" in found.why


@pytest.mark.parametrize(
    ("month", "band", "expected"),
    [
        (10, 0, "within"),
        (1, 0, "within"),
        (3, 0, "within"),
        (4, 1, "edge"),
        (8, 1, "edge"),
        (6, 1, "outside"),
    ],
)
def test_the_season_wraps_and_has_its_band_in_months(month, band, expected):
    known = reference(
        row("fruiting_months", low=9, high=3), calibration=calibrated(fruiting_months={"band95": band})
    )
    assert outcome(known, "fruiting_months", specimen(fruiting_months=month)).outcome == expected


def test_december_is_one_month_from_january():
    assert month_distance(12, frozenset({1, 2})) == 1


def test_an_uncertainty_wider_than_the_range_is_said():
    known = reference(row("pores_per_mm", low=4, high=4.5))
    found = outcome(known, "pores_per_mm", specimen(pores_per_mm={"values": [4], "resolution": 2}))
    assert found.outcome == "edge" and "nothing can be proven" in found.why


def test_a_house_rule_is_flagged_even_where_a_book_allows():
    known = reference(row("cap_width", high=120), row("cap_width", high=80, source="club", binding=True))
    found = outcome(known, "cap_width", specimen(cap_width=95))
    assert (found.outcome, found.house_rule) == ("within", "club")
    assert outcome(known, "cap_width", specimen(cap_width=80)).house_rule is None


def test_a_house_rule_on_states_is_broken_by_any_state_beyond_it():
    known = reference(
        row("host", states="hardwood|conifer"), row("host", states="hardwood", source="club", binding=True)
    )
    assert outcome(known, "host", specimen(host="hardwood|conifer")).house_rule == "club"
    assert outcome(known, "host", specimen(host="hardwood")).house_rule is None


def test_a_young_cap_breaks_no_house_rule():
    known = reference(row("cap_width", low=20, high=80, source="club", binding=True))
    assert outcome(known, "cap_width", specimen(cap_width=5)).house_rule is None


def test_a_reading_filed_under_another_trait_is_refused():
    wrong = Specimen(RED, {"cap_width": Reading("cap_length", values=(3.0,))})
    with pytest.raises(SpecimenError, match="cap_width"):
        checked(reference(WIDTH), wrong)
