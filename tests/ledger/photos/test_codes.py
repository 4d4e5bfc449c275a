"""Numbers in frame: what codes on photos say, and what they never say."""

import io
import time

import numpy as np
import pytest
import zxingcpp
from numpy.typing import NDArray
from PIL import Image

from ledger.photos.codes import MOST_PIXELS, number_of, numbers_in

Grey = NDArray[np.uint8]


def code(text: str, module_px: int = 5) -> Grey:
    made = zxingcpp.create_barcode(text, zxingcpp.BarcodeFormat.QRCode, ec_level="M")
    return np.array(made.to_image(scale=module_px, add_quiet_zones=True), dtype=np.uint8)


def photo_of(*codes: Grey, size: tuple[int, int] = (900, 1300), blur: bool = True) -> Grey:
    picture = np.full(size, 150, np.uint8)
    x = 30
    for one in codes:
        picture[60 : 60 + one.shape[0], x : x + one.shape[1]] = one
        x += one.shape[1] + 40
    out = io.BytesIO()
    Image.fromarray(picture).save(out, "JPEG", quality=75)
    return np.asarray(Image.open(io.BytesIO(out.getvalue())))


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("https://ledger.example.org/q/AT-57", "AT 57"),
        ("http://127.0.0.1:8000/q/BRIGG-1204", "BRIGG 1204"),
        ("AT 57", "AT 57"),
        ("AT-0057\n", "AT 57"),
        ("TFG 2026-0118", "TFG 2026-0118"),
        ("TFG 2026-118", "TFG 2026-0118"),
    ],
)
def test_a_slip_a_card_and_a_label_say_their_number(text: str, number: str) -> None:
    assert number_of(text) == number


@pytest.mark.parametrize(
    "text",
    [
        "",
        "geo:50.123,-1.456",
        "https://maps.example.org/?q=50.1,-1.4",
        "https://ledger.example.org/finds/",
        "https://ledger.example.org/q/AT-57?at=50.1,-1.4",
        "WIFI:S:hut;P:secret;;",
        "at 57",
        "A 57",
        "AT57",
        "BEGIN:VCARD",
        "AT 57 " * 100,
        "AT ٥٧",
    ],
)
def test_any_other_code_says_nothing(text: str) -> None:
    assert number_of(text) is None


def test_a_code_in_frame_is_read_wherever_it_lies() -> None:
    assert numbers_in([photo_of(code("https://ledger.example.org/q/AT-57"))]) == ("AT 57",)


@pytest.mark.parametrize("turns", [1, 2, 3])
def test_it_is_read_turned(turns: int) -> None:
    assert numbers_in([np.rot90(photo_of(code("TFG 2026-0118")), turns)]) == ("TFG 2026-0118",)


def test_several_are_each_told_once() -> None:
    seen = numbers_in([photo_of(code("AT 57"), code("AT 57"), code("TFG 2026-0118"))])
    assert sorted(seen) == ["AT 57", "TFG 2026-0118"]


def test_a_code_that_is_rubbed_out_is_as_if_it_were_not_there() -> None:
    rubbed = code("AT 57").copy()
    rubbed[20:100, 20:100] = 140
    assert numbers_in([photo_of(rubbed)]) == ()


def test_a_photo_of_many_pixels_is_searched_smaller() -> None:
    large = photo_of(code("AT 57", module_px=12), size=(3000, 4000))
    assert large.size > MOST_PIXELS
    assert numbers_in([large]) == ("AT 57",)


@pytest.mark.parametrize("shape", [(1, 1), (1, 60000), (3, 500)])
def test_odd_pictures_hold_no_code(shape: tuple[int, int]) -> None:
    assert numbers_in([np.zeros(shape, np.uint8)]) == ()


def test_a_photo_papered_with_corners_of_codes_takes_seconds_not_minutes() -> None:
    ring = np.pad(np.pad(np.zeros((3, 3), np.uint8), 1, constant_values=255), 1)
    tile = np.pad(ring, 1, constant_values=255)
    papered = np.tile(tile, (430, 570))
    begun = time.process_time()
    assert numbers_in([papered]) == ()
    assert time.process_time() - begun < 20
