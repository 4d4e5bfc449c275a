"""The pure parts of the outbox in JavaScript: the seal on a find, the pauses, and the choice between two versions."""

import hashlib
import json
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.js_side import KNOWN, JsSide

text = st.text(alphabet=KNOWN, max_size=40)


@pytest.fixture(scope="module")
def js() -> Iterator[JsSide]:
    side = JsSide("run_phone.mjs")
    yield side
    side.close()


def a_find(**given_: Any) -> dict[str, Any]:
    return {
        "id": "1c",
        "member": 7,
        "state": "waiting",
        "fields": [["locality", "Below"]],
        "photos": [],
        "version": None,
        "openedAt": None,
        "serial": 57,
        "finder": None,
        "foundBy": "",
        "madeAt": 0,
        **given_,
    }


def a_photo(**given_: Any) -> dict[str, Any]:
    return {"sha256": "ab", "bytes": 1000, "view": "cap", "confirmed": False, **given_}


@given(fields=st.lists(st.lists(text, min_size=2, max_size=2), max_size=6), view=text)
def test_the_seal_is_the_one_the_ledger_makes_of_the_same_find(
    js: JsSide, fields: list[list[str]], view: str
) -> None:
    message = js.ask("messageOf", a_find(fields=fields, photos=[a_photo(view=view)]), {"now": 0})
    sealed = [message[name] for name in ("find", "version", "finder", "found_by", "serial", "fields")]
    sealed.append([["ab", 1000, view]])
    words = json.dumps(sealed, ensure_ascii=False, separators=(",", ":"))
    assert message["digest"] == hashlib.sha256(words.encode()).hexdigest()
    assert message["fields"] == fields


def test_bytes_have_the_digest_everybody_gives_them(js: JsSide) -> None:
    assert js.ask("sha256OfBytes", [0, 255, 10]) == hashlib.sha256(bytes([0, 255, 10])).hexdigest()


def test_a_number_written_on_paper_goes_before_the_phones_own(js: JsSide) -> None:
    assert js.ask("messageOf", a_find(), {"now": 0})["serial"] == 57
    assert js.ask("messageOf", a_find(fields=[["serial", " 12 "]]), {"now": 0})["serial"] is None


def test_a_photo_that_was_not_kept_with_the_find_is_not_sent(js: JsSide) -> None:
    find = a_find(photos=[a_photo(), a_photo(sha256="cd", isKept=False)])
    assert [photo["sha256"] for photo in js.ask("messageOf", find, {"now": 0})["photos"]] == ["ab"]


def test_pauses_double_from_two_seconds_to_ten_minutes(js: JsSide) -> None:
    pauses = [js.ask("pauseAfter", tries, 0.5) for tries in (1, 2, 3, 9, 10, 40)]
    assert pauses == [2000, 4000, 8000, 512_000, 600_000, 600_000]


@given(tries=st.integers(1, 60), chance=st.floats(0, 1))
def test_a_pause_is_off_by_a_quarter_at_most(js: JsSide, tries: int, chance: float) -> None:
    usual = min(600_000, 2000 * 2 ** (tries - 1))
    assert 0.75 * usual - 1 <= js.ask("pauseAfter", tries, chance) <= 1.25 * usual + 1


def test_a_find_is_due_when_its_pause_is_over_or_the_clock_was_set_back(js: JsSide) -> None:
    assert js.ask("isDue", a_find(notBefore=None), 1000)
    assert js.ask("isDue", a_find(notBefore=1000), 1000)
    assert not js.ask("isDue", a_find(notBefore=1001), 1000)
    assert js.ask("isDue", a_find(notBefore=10_000_000), 1000)


def test_photos_go_only_when_the_ledger_has_the_find(js: JsSide) -> None:
    assert not js.ask("photosCanGo", a_find(photos=[a_photo()]))
    assert js.ask("photosCanGo", a_find(state="confirmed", onLedger=True, photos=[a_photo()]))
    assert not js.ask(
        "photosCanGo", a_find(state="confirmed", onLedger=True, photos=[a_photo(confirmed=True)])
    )


def test_a_find_stays_in_the_outbox_until_its_last_photo_is_confirmed(js: JsSide) -> None:
    on_ledger = a_find(
        state="confirmed", onLedger=True, photos=[a_photo(), a_photo(sha256="cd", confirmed=True)]
    )
    assert js.ask("isInOutbox", on_ledger)
    assert js.ask("isInOutbox", a_find(state="confirmed", photos=[a_photo(refused="No photo.")]))
    assert not js.ask("isInOutbox", a_find(state="confirmed", photos=[a_photo(confirmed=True)]))
    assert not js.ask("isInOutbox", a_find(state="typing"))


