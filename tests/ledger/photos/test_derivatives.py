"""Copies for the screen: upright, small, and silent."""

import io
from pathlib import Path

import pytest
from PIL import Image, ImageCms

from ledger.photos.derivatives import make
from ledger.photos.errors import PhotoRefused
from tests.ledger.photos.built import ASCII, PLACE, SHORT, exif, photo, picture, saved

DATA = Path(__file__).parent / "data"
RED, GREY = (220, 30, 30), (120, 120, 120)

# Where Exif 2.2 p. 18 puts the first row and column, stored so that the upright picture has its red quarter
# in the upper left: (turn that stores it). Written out by pixel position, not by the turns the code uses.
STORED = {
    1: lambda x, y, w, h: (x, y),
    2: lambda x, y, w, h: (w - 1 - x, y),
    3: lambda x, y, w, h: (w - 1 - x, h - 1 - y),
    4: lambda x, y, w, h: (x, h - 1 - y),
    5: lambda x, y, w, h: (y, x),
    6: lambda x, y, w, h: (w - 1 - y, x),
    7: lambda x, y, w, h: (w - 1 - y, h - 1 - x),
    8: lambda x, y, w, h: (y, h - 1 - x),
}
# 5 to 8 store rows as columns: row x of the stored picture is column y of the upright one.


def near(pixel, colour, by=14):
    return all(abs(a - b) <= by for a, b in zip(pixel, colour, strict=True))


def opened(data) -> Image.Image:
    return Image.open(io.BytesIO(data))


def stored_for(orientation) -> Image.Image:
    """A 64 x 48 upright picture, red in its upper left quarter, as a camera with this orientation stores it."""
    upright = picture((64, 48))
    size = (64, 48) if orientation < 5 else (48, 64)
    stored = Image.new("RGB", size)
    for row in range(size[1]):
        for column in range(size[0]):
            stored.putpixel((column, row), upright.getpixel(STORED[orientation](column, row, 64, 48)))
    return stored


@pytest.mark.parametrize("orientation", range(1, 9))
def test_every_orientation_is_shown_upright(orientation):
    data = saved(stored_for(orientation), quality=95, exif=exif({0x0112: (SHORT, [orientation])}))
    copy = opened(make(data, 1600))
    assert copy.size == (64, 48)
    assert near(copy.getpixel((8, 8)), RED)
    assert all(near(copy.getpixel(at), GREY) for at in ((56, 8), (8, 40), (56, 40)))


def test_a_turned_heic_is_turned_once():
    copy = opened(make((DATA / "tiny_turned.heic").read_bytes(), 1600))
    assert copy.size == (32, 48)
    assert copy.getpixel((28, 4))[0] > 180 and copy.getpixel((4, 4))[0] < 80


@pytest.mark.parametrize(("size", "expected"), [((400, 300), (160, 120)), ((300, 400), (120, 160))])
def test_the_long_side_is_as_asked(size, expected):
    assert opened(make(saved(picture(size)), 160)).size == expected


def test_a_small_photo_is_never_enlarged():
    assert opened(make(saved(picture((64, 48))), 1600)).size == (64, 48)


def test_a_thread_of_a_photo_keeps_one_pixel_of_height():
    assert opened(make(saved(Image.new("RGB", (5000, 1))), 480)).size == (480, 1)


def test_the_draft_decoder_is_asked_for_the_right_shape(monkeypatch):
    """A square would leave a 4000 x 3000 photo undrafted: twice the memory for nothing."""
    from PIL import JpegImagePlugin

    asked = []
    original = JpegImagePlugin.JpegImageFile.draft
    monkeypatch.setattr(
        JpegImagePlugin.JpegImageFile,
        "draft",
        lambda self, mode, size: (asked.append((self.size, original(self, mode, size), self.size)), None)[1],
    )
    make(saved(picture((4000, 3000))), 1600)
    before, _, after = asked[0]
    assert (before, after) == ((4000, 3000), (2000, 1500))


