from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from ledger.record.facts import WaitingNumbers
from tests.ledger.record.cases import flags_of


def test_a_repeated_number_stops():
    flag = flags_of(same_number_finds=1)["number_repeated"]
    assert flag.severity == "stop"
    assert "ABC 17" in flag.sentence


def test_a_void_number_on_a_find_asks_for_a_look():
    flag = flags_of(number_void_on=date(2026, 10, 9))["number_void"]
    assert flag.severity == "doubt"
    assert "ABC 17 came back unused on 9 October 2026" in flag.sentence


def test_a_number_that_waits_on_another_phone_is_noted_with_whose():
    flag = flags_of(number_waits=WaitingNumbers(11, 30, "Carys Bowen"))["number_on_a_phone"]
    assert flag.severity == "note"
    assert "11 to 30 on the phone of Carys Bowen" in flag.sentence


def test_a_gap_is_a_note_that_names_the_numbers_left_out():
    flag = flags_of(earlier_serial=12, accounted_serials=frozenset({14}))["number_gap"]
    assert flag.severity == "note"
    assert flag.numbers == {"count": 3, "earlier": "ABC 12", "number": "ABC 17", "missing": "13, 15 to 16"}


def test_numbers_that_are_accounted_for_leave_no_gap():
    assert "number_gap" not in flags_of(earlier_serial=14, accounted_serials=frozenset({15, 16}))


def test_the_first_number_of_a_finder_has_no_gap_before_it():
    assert "number_gap" not in flags_of(earlier_serial=None)


def test_a_find_without_number_is_not_judged():
    assert flags_of(collecting_serial=None, same_number_finds=3) == {}


def test_a_serial_with_digits_too_many_is_counted_and_not_walked_through():
    assert flags_of(collecting_serial=4_000_000_000)["number_gap"].numbers["count"] == 4_000_000_000 - 17


@given(
    earlier=st.integers(1, 60),
    step=st.integers(1, 60),
    accounted=st.frozensets(st.integers(1, 130), max_size=40),
)
def test_the_count_is_the_number_of_serials_nothing_accounts_for(earlier, step, accounted):
    serial = earlier + step
    left = [n for n in range(earlier + 1, serial) if n not in accounted]
    flags = flags_of(collecting_serial=serial, earlier_serial=earlier, accounted_serials=accounted)
    assert (flags["number_gap"].numbers["count"] if "number_gap" in flags else 0) == len(left)
