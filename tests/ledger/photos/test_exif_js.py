"""The EXIF reader of the phone against the ledger's own: the same place, time and error of the same bytes."""

import base64
import struct
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.photos.exif import read_facts
from tests.factories import picture
from tests.js_side import Node
from tests.ledger.photos.built import ASCII, BYTE, PLACE, RATIONAL, photo

DATA = Path(__file__).parent / "data"


@pytest.fixture(scope="module")
def js() -> Iterator[Node]:
    side = Node("run_photo.mjs")
    yield side
    side.close()


def read(js: Node, data: bytes) -> Any:
    js.send(base64.b64encode(data).decode())
    return js.receive()


def ours(data: bytes) -> dict[str, Any]:
    facts = read_facts(data)
    return {
        "day": f"{facts.taken_at:%Y-%m-%d}" if facts.taken_at else None,
        "time": f"{facts.taken_at:%H:%M}" if facts.taken_at else None,
        "offsetMinutes": facts.utc_offset_minutes if facts.taken_at else None,
        "latitude": facts.latitude,
        "longitude": facts.longitude,
        "errorM": facts.error_m,
        "altitudeM": facts.altitude_m,
    }


def same(here: dict[str, Any], there: dict[str, Any]) -> bool:
    def alike(one: Any, other: Any) -> bool:
        if isinstance(one, int | float) and isinstance(other, int | float):
            return abs(one - other) <= 1e-9 * max(1.0, abs(other))
        return bool(one == other)

    return here.keys() == there.keys() and all(alike(here[name], there[name]) for name in there)


rational = st.tuples(
    st.sampled_from([0, 1, 8, 51, 59, 60, 90, 2846, 17_999, 4_294_967_295]), st.sampled_from([0, 1, 10, 100])
)
gps_block = st.fixed_dictionaries(
    {},
    optional={
        1: st.sampled_from(["N", "S", "s", "", "X"]).map(lambda text: (ASCII, text)),
        2: st.lists(rational, min_size=1, max_size=4).map(lambda parts: (RATIONAL, parts)),
        3: st.sampled_from(["E", "W", "w", "?"]).map(lambda text: (ASCII, text)),
        4: st.lists(rational, min_size=3, max_size=3).map(lambda parts: (RATIONAL, parts)),
        5: st.integers(0, 5).map(lambda ref: (BYTE, [ref])),
        6: rational.map(lambda part: (RATIONAL, [part])),
        31: rational.map(lambda part: (RATIONAL, [part])),
    },
)
DATES = [
    *("2026:10:03 09:12:55", "2026-10-03 09:12:55", "2024:02:29 23:59:59", "2023:02:29 10:00:00"),
    *("    ", "0000:00:00 00:00:00", "2026:13:01 00:00:00", "yesterday"),
]
exif_block = st.fixed_dictionaries(
    {},
    optional={
        0x9003: st.sampled_from(DATES).map(lambda text: (ASCII, text)),
        0x9011: st.sampled_from(["+01:00", "-05:30", "+15:00", "Z", "", "+1:00", "-12:00"]).map(
            lambda text: (ASCII, text)
        ),
    },
)  # fmt: skip


@settings(max_examples=400)
@given(gps_block, exif_block)
def test_any_block_of_metadata_is_read_alike(js: Node, gps: Any, exif: Any) -> None:
    data = photo(exif_=exif, gps=gps)
    assert same(read(js, data)["facts"], ours(data)), (read(js, data)["facts"], ours(data))


def test_a_full_place_and_time_fill_the_form(js: Node) -> None:
    data = photo(
        exif_={0x9003: (ASCII, "2026:10:03 09:12:55"), 0x9011: (ASCII, "+01:00")},
        gps=PLACE | {6: (RATIONAL, [(1234, 10)]), 31: (RATIONAL, [(83, 10)])},
    )
    told = read(js, data)
    assert told["says"] == "3 Oct 2026 09:12 · place ± 8 m"
    assert told["fills"]["what"] == "place and time"
    assert told["fills"]["fields"] == {
        "position_typed": "51.474333, -0.001475",
        "position_source": "photo",
        "uncertainty_m": "8",
        "altitude_m": "123",
        "found_on": "2026-10-03",
        "found_at_time": "09:12",
        "utc_offset_minutes": "60",
    }


def test_a_place_without_an_error_keeps_no_error_of_another_place(js: Node) -> None:
    assert read(js, photo(gps=PLACE))["fills"]["fields"]["uncertainty_m"] == ""


def test_metadata_written_by_pillow_are_read(js: Node) -> None:
    data = picture(position=(51.23456, -2.34567))
    assert same(read(js, data)["facts"], ours(data))


def test_a_photo_without_metadata_says_nothing(js: Node) -> None:
    told = read(js, picture())
    assert set(told["facts"].values()) == {None}
    assert (told["says"], told["fills"]["what"]) == ("", "")


@pytest.mark.parametrize("name", ["tiny_upright.heic", "tiny_turned.heic"])
def test_a_heic_is_read_alike(js: Node, name: str) -> None:
    data = (DATA / name).read_bytes()
    told = read(js, data)
    assert told["facts"]["day"] == "2025-10-04"
    assert same(told["facts"], ours(data))


def test_a_heic_whose_metadata_stand_far_behind_is_read_by_its_own_stretch(js: Node) -> None:
    """As phones write them that put the picture first: only the block is read, not all of a file."""
    data = (DATA / "tiny_upright.heic").read_bytes()
    at, length = 0x23C, 0x134
    block, far = data[at : at + length], 400_000
    head = data.replace(struct.pack(">II", at, length), struct.pack(">II", far, length), 1)
    told = read(js, head.ljust(far, b"\0") + block)
    assert told["facts"]["day"] == "2025-10-04"
    assert told["ofFile"] == told["facts"]


@settings(max_examples=300)
@given(st.data(), st.sampled_from(["jpeg", "heic"]))
def test_cut_short_or_damaged_bytes_never_break_it(js: Node, data: st.DataObject, kind: str) -> None:
    jpeg = photo(exif_={0x9003: (ASCII, "2026:10:03 09:12:55")}, gps=PLACE)
    whole = bytearray(jpeg if kind == "jpeg" else (DATA / "tiny_upright.heic").read_bytes())
    for _ in range(data.draw(st.integers(0, 6))):
        whole[data.draw(st.integers(0, min(len(whole), 600) - 1))] = data.draw(st.integers(0, 255))
    told = read(js, bytes(whole[: data.draw(st.integers(0, len(whole)))]))
    assert told["ofFile"] == told["facts"]
    assert set(told["facts"]) == {*ours(jpeg)}