def test_what_is_left_counts_finds_photos_and_bytes(js: JsSide) -> None:
    finds = [
        a_find(state="confirmed", onLedger=True, photos=[a_photo(), a_photo(sha256="cd", confirmed=True)]),
        a_find(fields=[], photos=[a_photo(bytes=500)]),
        a_find(state="refused", photos=[a_photo()]),
        a_find(state="typing", photos=[a_photo()]),
    ]
    assert js.ask("leftOf", finds) == {"finds": 2, "bytes": 1000 + 500 + len("[]"), "photos": 2}


def test_the_progress_says_how_many_of_all_photos_are_sent(js: JsSide) -> None:
    about = {"finds": 3, "sentPhotos": 63, "allPhotos": 200, "number": "AT 7", "size": "12 MB"}
    assert js.ask("sendingWords", about) == "Sending AT 7: 3 finds left, 12 MB. 63 of 200 photos sent."
    one = {"finds": 1, "sentPhotos": 0, "allPhotos": 1, "number": None, "size": "500 kB"}
    assert js.ask("sendingWords", one) == "Sending: 1 find left, 500 kB."


# --- two versions of one find ---


def test_whoever_changed_both_versions_is_not_called_somebody_else(js: JsSide) -> None:
    own = "You changed AT 7 meanwhile, on another phone or page"
    assert js.ask("changedWords", {"by_you": True}, "AT 7") == own
    assert js.ask("changedWords", {"by_you": False}, "AT 7") == "Somebody else changed AT 7 meanwhile"


def change(field: str, was: str, now: str, yours: str, box: str = "") -> dict[str, str]:
    return {
        "field": field,
        "label": field,
        "by": "Bo Reed",
        "was": was,
        "now": now,
        "yours": yours,
        "box": box or field,
    }


def theirs(*changed: dict[str, str], fields: list[list[str]]) -> dict[str, Any]:
    return {"version": 3, "opened_at": "2026-10-03T10:00:00Z", "changed": list(changed), "fields": fields}


def test_nothing_is_chosen_beforehand_where_both_changed_a_field(js: JsSide) -> None:
    answer = theirs(change("host", "", "Fagus", "Picea"), change("smell", "", "flour", ""), fields=[])
    assert [one["choice"] for one in js.ask("questionsOf", answer)] == [None, "now"]


def test_the_same_word_from_both_is_no_question(js: JsSide) -> None:
    assert js.ask("questionsOf", theirs(change("host", "", "Fagus", "Fagus"), fields=[])) == []


def test_what_one_box_holds_together_is_asked_once(js: JsSide) -> None:
    box = "position_typed"
    answer = theirs(
        change("latitude", "51", "52", "53", box), change("longitude", "2", "3", "2", box), fields=[]
    )
    (question,) = js.ask("questionsOf", answer)
    assert (question["was"], question["now"], question["yours"]) == ("51, 2", "52, 3", "53, 2")
    assert question["choice"] is None


def test_a_choice_takes_all_boxes_of_a_reading_and_leaves_the_rest(js: JsSide) -> None:
    mine = [["host", "Picea"], ["r-cap_width-values", "38"], ["r-cap_width-line", ""], ["version", "2"]]
    stored = [["host", "Fagus"], ["r-cap_width-values", "40"], ["r-cap_width-values", "41"]]
    answer = theirs(
        change("host", "", "Fagus", "Picea"),
        change("reading cap_width", "38 mm", "40, 41 mm", "38 mm", "r-cap_width-"),
        fields=stored,
    )
    fields = js.ask("merged", mine, answer, {"host": "yours", "r-cap_width-": "now"})
    assert fields == [
        ["host", "Picea"],
        ["r-cap_width-values", "40"],
        ["r-cap_width-values", "41"],
        ["version", "3"],
        ["opened_at", "2026-10-03T10:00:00Z"],
    ]


def test_a_box_the_ledger_emptied_is_empty_when_its_version_is_chosen(js: JsSide) -> None:
    answer = theirs(change("kept", "yes", "no", "yes", "kept"), fields=[["host", ""]])
    fields = js.ask("merged", [["kept", "on"], ["host", ""]], answer, {"kept": "now"})
    assert ["kept", "on"] not in fields
