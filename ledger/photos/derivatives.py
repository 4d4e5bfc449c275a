"""Copies for the screen: upright, in sRGB, and without a word about where, when or by whom they were made."""

from io import BytesIO

from PIL import ExifTags, Image, ImageCms

from ledger.photos.decoding import MAX_PIXELS, opened

LONG_SIDES_PX = (1600, 480)
"""Long sides of the copies the screens use."""

QUALITY = 82

# Exif orientation to the turn that shows it upright (Exif 2.2 p. 18 for the meaning; the turns from memory, tested).
_TURNS = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}

_PAPER = (250, 247, 240)
"""What shows through transparent pixels; the screens' own paper colour."""


def make(data: bytes, long_side: int, max_pixels: int = MAX_PIXELS) -> bytes:
    """An upright JPEG whose longer side is ``long_side`` pixels at most; never enlarged.

    The pixels are copied to a new picture, so that EXIF, XMP, ICC profile, comments and thumbnails stay behind
    whatever a later version of the encoder would carry over. Raises PhotoRefused on what does not decode.
    """
    with opened(data, "", max_pixels) as picture:
        size = _fitted(picture.size, long_side)
        # draft() scales by whole steps while BOTH sides stay at least as asked: a square would stop it early.
        picture.draft(None, size)
        picture.load()
        profile = picture.info.get("icc_profile")
        small = _in_srgb(_flat(picture).resize(size, Image.Resampling.LANCZOS), profile)
        upright = _upright(small, _orientation(picture))
        clean = Image.new("RGB", upright.size)
        clean.paste(upright)
        out = BytesIO()
        clean.save(out, "JPEG", quality=QUALITY, optimize=True, progressive=True)
    return out.getvalue()


def _fitted(size: tuple[int, int], long_side: int) -> tuple[int, int]:
    scale = min(1.0, long_side / max(size))
    return max(1, round(size[0] * scale)), max(1, round(size[1] * scale))


def _orientation(picture: Image.Image) -> int:
    try:
        number = picture.getexif().get(ExifTags.Base.Orientation, 1)
    except Exception:
        # A broken EXIF block must not cost the picture; it is then shown as stored.
        return 1
    return number if isinstance(number, int) else 1


def _upright(picture: Image.Image, orientation: int) -> Image.Image:
    turn = _TURNS.get(orientation)
    return picture if turn is None else picture.transpose(turn)


def _flat(picture: Image.Image) -> Image.Image:
    """RGB, L or CMYK with 8 bits, transparency laid on paper."""
    if picture.mode.startswith("I"):
        return picture.convert("I").point(lambda level: level / 257).convert("L")
    if picture.has_transparency_data:
        paper = Image.new("RGBA", picture.size, _PAPER)
        return Image.alpha_composite(paper, picture.convert("RGBA")).convert("RGB")
    return picture if picture.mode in ("RGB", "L", "CMYK") else picture.convert("RGB")


def _in_srgb(picture: Image.Image, profile: bytes | None) -> Image.Image:
    if profile:
        try:
            source = ImageCms.ImageCmsProfile(BytesIO(profile))
            turned = ImageCms.profileToProfile(
                picture, source, ImageCms.createProfile("sRGB"), outputMode="RGB"
            )
        except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
            turned = None  # a profile for other channels, or a broken one: plain conversion below
        if turned is not None:
            return turned
    return picture.convert("RGB")
