"""The shape of collecting numbers, and the phone's reading of them held to it."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.collecting_numbers import CODE, MOST_SERIAL, CollectingNumber, read_collecting_number
from tests.js_side import Node

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def phone() -> Iterator[Node]:
    side = Node("run_phone.mjs")
    yield side
    side.close()


@pytest.mark.parametrize("typed", ["AT 57", "at57", " At-57 ", "AT.57", "57", "AT 057", "AT/57"])
def test_a_number_is_read_however_it_is_written(typed: str) -> None:
    assert read_collecting_number(typed, "AT") == ("AT", 57, "")


@pytest.mark.parametrize("typed", ["AT 57A", "at57a", "AT-57 A", "57a"])
def test_a_share_is_read_with_its_letter(typed: str) -> None:
    assert str(read_collecting_number(typed, "AT")) == "AT 57A"


@pytest.mark.parametrize(
    "typed",
    [
        *("", "AT", "AT 0", "A 57", "AT 57abc", "AT ٣", "AT 99999999999", "ABCDEFG 1", "AT 9999999999"),
        *("ſt 57", "K\u212a 57"),
    ],
)
def test_what_is_no_number_is_not_read_as_one(typed: str) -> None:
    assert read_collecting_number(typed, "AT") is None


def test_a_figure_alone_is_nobody_s_where_no_code_is_given() -> None:
    assert read_collecting_number("57") is None


numbers = st.builds(
    CollectingNumber,
    st.from_regex(re.compile(CODE), fullmatch=True),
    st.integers(1, MOST_SERIAL),
    st.sampled_from(["", "A", "AB"]),
)


@given(numbers)
def test_a_number_in_an_address_reads_back(number: CollectingNumber) -> None:
    assert read_collecting_number(number.in_address) == number


def asked(phone: Node, text: str) -> Any:
    phone.send({"call": "numberInAddress", "args": [text]})
    return phone.receive()["said"]


@pytest.mark.parametrize(
    "text",
    [
        *(
            "AT-57",
            "at-57",
            "AT-057",
            "AT-0",
            "A-57",
            "ABCDEF-1",
            "ABCDEFG-1",
            "AT-57A",
            "AT-",
            "-57",
            "57",
            "",
        ),
        *(f"AT-{MOST_SERIAL}", f"AT-{MOST_SERIAL + 1}", "AT-99999999999"),
    ],
)
def test_the_phone_reads_an_address_as_the_ledger_does(phone: Node, text: str) -> None:
    read = read_collecting_number(text)
    slip = None if read is None or read.share else {"code": read.code, "serial": read.serial}
    assert asked(phone, text) == slip


def test_no_other_script_knows_the_shape() -> None:
    knows = {
        path.relative_to(ROOT).as_posix()
        for folder, end in (("static/js", "*.js"), ("ledger", "*.py"), ("vouchers", "*.py"))
        for path in (ROOT / folder).rglob(end)
        if "{2,6}" in path.read_text() and "migrations" not in path.parts
    }
    assert knows == {"static/js/phone/collecting_number.js", "ledger/collecting_numbers.py"}
