import pytest

from ledger.row_keys import key_of


def test_a_key_is_read_as_it_stands() -> None:
    assert key_of("42") == 42


@pytest.mark.parametrize("text", [None, "", "-1", "1.0", " 1", "٣", "1" * 16, "x"])
def test_whatever_no_row_can_have_is_the_key_of_none(text: str | None) -> None:
    assert key_of(text) == 0
