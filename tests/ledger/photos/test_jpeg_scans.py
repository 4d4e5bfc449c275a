"""Which JPEGs are held whole in memory before their first pixel is known, and that the large ones of them are refused."""

import io

import pytest
from PIL import Image

from ledger.photos.errors import PhotoRefused
from ledger.photos.intake import PhotoLimits, admit
from ledger.photos.jpeg_scans import held_bytes_per_pixel


def jpeg(mode: str = "RGB", size: tuple[int, int] = (64, 48), **options: object) -> bytes:
    out = io.BytesIO()
    Image.new(mode, size).save(out, "JPEG", **options)
    return out.getvalue()


def one_colour_after_the_other() -> bytes:
    """A sequential file whose first scan holds one of three colours, as its header tells."""
    data = bytearray(jpeg())
    scan = data.index(b"\xff\xda")
    return bytes(data[: scan + 2] + b"\x00\x08\x01\x01\x00\x00\x3f\x00" + data[scan + 14 :])


@pytest.mark.parametrize("options", [{}, {"subsampling": 0}, {"optimize": True}, {"mode": "L"}])
def test_a_usual_jpeg_is_read_row_by_row(options: dict[str, object]) -> None:
    assert held_bytes_per_pixel(jpeg(**options)) == 0  # type: ignore[arg-type]


@pytest.mark.parametrize(("subsampling", "held"), [(0, 6), (1, 4), (2, 3)])
def test_a_progressive_one_is_held_whole(subsampling: int, held: float) -> None:
    assert held_bytes_per_pixel(jpeg(progressive=True, subsampling=subsampling)) == held


def test_one_that_brings_its_colours_one_after_the_other_is_held_whole_too() -> None:
    assert held_bytes_per_pixel(one_colour_after_the_other()) == 3


@pytest.mark.parametrize(
    "data", [b"", b"\xff\xd8", b"\xff\xd8\xff", b"\xff\xd8\xff\xc2\x00\x00", b"\x89PNG\r\n"]
)
def test_a_header_that_is_none_holds_nothing(data: bytes) -> None:
    assert held_bytes_per_pixel(data) == 0


def test_a_header_cut_short_anywhere_raises_nothing() -> None:
    data = jpeg(progressive=True)
    assert {held_bytes_per_pixel(data[:end]) for end in range(len(data))} == {0, 3}


def test_a_large_progressive_one_with_whole_colours_is_refused_with_its_own_limit() -> None:
    with pytest.raises(PhotoRefused, match=r"at most 26\.7 million of this kind are read"):
        admit(jpeg(size=(6000, 4500), progressive=True, subsampling=0))
    assert admit(jpeg(size=(6000, 4500), progressive=True, subsampling=2)).width == 6000


def test_a_smaller_limit_stays_as_it_is() -> None:
    with pytest.raises(PhotoRefused, match=r"at most 0\.001 million"):
        admit(jpeg(progressive=True), PhotoLimits(max_pixels=1000))
