"""What the form says of finds that lie on the phone: whose they are, what they are called, what they share with the next."""

from collections.abc import Iterator
from typing import Any

import pytest

from tests.js_side import JsSide

HOUR = 3_600_000
QUARRY, BRIDGE = [["locality", "Below the quarry"]], [["locality", "By the bridge"]]


@pytest.fixture(scope="module")
def js() -> Iterator[JsSide]:
    side = JsSide("run_phone.mjs")
    yield side
    side.close()


def a_find(number: int, at: int, fields: list[list[str]] = QUARRY, **given: Any) -> dict[str, Any]:
    return {
        "id": f"id-{number}",
        "number": f"AN {number}",
        "madeAt": at,
        "fields": fields,
        "version": None,
    } | given


# --- the same log ---


def test_the_log_is_that_of_the_find_kept_last(js: JsSide) -> None:
    first = js.ask("lastLog", None, a_find(1, 0), HOUR)
    last = js.ask("lastLog", first, a_find(2, HOUR, BRIDGE), 2 * HOUR)
    assert (last["number"], last["fields"]) == ("AN 2", BRIDGE)


def test_an_older_find_that_is_kept_later_takes_nothing_from_the_newest(js: JsSide) -> None:
    newest = js.ask("lastLog", None, a_find(2, HOUR, BRIDGE), HOUR)
    assert js.ask("lastLog", newest, a_find(1, 0), 2 * HOUR) == newest


def test_an_amended_find_is_no_new_log(js: JsSide) -> None:
    newest = js.ask("lastLog", None, a_find(1, 0, BRIDGE), HOUR)
    assert js.ask("lastLog", newest, a_find(2, 2 * HOUR, version=3), 3 * HOUR) == newest
    assert js.ask("lastLog", None, a_find(2, 2 * HOUR, version=3), 3 * HOUR) is None


def test_the_newest_find_kept_once_more_brings_its_place_along(js: JsSide) -> None:
    first = js.ask("lastLog", None, a_find(1, 0), HOUR)
    again = js.ask("lastLog", first, a_find(1, 0, BRIDGE, version=1), 2 * HOUR)
    assert (again["fields"], again["at"]) == (BRIDGE, HOUR)


# --- an unfinished find ---


@pytest.mark.parametrize(
    ("number", "fields", "photos", "said"),
    [
        (
            "AN 5",
            [["name_typed", "Stereum"], ["locality", "Hollin Wood"]],
            2,
            ": AN 5, Stereum with 2 photos.",
        ),
        ("AN 5", [["locality", "Hollin Wood"]], 0, ": AN 5, Hollin Wood."),
        ("AN 5", [], 1, ": AN 5 with 1 photo."),
        (None, [["smell", "flour"]], 0, ", without a name or a place so far."),
    ],
)
def test_an_unfinished_find_is_named_by_what_is_known_of_it(
    js: JsSide, number: str | None, fields: list[list[str]], photos: int, said: str
) -> None:
    find = {"number": number, "fields": fields, "photos": [{}] * photos}
    assert js.ask("unfinishedWords", find, "01:12") == f"You have an unfinished find from 01:12{said}"


# --- whose it is ---


def test_a_find_of_another_member_is_not_for_whoever_is_signed_in(js: JsSide) -> None:
    assert js.ask("isOfAnother", {"member": 7}, {"member": 8}) is True
    assert js.ask("isOfAnother", {"member": 7}, {"member": 7}) is False


def test_a_find_made_while_nobody_was_signed_in_is_anybody_s(js: JsSide) -> None:
    assert js.ask("isOfAnother", {"member": None}, {"member": 8}) is False


def test_it_is_said_whose_find_it_is_and_what_to_do(js: JsSide) -> None:
    said = js.ask("notYours", {"member": 7, "memberName": "Ada Oak", "version": None})
    assert said["wrong"].startswith("This find was begun by Ada Oak on this phone.")
    assert said["do"].startswith("Ada Oak signs in on this phone")


def test_where_the_name_is_not_known_it_is_another_member_s(js: JsSide) -> None:
    said = js.ask("notYours", {"member": 7, "memberName": "", "version": 2, "number": "AO 5"})
    assert said["wrong"].startswith("Changes of AO 5 that another member typed wait on this phone.")


# --- the number of a slip ---

SLIP = {"code": "AT", "serial": 57}


def test_a_find_is_of_the_slip_whose_number_it_bears(js: JsSide) -> None:
    assert js.ask("isOfSlip", {"number": "AT 57", "fields": []}, SLIP) is True
    assert js.ask("isOfSlip", {"number": "AT 58", "fields": []}, SLIP) is False


def test_a_number_that_was_typed_over_goes_before_the_one_it_had(js: JsSide) -> None:
    find = {"number": "AT 57", "memberCode": "AT", "fields": [["serial", "59"]]}
    assert js.ask("isOfSlip", find, SLIP) is False
    assert js.ask("isOfSlip", find | {"number": "AT 3", "fields": [["serial", "57"]]}, SLIP) is True


def test_the_same_serial_of_another_finder_is_another_number(js: JsSide) -> None:
    find = {"number": "BK 57", "memberCode": "BK", "fields": [["serial", "57"]]}
    assert js.ask("isOfSlip", find, SLIP) is False


# --- photos in words ---


@pytest.mark.parametrize(
    ("views", "said"),
    [
        (["cap", "underside"], "2 photos are on the ledger: cap from above, underside."),
        (["underside"], "1 photo is on the ledger: underside."),
        (["cap", "cap", ""], "3 photos are on the ledger: cap from above (2), 1 more."),
        (["", ""], "2 photos are on the ledger."),
        ([], ""),
    ],
)
def test_photos_on_the_ledger_are_told_by_what_they_show(js: JsSide, views: list[str], said: str) -> None:
    assert js.ask("photosThere", [{"view": view} for view in views]) == said


@pytest.mark.parametrize(
    ("view", "name"), [("underside", "Underside"), ("cap", "Cap from above"), ("", "Photo")]
)
def test_a_photo_is_called_by_what_it_shows(js: JsSide, view: str, name: str) -> None:
    assert js.ask("photoName", view) == name


# --- sentences in pieces ---


def test_a_sentence_is_woven_around_what_is_no_text(js: JsSide) -> None:
    assert js.ask("woven", "Write {number} on the packet.", {"number": ["AT 7"]}) == [
        "Write ",
        ["AT 7"],
        " on the packet.",
    ]


def test_a_name_in_braces_without_a_value_stays(js: JsSide) -> None:
    assert js.ask("woven", "{first} and {last}", {"first": 1}) == [1, " and ", "{last}"]


def test_a_word_within_an_english_sentence_is_in_small_letters(js: JsSide) -> None:
    assert js.ask("lowered", "Cap Width") == "cap width"
