"""What the phone makes of codes without a signal: read as codes.py reads them, taken once each, odd ones said at once."""

from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from tests.js_side import JsSide
from vouchers.codes import ForeignCode, PartCode, PlaceCode, TrayCode, VoucherCode, read_code

PREFIXES = ["HFG", "OLD"]
KINDS = {
    VoucherCode: "part",
    PartCode: "part",
    PlaceCode: "place",
    TrayCode: "tray",
    ForeignCode: "foreign",
}
ABOUT = {
    "prefixes": PREFIXES,
    "places": [
        [1, "shelf", "Shelf 1", True],
        [2, "box", "Shelf 1 › Box 1", True],
        [9, "box", "Box 9", False],
    ],
    "parts": [
        ["HFG 2026-0001", 2, "Trametes versicolor"],
        ["HFG 2026-0002", 2, ""],
        ["HFG 2026-0003", 9, ""],
        ["HFG 2026-0004", None, ""],
    ],
}
BOX = ("HFG PLACE 2", False)


@pytest.fixture(scope="module")
def js() -> Iterator[JsSide]:
    node = JsSide("run_walk.mjs")
    yield node
    node.close()


signs = st.text("HFGOLDTRAYPCESW 0123456789-–_./ xé￥", max_size=24)
made = st.builds(
    "{}{}{}{}{}".format,
    st.sampled_from(["HFG", "hfg", "OLD", "XYZ", "", "ABCDEFGHI"]),
    st.sampled_from([" ", "", "-", " PLACE ", " TRAY", "  "]),
    st.sampled_from(["2026", "17", "0", "26"]),
    st.sampled_from(["-", "/", " - ", "–", "", "."]),
    st.sampled_from(
        ["118", "0118", "0", "000001", "1234567", "118 S1", "118s 01", "118X2", "118 D0", "118 D1000"]
    ),
)


@given(signs | made)
@example("straße 2026-1")
@example("")
def test_a_code_is_read_as_the_ledger_reads_it(js: JsSide, text: str) -> None:
    code = read_code(text, PREFIXES)
    told = js.ask("readCode", text, PREFIXES)
    assert (told["kind"], told["text"]) == (KINDS.get(type(code), "unknown"), code.text)
    if isinstance(code, PlaceCode):
        assert told["number"] == code.place


def walked(js: JsSide, *codes: tuple[str, bool] | str, about: dict[str, Any] = ABOUT, **given: Any) -> Any:
    asked = [code if isinstance(code, tuple) else (code, False) for code in codes]
    return js.ask("walked", about, asked, *given.values())


def said(result: Any) -> list[tuple[bool, bool]]:
    """Of each code: whether all is well, and whether it is recorded."""
    return [(one["isFine"], one["sighting"] is not None) for one in result["answers"]]


def test_before_a_place_is_scanned_nothing_is_recorded(js: JsSide) -> None:
    result = walked(js, "HFG 2026-0001")
    assert said(result) == [(False, False)]
    assert "Scan the label of the box or shelf first" in result["answers"][0]["said"]


def test_a_walk_of_one_box_needs_no_label(js: JsSide) -> None:
    about = ABOUT | {"places": [[2, "box", "Box 1", True], [9, "box", "Box 9", False]]}
    assert said(walked(js, "HFG 2026-0001", about=about)) == [(True, True)]


def test_what_belongs_there_is_counted(js: JsSide) -> None:
    result = walked(js, BOX, "hfg 2026/1")
    assert said(result) == [(True, True), (True, True)]
    assert result["count"] == {"seen": 1, "expected": 2, "left": ["HFG 2026-0002"]}
    assert result["answers"][1]["said"] == "Trametes versicolor"


@pytest.mark.parametrize(
    ("code", "words"),
    [
        ("HFG 2026-0003", "belongs in Box 9"),
        ("HFG 2026-0004", "no place on record"),
        ("HFG 2026-0077", "not on record"),
        ("XYZ 2026-0001", "another collection"),
        ("HFG TRAY 3", "drying tray"),
        ("HFG PLACE 44", "no such place"),
        ("4006381333931", "no code of this collection"),
    ],
)
def test_what_is_odd_is_recorded_and_said_at_once(js: JsSide, code: str, words: str) -> None:
    result = walked(js, BOX, code)
    assert said(result) == [(True, True), (False, True)]
    assert words in result["answers"][1]["said"]


def test_the_same_code_again_at_once_is_not_recorded_twice(js: JsSide) -> None:
    result = walked(js, BOX, "HFG 2026-0001", "HFG 2026-0001")
    assert said(result)[2] == (True, False)
    assert result["answers"][2]["canBeAnother"]


def test_another_packet_with_the_same_number_is_recorded_by_a_tap(js: JsSide) -> None:
    result = walked(js, BOX, "HFG 2026-0001", ("HFG 2026-0001", True))
    assert said(result)[2] == (False, True)


def test_a_code_that_comes_back_later_is_recorded_as_seen_twice(js: JsSide) -> None:
    result = walked(js, BOX, "HFG 2026-0001", "HFG 2026-0002", "HFG 2026-0001")
    assert said(result)[3] == (False, True)
    assert "seen twice" in result["answers"][3]["said"]


def test_a_code_seen_in_another_place_before_is_said_with_that_place(js: JsSide) -> None:
    result = walked(js, "HFG PLACE 1", "HFG 2026-0001", BOX, "HFG 2026-0001")
    assert "scanned in Shelf 1 before" in result["answers"][3]["said"]


def test_the_label_of_the_place_one_is_in_changes_nothing(js: JsSide) -> None:
    result = walked(js, BOX, "HFG 2026-0001", BOX, "HFG 2026-0001")
    assert said(result)[2:] == [(True, False), (True, False)]


def test_a_place_outside_the_walk_is_said_to_be_one(js: JsSide) -> None:
    result = walked(js, "HFG PLACE 9", "HFG 2026-0003")
    assert said(result) == [(False, True), (True, True)]


def test_a_walk_goes_on_where_it_was_left(js: JsSide) -> None:
    before = [
        {"id": "a", "text": "HFG PLACE 2", "place": 2, "isPlace": True, "takenBack": False},
        {"id": "b", "text": "HFG 2026-0001", "place": 2, "isPlace": False, "takenBack": False},
        {"id": "c", "text": "HFG 2026-0002", "place": 2, "isPlace": False, "takenBack": True},
    ]
    result = walked(js, "HFG 2026-0002", before=before)
    assert result["here"] == 2 and result["count"]["seen"] == 2


def test_a_code_held_before_the_camera_comes_into_view_once(js: JsSide) -> None:
    held = [["A", 100 * n] for n in range(40)]
    assert js.ask("viewed", held) == [True] + [False] * 39


def test_two_codes_in_one_picture_read_in_turn_come_into_view_once_each(js: JsSide) -> None:
    turns = [["AB"[n % 2], 300 * n] for n in range(30)]
    assert js.ask("viewed", turns) == [True, True] + [False] * 28


def test_a_code_that_was_away_comes_into_view_again(js: JsSide) -> None:
    assert js.ask("viewed", [["A", 0], [None, 1000], [None, 2600], ["A", 2700]]) == [True, False, False, True]


def test_a_code_comes_into_view_again_after_others_however_fast_they_are_scanned(js: JsSide) -> None:
    fast = [[text, 50 * n] for n, text in enumerate("ABCDEA")]
    assert js.ask("viewed", fast) == [True] * 6
