"""What only fresh material shows and nobody looked at."""

from datetime import UTC, datetime

import pytest

from ledger.taxa.queries import vocabulary
from ledger.traits.readings import Reading
from vouchers.preparation.missed import missed_fresh_only
from vouchers.preparation.order import PRINT, SPORE_PRINT, State, Step, replay

FRESH = State()


def missed(*readings: Reading, specimen_state: str = "fresh", state: State = FRESH) -> tuple[str, ...]:
    by_trait = {reading.trait: reading for reading in readings}
    return missed_fresh_only(vocabulary(), by_trait, specimen_state, state)


def test_all_fresh_only_traits_of_the_vocabulary_are_missed_where_nothing_was_read():
    expected = [code for code, trait in vocabulary().traits.items() if trait.fresh_only]
    expected.remove("spore_print")
    assert missed() == (*expected, SPORE_PRINT)


@pytest.mark.parametrize("looked", ["read", "cannot say", "absent"])
def test_what_was_looked_at_is_not_missed_whatever_came_of_it(looked: str):
    assert "zonation" not in missed(Reading("zonation", looked=looked, states=frozenset({"zoned"})))


def test_not_looked_is_missed():
    assert "zonation" in missed(Reading("zonation", looked="not looked"))


def test_a_reading_made_dry_is_none_of_the_fresh():
    assert "cap_width" in missed(Reading("cap_width", values=(40.0,), state="air-dry"))
    assert "cap_width" not in missed(Reading("cap_width", values=(40.0,), state="moist"))


def test_what_does_not_apply_is_not_missed():
    smooth = Reading("underside", states=frozenset({"smooth"}))
    assert "pores_per_mm" not in missed(smooth)
    assert "pores_per_mm" in missed(Reading("underside", states=frozenset({"pores"})))


def test_a_print_that_was_taken_is_not_asked_for_nor_one_whose_colour_was_read():
    taken = replay([Step(PRINT, datetime(2026, 10, 3, tzinfo=UTC))])
    assert SPORE_PRINT not in missed(state=taken)
    assert SPORE_PRINT not in missed(Reading("spore_print", states=frozenset({"white"})))


@pytest.mark.parametrize("state", ["air-dry", "oven-dry", "weathered"])
def test_a_specimen_found_dry_has_nothing_left_to_miss(state: str):
    assert missed(specimen_state=state) == ()
