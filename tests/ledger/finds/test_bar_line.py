"""The check in one line: what stands in it, and that it fits."""

import re

import pytest

from ledger.finds.bar_line import MOST_CHARACTERS, bar_line
from ledger.finds.checkup import check_up
from ledger.traits.readings import Reading, Specimen


def line(reference, taxon=None, *readings):
    return bar_line(check_up(reference, Specimen(taxon, {reading.trait: reading for reading in readings})))


ORANGE = tuple(
    Reading(trait, states=frozenset({state}))
    for trait, state in {
        "underside": "pores",
        "pore_surface_colour": "orange",
        "cap_colour": "orange",
        "cap_surface": "velvety",
        "consistency": "leathery",
        "rot": "white rot",
    }.items()
)
SMOOTH = Reading("underside", states=frozenset({"smooth"}))


def test_nothing_read_says_so_and_what_to_look_at_first(whole_reference):
    assert line(whole_reference).startswith("Nothing is read yet · next: ")


def test_a_name_is_told_with_its_standing(whole_reference):
    assert line(whole_reference, "Trametes versicolor", SMOOTH).startswith("T. versicolor: ruled out")


def test_without_a_name_it_tells_how_many_are_open_while_none_stands_out(whole_reference):
    assert re.match(r"\d\d taxa still open · next: ", line(whole_reference, None, SMOOTH))


def test_without_a_name_the_best_fit_is_told_once_it_stands_out(whole_reference):
    assert line(whole_reference, None, *ORANGE).startswith("Fits best: T. cinnabarina")


@pytest.mark.parametrize("readings", [(), (SMOOTH,)])
def test_it_fits_into_the_bar_for_every_taxon(whole_reference, readings):
    lines = [line(whole_reference, taxon, *readings) for taxon in (None, *whole_reference.taxa)]
    assert max(map(len, lines)) <= MOST_CHARACTERS
