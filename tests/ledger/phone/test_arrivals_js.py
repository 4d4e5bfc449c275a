"""What became of finds that were sent: whom it is told, in which words, and when "Send now" stands there."""

from collections.abc import Iterator
from typing import Any

import pytest

from tests.js_side import JsSide


@pytest.fixture(scope="module")
def js() -> Iterator[JsSide]:
    side = JsSide("run_phone.mjs")
    yield side
    side.close()


def a_find(number: int, state: str = "confirmed", **given: Any) -> dict[str, Any]:
    about = {
        "id": f"id-{number}",
        "number": f"AN {number}",
        "member": 7,
        "photos": [],
        "version": 1,
        "isTold": False,
    }
    return {**about, "state": state, "confirmedAt": number, **given}


def lines(js: JsSide, *finds: dict[str, Any]) -> list[str]:
    told = js.ask("linesOf", list(finds))
    return ["".join(piece if isinstance(piece, str) else piece["text"] for piece in line) for line in told]


def news(js: JsSide, *finds: dict[str, Any]) -> list[str]:
    return [find["number"] for find in js.ask("newsOf", list(finds), 7)]


def test_a_find_the_ledger_has_confirmed_is_told_with_a_link_to_its_page(js: JsSide) -> None:
    assert lines(js, a_find(37)) == ["AN 37 is on the ledger."]
    assert js.ask("linesOf", [a_find(37)])[0][0]["href"] == "/finds/id-37/"


def test_several_are_told_in_one_line(js: JsSide) -> None:
    assert lines(js, a_find(37), a_find(38), a_find(39)) == ["AN 37, AN 38 and AN 39 are on the ledger."]


def test_photos_that_are_still_on_the_way_are_counted(js: JsSide) -> None:
    photos = [{"confirmed": False}, {"confirmed": True}, {"confirmed": False}]
    assert lines(js, a_find(37, photos=photos)) == ["AN 37 is on the ledger, 2 photos still on the way."]


def test_what_the_ledger_asks_about_leads_to_its_form(js: JsSide) -> None:
    [line] = js.ask("linesOf", [a_find(37, "refused", version=None)])
    assert line == [
        "The ledger asks about AN 37: ",
        {"text": "correct it", "href": "/finds/log/?draft=id-37"},
    ]


def test_what_somebody_else_changed_leads_to_the_choice(js: JsSide) -> None:
    [line] = js.ask("linesOf", [a_find(37, "changed")])
    assert line[0] == "Somebody else changed AN 37 meanwhile: "
    assert line[1]["href"] == "/phone/outbox/?find=id-37"


def test_each_end_is_told_once_and_to_its_own_member_only(js: JsSide) -> None:
    told, of_another = a_find(1, isTold=True), a_find(2, member=8)
    from_before = {name: value for name, value in a_find(3).items() if name != "isTold"}
    assert news(js, told, of_another, from_before, a_find(4), a_find(5, "refused"), a_find(6, "waiting")) == [
        *("AN 4", "AN 5"),
    ]


def test_the_foray_table_tells_of_its_own_finds(js: JsSide) -> None:
    assert news(js, a_find(1, table={"foray": 3})) == []


ABLE = {"left": 2, "isOnline": True, "isSending": False, "why": None}


def test_send_now_stands_where_something_can_be_sent(js: JsSide) -> None:
    said = js.ask("sendNowState", ABLE)
    assert (said["isShown"], said["isDisabled"], said["word"], said["sentence"]) == (
        True,
        False,
        "Send now",
        "",
    )


def test_where_nothing_waits_there_is_no_button(js: JsSide) -> None:
    assert js.ask("sendNowState", ABLE | {"left": 0})["isShown"] is False


def test_without_a_signal_a_sentence_stands_there_instead(js: JsSide) -> None:
    said = js.ask("sendNowState", ABLE | {"isOnline": False})
    assert said["isShown"] is False
    assert said["sentence"].startswith("No signal.")


def test_where_the_ledger_did_not_answer_it_can_be_tried_again(js: JsSide) -> None:
    said = js.ask("sendNowState", ABLE | {"why": "no signal"})
    assert (said["isShown"], said["word"]) == (True, "Try again")
    assert said["sentence"].startswith("The ledger did not answer.")


@pytest.mark.parametrize("why", ["signed out", "ended"])
def test_signed_out_nothing_can_be_sent(js: JsSide, why: str) -> None:
    assert js.ask("sendNowState", ABLE | {"why": why})["isShown"] is False


def test_while_it_is_being_sent_the_button_rests(js: JsSide) -> None:
    said = js.ask("sendNowState", ABLE | {"isSending": True})
    assert (said["isShown"], said["isDisabled"]) == (True, True)
