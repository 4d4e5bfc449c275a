import math

import pytest
from django.utils import translation

from ledger.traits.documented import compile_rows, documented, range_text
from tests.ledger.traits.making import reference, row, vocabulary


def _compile(*rows, state="fresh", age=None):
    return compile_rows(vocabulary().traits[rows[0].trait], rows, state, age)


def test_rows_are_sorted_by_whether_they_judge():
    rows = [row("cap_colour", states="white", condition=c, source=c) for c in ("any", "dry", "young")]
    found = _compile(*rows)
    assert [r.condition for r in found.yes] == ["any"]
    assert [r.condition for r in found.maybe] == ["young"]
    assert len(found.rows) == 3


def test_doubtful_rows_widen_the_bounds_and_give_no_interval():
    found = _compile(
        row("spore_length", low=5, high=6), row("spore_length", low=9, high=12, source="b", doubtful=True)
    )
    assert (found.lowest, found.highest, found.intervals) == (5, 12, ((5, 6),))


def test_up_to_is_open_below_for_what_grows_only():
    assert _compile(row("cap_width", high=80), row("cap_width", low=30, high=90, source="b")).intervals == (
        (-math.inf, 80),
        (30, 90),
    )
    assert _compile(
        row("spore_length", high=6), row("spore_length", low=4, high=5, source="b")
    ).intervals == (
        (4, 6),
        (4, 5),
    )


def test_a_table_for_one_condition_is_made_once():
    known = reference(row("rot", states="white rot"))
    trait = vocabulary().traits["rot"]
    assert documented(known, trait, "fresh", None) is documented(known, trait, "fresh", None)


@pytest.mark.parametrize(
    ("low", "high", "text"),
    [(4, 5, "4–5 per mm"), (4, 4, "4 per mm"), (None, 5, "up to 5 per mm"), (4, None, "4 per mm or more")],
)
def test_a_range_reads_as_people_write_it(low, high, text):
    assert range_text(low, high, "1/mm") == text


def test_what_is_documented_is_told_in_the_language_of_each_who_reads_it():
    pores = _compile(row("underside", states="pores"), row("underside", states="gills", source="b"))
    wide = _compile(row("cap_width", high=80))
    months = _compile(row("fruiting_months", low=5, high=6))
    told = {}
    for language in ("en-gb", "de", "en-gb"):
        with translation.override(language):
            told[language] = [str(known.text) for known in (pores, wide, months)]
    assert told == {
        "en-gb": ["pores or gills", "up to 80 mm", "May, June"],
        "de": ["Poren oder Lamellen", "bis 80 mm", "Mai, Juni"],
    }
