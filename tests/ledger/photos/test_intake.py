"""Which files are let in as photos."""

import hashlib
import random
import struct
import warnings
import zlib
from collections import Counter
from pathlib import Path

import pytest
from PIL import Image

from ledger.photos import decoding
from ledger.photos.errors import PhotoRefused
from ledger.photos.intake import PhotoLimits, admit
from tests.ledger.photos.built import ASCII, PLACE, RATIONAL, SHORT, exif, photo, picture, saved

DATA = Path(__file__).parent / "data"
BIG = (240, 220)


def refused(data, filename="IMG_1.jpg", limits=None) -> PhotoRefused:
    with pytest.raises(PhotoRefused) as caught:
        admit(data, limits, filename)
    return caught.value


def png_claiming(width, height) -> bytes:
    """A PNG header for any size, with hardly any pixels behind it."""

    def chunk(kind, content):
        return (
            struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))
        )

    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", header)
        + chunk(b"IDAT", zlib.compress(b""))
        + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize("format", ["JPEG", "PNG", "WEBP"])
def test_the_usual_formats_are_admitted_with_their_hash(format):
    data = saved(picture(BIG), format)
    photo_in = admit(data, filename="a." + format.lower())
    assert photo_in.sha256 == hashlib.sha256(data).hexdigest()
    assert (photo_in.format, photo_in.width, photo_in.height) == (format.lower(), *BIG)
    assert (photo_in.notes, photo_in.facts.warnings) == ((), ())


def test_a_heic_is_admitted():
    photo_in = admit((DATA / "tiny_upright.heic").read_bytes(), filename="IMG_2.HEIC")
    assert (photo_in.format, photo_in.width, photo_in.height) == ("heic", 48, 32)


def test_a_wrong_extension_is_taken_by_content_and_noted():
    photo_in = admit(saved(picture(BIG), "PNG"), filename="cap.JPG")
    assert photo_in.format == "png"
    assert "named .jpg but holds a PNG" in photo_in.notes[0]


def test_a_photo_with_a_second_picture_behind_it_is_a_jpeg():
    data = saved(picture(BIG), "MPO", save_all=True, append_images=[picture(BIG)])
    photo_in = admit(data, filename="a.jpg")
    assert (photo_in.format, photo_in.notes) == ("jpeg", ())


@pytest.mark.parametrize(
    ("data", "word"),
    [
        (b"hello, this is text", "no photo"),
        (b"%PDF-1.7 ...", "a PDF"),
        (saved(format="GIF"), "a GIF"),
        (saved(format="TIFF"), "a TIFF"),
        (saved(format="BMP"), "a BMP"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "a drawing in text"),
        (b"\0\0\0\x18ftypisom" + bytes(40), "a film"),
        (b"\xff\xd8\xff\xe0rubbish", "header is broken"),
    ],
)
def test_what_is_no_photo_is_refused_and_guessed_at(data, word):
    refusal = refused(data)
    assert refusal.reason == "not a photo" and word in str(refusal)


def test_a_refusal_says_what_was_wrong_what_stays_and_what_to_do():
    sentence = str(refused(b"%PDF-1.7", "scan.jpg"))
    assert sentence.startswith("“scan.jpg” is no photo")
    assert "the find and its other photos stay" in sentence
    assert sentence.endswith("Send it as JPEG, PNG, WebP or HEIC.")


def test_a_file_name_is_cut_and_cleaned_before_it_is_shown():
    sentence = str(refused(b"x", "../../etc/" + "a" * 200 + "\n\u202e.jpg"))
    assert sentence.index("”") < 64
    assert not {"\n", "\u202e", "/"} & set(sentence)


def test_an_empty_file_is_refused():
    assert refused(b"").reason == "empty"


def test_a_file_over_the_limit_is_refused_with_both_numbers():
    refusal = refused(saved() + bytes(2_500_000), limits=PhotoLimits(max_bytes=2_000_000))
    assert refusal.reason == "too big"
    assert "has 2.5 MB; at most 2 MB" in str(refusal)


@pytest.mark.parametrize("format", ["JPEG", "PNG", "WEBP"])
@pytest.mark.parametrize("share", [0.5, 0.9])
def test_a_truncated_photo_is_refused(format, share):
    rng = random.Random(1)
    noisy = Image.frombytes("RGB", (300, 200), rng.randbytes(300 * 200 * 3))
    data = saved(noisy, format)
    assert refused(data[: int(len(data) * share)]).reason in ("damaged", "not a photo")


def test_a_truncated_heic_is_refused():
    data = (DATA / "tiny_upright.heic").read_bytes()
    assert refused(data[:-40]).reason in ("damaged", "not a photo")


@pytest.mark.parametrize("side", [9_500, 13_000, 60_000])
def test_a_decompression_bomb_is_refused_before_it_is_decoded(side):
    """90 million pixels (Pillow would only warn), 169 million (warn) and 3,600 million (Pillow's own error)."""
    assert refused(png_claiming(side, side)).reason == "too many pixels"


def test_a_bomb_in_a_heic_is_refused_too():
    data = (DATA / "tiny_upright.heic").read_bytes()
    head, *rest = data.split(b"ispe\0\0\0\0")
    assert len(rest) >= 1
    claiming = head + b"".join(b"ispe\0\0\0\0" + struct.pack(">II", 30_000, 30_000) + r[8:] for r in rest)
    uncropped = claiming.replace(b"clap", b"free")
    assert (
        refused(claiming, "a.heic").reason == "damaged"
    )  # the crop hides the size; the decoder then finds less
    assert refused(uncropped, "a.heic").reason == "too many pixels"


