"""One message of the outbox as bytes: read whole, or refused in words; nothing else comes out."""

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.phone.payload import PayloadError, Tampered, digest_of, parse_message

FIND = "6f0c1f0e-3a53-4f2c-9d60-0d5a0b7a1c11"
PHOTO = {"sha256": "ab" * 32, "bytes": 1234, "view": "cap"}


def message(**given_: Any) -> dict[str, Any]:
    data: dict[str, Any] = {
        "find": FIND,
        "member": 7,
        "version": None,
        "made_at": "2026-10-03T09:00:00.000Z",
        "sent_at": "2026-10-03T11:00:00.000Z",
        "reference": "cd" * 32,
        "finder": None,
        "found_by": "",
        "serial": 57,
        "fields": [["locality", "Höhe, below the “old” bridge\n"], ["r-underside-states", "pores"]],
        "photos": [PHOTO],
    }
    data |= given_
    return data | {"digest": given_.get("digest") or digest_of(data)}


def sent(data: Any) -> bytes:
    return json.dumps(data).encode()


def test_a_message_is_read_as_it_was_made() -> None:
    read = parse_message(sent(message()))
    assert (str(read.find), read.member, read.serial, read.version) == (FIND, 7, 57, None)
    assert read.fields[1] == ("r-underside-states", "pores")
    assert (read.photos[0].sha256, read.photos[0].bytes) == ("ab" * 32, 1234)


def test_the_seal_is_the_one_that_a_browser_makes() -> None:
    # From Node 20: crypto.createHash("sha256").update(JSON.stringify([...])), see tests/js and static/js/phone/digest.js.
    text = (
        f'["{FIND}",null,null,"",57,[["locality","Höhe, below the “old” bridge\\n"],["r-underside-states","pores"]],'
        f'[["{"ab" * 32}",1234,"cap"]]]'
    )
    import hashlib

    assert digest_of(message()) == hashlib.sha256(text.encode()).hexdigest()


@pytest.mark.parametrize(
    "change",
    [
        {"fields": [["locality", "Elsewhere"]]},
        {"serial": 58},
        {"found_by": "Guest"},
        {"photos": []},
        {"finder": 9},
        {"version": 3},
    ],
)
def test_what_was_changed_on_the_way_is_refused(change: dict[str, Any]) -> None:
    with pytest.raises(Tampered):
        parse_message(sent(message() | change))


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"find": "nonsense"}, "UUID"),
        ({"find": FIND.upper()}, "small letters"),
        ({"member": "7"}, "member"),
        ({"member": True}, "member"),
        ({"serial": -1}, "serial"),
        ({"serial": 1e30}, "serial"),
        ({"fields": {"a": "b"}}, "fields"),
        ({"fields": [["a"]]}, "pair"),
        ({"fields": [["a", "b\0"]]}, "keyboard"),
        ({"fields": [["note", "x" * 20_001]]}, "box note holds more than 20,000"),
        ({"photos": [{"sha256": "AB" * 32, "bytes": 1, "view": ""}]}, "sha256"),
        ({"photos": [PHOTO] * 201}, "photos"),
    ],
)
def test_what_cannot_be_read_is_named(change: dict[str, Any], told: str) -> None:
    with pytest.raises(PayloadError, match=told):
        parse_message(sent(message() | change))


def test_half_a_surrogate_pair_is_refused() -> None:
    with pytest.raises(PayloadError):
        parse_message(b'{"find": "\\ud800"}')


@pytest.mark.parametrize(
    "when", ["+01202-10-03T09:00:00Z", "yesterday", "2026-10-03", "", 5, "9999-12-31T23:59:59-23:00"]
)
def test_a_time_that_is_none_is_left_out(when: object) -> None:
    assert parse_message(sent(message(sent_at=when))).sent_at is None


@pytest.mark.parametrize(
    ("when", "year"),
    [
        ("+012026-10-03T09:00:00.000Z", 9999),
        ("-000001-10-03T09:00:00.000Z", 1),
        ("0000-01-01T00:00:00.000Z", 1),
    ],
)
def test_a_time_beyond_the_years_of_a_calendar_is_its_end_on_that_side(when: str, year: int) -> None:
    read = parse_message(sent(message(sent_at=when))).sent_at
    assert read is not None
    assert read.year == year


@given(st.binary(max_size=200))
def test_no_bytes_do_anything_but_be_refused(raw: bytes) -> None:
    with pytest.raises(PayloadError):
        parse_message(raw)


_json = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=6), inner, max_size=3),
    max_leaves=8,
)


@given(st.sampled_from(sorted(message())), _json)
def test_any_value_in_any_place_is_read_or_refused(name: str, value: Any) -> None:
    try:
        read = parse_message(sent(message() | {name: value}))
    except PayloadError:
        return
    assert str(read.find) == FIND
