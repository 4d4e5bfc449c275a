import pytest

from ledger.slips.numbers_text import in_address, read_number


@pytest.mark.parametrize("typed", ["AT 57", "at57", " At-57 ", "AT.57", "57", "AT 057"])
def test_a_number_is_read_however_it_is_written(typed):
    assert read_number(typed, "AT") == ("AT", 57)


@pytest.mark.parametrize(
    "typed", ["", "AT", "AT 0", "A 57", "AT 57b", "AT ٣", "AT 99999999999", "ABCDEFG 1", "AT 9999999999"]
)
def test_what_is_no_number_is_not_read_as_one(typed):
    assert read_number(typed, "AT") is None


def test_a_number_in_an_address_reads_back():
    assert read_number(in_address("AT", 57), "") == ("AT", 57)