def test_a_heic_over_the_pixel_limit_is_refused_with_its_size():
    refusal = refused((DATA / "tiny_upright.heic").read_bytes(), limits=PhotoLimits(max_pixels=1000))
    assert refusal.reason == "too many pixels" and "48 × 32" in str(refusal)


@pytest.mark.parametrize(("format", "width"), [("JPEG", 65_500), ("PNG", 65_535)])
def test_the_widest_pictures_that_can_be_written_are_admitted(format, width):
    photo_in = admit(saved(Image.new("RGB", (width, 2)), format), filename="a." + format)
    assert (photo_in.width, photo_in.height) == (width, 2)


def test_a_jpeg_that_claims_65535_pixels_of_width_is_refused():
    """libjpeg decodes up to 65500."""
    data = bytearray(saved(Image.new("RGB", (65_500, 8))))
    at = data.index(b"\xff\xc0") + 7
    data[at : at + 2] = struct.pack(">H", 65_535)
    assert refused(bytes(data)).reason == "damaged"


def test_one_pixel_is_admitted_and_noted():
    photo_in = admit(saved(Image.new("RGB", (1, 1))), filename="a.jpg")
    assert (photo_in.width, photo_in.height) == (1, 1)
    assert "1 × 1 pixels" in photo_in.notes[0]


def test_printing_colours_are_admitted_and_noted():
    assert "CMYK" in admit(saved(picture(BIG, "CMYK")), filename="a.jpg").notes[0]


def test_sixteen_bits_are_admitted_and_noted():
    deep = Image.frombytes("I;16", BIG, bytes(range(256)) * (BIG[0] * BIG[1] * 2 // 256) + bytes(128))
    assert "16 bits" in admit(saved(deep, "PNG"), filename="a.png").notes[0]


@pytest.mark.parametrize("format", ["PNG", "WEBP"])
def test_an_animation_is_admitted_for_its_first_picture(format):
    others = [Image.new("RGB", BIG, colour) for colour in ("navy", "olive")]
    data = saved(picture(BIG), format, save_all=True, append_images=others)
    photo_in = admit(data, filename="a." + format.lower())
    assert "3 pictures" in photo_in.notes[0]


def test_absurd_exif_never_costs_the_photo():
    broken = {0x0002: (RATIONAL, [(45, 0), (4294967295, 1), (1, 0)]), 0x001F: (RATIONAL, [(0, 0)])}
    photo_in = admit(photo(gps=PLACE | broken), filename="a.jpg")
    assert photo_in.facts.latitude is None and photo_in.facts.error_m is None
    assert len(photo_in.facts.warnings) >= 2


def test_an_exif_block_of_rubbish_never_costs_the_photo():
    data = saved(exif=b"Exif\0\0MM\0*" + b"\xff" * 200)
    assert admit(data, filename="a.jpg").facts.latitude is None


def test_warning_filters_are_as_before_after_a_photo():
    before = list(warnings.filters)
    admit(saved(), filename="a.jpg")
    assert list(warnings.filters) == before


@pytest.mark.parametrize("seed", range(8))
def test_mutated_photos_raise_nothing_but_a_refusal(seed):
    """1,250 per seed, 10,000 in all: bytes flipped, cut out, doubled or written over, every other time in the EXIF block
    alone, in JPEG, PNG, WebP and HEIC.
    """
    rng = random.Random(seed)
    block = exif(
        {0x010F: (ASCII, "Drawn"), 0x0112: (SHORT, [6])}, {0x9003: (ASCII, "2025:10:04 14:05:06")}, PLACE
    )
    whole = [saved(exif=block), saved(format="PNG", exif=block), saved(format="WEBP", exif=block)]
    whole.append((DATA / "tiny_turned.heic").read_bytes())
    shares = (6, 2, 2, 1)  # phones send JPEG; a HEIC takes ten times as long to decode
    outcomes = Counter()
    for number in range(1250):
        data = rng.choices(whole, shares)[0]
        at = data.find(block[6:]) if number % 2 else -1
        if at < 0:
            data = mutated(data, rng)
        else:
            data = (
                data[:at]
                + mutated(block[6:], rng)[: len(block) - 6].ljust(len(block) - 6, b"\0")
                + data[at + len(block) - 6 :]
            )
        try:
            outcomes[admit(data, PhotoLimits(max_pixels=4_000_000), "a.jpg").format] += 1
        except PhotoRefused as refusal:
            outcomes[refusal.reason] += 1
    assert outcomes.keys() <= {
        "jpeg",
        "png",
        "webp",
        "heic",
        "not a photo",
        "damaged",
        "too many pixels",
        "empty",
    }
    assert outcomes["jpeg"] > 300  # rubbish in the EXIF block never costs the photo
    assert outcomes["damaged"] > 50


def mutated(data, rng) -> bytes:
    changed = bytearray(data)
    for _ in range(rng.randint(1, 6)):
        at = rng.randrange(len(changed))
        kind = rng.randrange(4)
        if kind == 0:
            changed[at] ^= 1 << rng.randrange(8)
        elif kind == 1 and len(changed) > 40:
            del changed[at : at + rng.randint(1, 30)]
        elif kind == 2:
            changed[at:at] = changed[at : at + rng.randint(1, 60)]
        else:
            changed[at : at + 4] = rng.choice([b"\xff\xff\xff\xff", b"\0\0\0\0", rng.randbytes(4)])
    return bytes(changed)


def test_only_the_four_formats_have_decoders_here():
    assert set(decoding.OPENED) <= set(decoding.FORMATS)
    assert set(decoding.FORMATS.values()) == {"jpeg", "png", "webp", "heic"}