def everything() -> dict:
    icc = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    return {
        "exif": exif({0x010F: (ASCII, "SECRETMAKE"), 0x0112: (SHORT, [6])}, None, PLACE),
        "icc_profile": icc,
        "xmp": b"<x:xmpmeta xmlns:x='adobe:ns:meta/'>SECRETXMP</x:xmpmeta>",
    }


def segments(data) -> set[int]:
    """Markers of a JPEG up to the start of its pixels, read here byte by byte."""
    at, found = 2, set()
    while data[at + 1] != 0xDA:
        found.add(data[at + 1])
        at += 2 + int.from_bytes(data[at + 2 : at + 4])
    return found


@pytest.mark.parametrize("format", ["JPEG", "PNG", "WEBP"])
def test_a_copy_carries_no_metadata_whatever(format):
    options = everything() | ({"comment": b"SECRETCOMMENT"} if format == "JPEG" else {})
    copy = make(saved(picture((300, 200)), format, **options), 160)
    # Tables, frame and JFIF only: no APP1 to APP15 (0xE1 to 0xEF), no comment (0xFE).
    assert segments(copy) <= {0xE0, 0xDB, 0xC2, 0xC4}
    for trace in (b"SECRET", b"Exif", b"ICC_PROFILE", b"adobe", b"Photoshop", b"http"):
        assert trace not in copy


def test_the_source_of_that_test_does_carry_them():
    source = saved(picture(), comment=b"SECRETCOMMENT", **everything())
    assert {0xE1, 0xE2, 0xFE} <= segments(source)


def test_png_text_stays_behind():
    from PIL.PngImagePlugin import PngInfo

    text = PngInfo()
    text.add_text("Author", "SECRETNAME")
    assert b"SECRET" not in make(saved(format="PNG", pnginfo=text), 160)


def test_a_colour_profile_is_applied_before_it_is_dropped():
    """The sRGB profile with the names of its red and blue primaries exchanged: red pixels mean blue."""
    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    table, rest = srgb[:400], srgb[400:]
    table = table.replace(b"rXYZ", b"tmp_").replace(b"bXYZ", b"rXYZ").replace(b"tmp_", b"bXYZ")
    copy = opened(make(saved(quality=95, icc_profile=table + rest), 64))
    assert near(copy.getpixel((8, 8)), (30, 30, 220), 30)
    assert near(copy.getpixel((56, 40)), GREY)


@pytest.mark.parametrize("mode", ["L", "CMYK", "RGBA", "P", "1", "LA"])
def test_every_mode_comes_out_in_colour(mode):
    format = "JPEG" if mode in ("L", "CMYK") else "PNG"
    copy = opened(make(saved(picture((64, 48), mode), format), 1600))
    assert (copy.mode, copy.size) == ("RGB", (64, 48))


def test_colours_survive_printing_colours():
    copy = opened(make(saved(picture((64, 48), "CMYK"), quality=95), 1600))
    assert near(copy.getpixel((8, 8)), RED, 20) and near(copy.getpixel((56, 40)), GREY, 20)


def test_sixteen_bits_are_scaled_and_not_cut():
    deep = Image.new("I;16", (64, 64), 32_896)
    copy = opened(make(saved(deep, "PNG"), 64))
    assert near(copy.getpixel((9, 9)), (128, 128, 128), 2)


def test_transparency_shows_paper():
    copy = opened(make(saved(Image.new("RGBA", (64, 64), (0, 0, 0, 0)), "PNG"), 64))
    assert near(copy.getpixel((9, 9)), (250, 247, 240), 3)


def test_a_broken_profile_costs_nothing():
    assert opened(make(saved(icc_profile=b"rubbish"), 64)).size == (64, 48)


def test_broken_exif_costs_nothing():
    assert opened(make(saved(exif=b"Exif\0\0MM\0*" + b"\xff" * 99), 64)).size == (64, 48)


def test_the_first_picture_of_an_animation_is_shown():
    data = saved(picture(), "PNG", save_all=True, append_images=[Image.new("RGB", (64, 48), "navy")])
    assert near(opened(make(data, 64)).getpixel((56, 40)), GREY)


def test_what_does_not_decode_is_refused():
    with pytest.raises(PhotoRefused):
        make(photo(gps=PLACE)[:400], 480)
