"""Copies for the screen: upright, in sRGB, and without a word about where, when or by whom they were made."""

from io import BytesIO

from PIL import Image, ImageCms

from ledger.photos.decoding import MAX_PIXELS, ONE_AT_A_TIME, opened
from ledger.photos.upright import orientation_of, turned

LONG_SIDES_PX = (1600, 480, 4096)
"""Long sides of the copies: for a page, for a list, and for measuring (a photo of 12 megapixels whole)."""

QUALITY = 82

_STRIP_PIXELS = 1 << 20

_PAPER = (250, 247, 240)
"""What shows through transparent pixels; the screens' own paper colour."""


def make(data: bytes, long_side: int, max_pixels: int = MAX_PIXELS) -> bytes:
    """An upright JPEG whose longer side is ``long_side`` pixels at most; never enlarged.

    The pixels are copied to a new picture, so that EXIF, XMP, ICC profile, comments and thumbnails stay behind
    whatever a later version of the encoder would carry over. Raises PhotoRefused on what does not decode.
    """
    upright = upright_copy(data, long_side, max_pixels)
    # Encoding holds a copy of a large picture as well, so it too is done for one photo at a time.
    with ONE_AT_A_TIME:
        clean = Image.new("RGB", upright.size)
        clean.paste(upright)
        upright.close()
        out = BytesIO()
        # A progressive file of a large picture holds all its coefficients in memory at once.
        clean.save(
            out, "JPEG", quality=QUALITY, optimize=True, progressive=long_side <= max(LONG_SIDES_PX[:2])
        )
    return out.getvalue()


def upright_copy(data: bytes, long_side: int, max_pixels: int = MAX_PIXELS) -> Image.Image:
    """The picture itself of such a copy, in sRGB. Raises PhotoRefused."""
    with opened(data, "", max_pixels) as picture:
        size = _fitted(picture.size, long_side)
        # draft() scales by whole steps while BOTH sides stay at least as asked: a square would stop it early.
        picture.draft(None, size)
        picture.load()
        profile, orientation = picture.info.get("icc_profile"), orientation_of(picture)
        flat = _flat(picture, size)
        if flat is not picture:
            picture.close()  # and with it its pixels: only one of the two large ones is in memory from here on
        small = flat.resize(size, Image.Resampling.LANCZOS, reducing_gap=3.0)
        flat.close()
        return turned(_in_srgb(small, profile), orientation)


def _fitted(size: tuple[int, int], long_side: int) -> tuple[int, int]:
    scale = min(1.0, long_side / max(size))
    return max(1, round(size[0] * scale)), max(1, round(size[1] * scale))


def _flat(picture: Image.Image, size: tuple[int, int]) -> Image.Image:
    """RGB, L or CMYK with 8 bits, transparency laid on paper; at least as large as `size`, and smaller than it was where
    that saves memory.

    Strip by strip: a whole picture of 16 bits or with transparency would be in memory four times over.
    """
    if picture.mode in ("RGB", "L", "CMYK") and not picture.has_transparency_data:
        return picture
    width, height = picture.size
    step = max(1, min(width // (2 * size[0]), height // (2 * size[1])))
    rows = max(1, _STRIP_PIXELS // width // step) * step
    whole: Image.Image | None = None
    for top in range(0, height, rows):
        strip = _flat_strip(picture.crop((0, top, width, min(height, top + rows))))
        if step > 1:
            strip = strip.reduce(step)
        if whole is None:
            whole = Image.new(strip.mode, (strip.width, -(-height // step)))
        whole.paste(strip, (0, top // step))
    assert whole is not None
    return whole


def _flat_strip(strip: Image.Image) -> Image.Image:
    if strip.mode.startswith("I"):
        return strip.convert("I").point(lambda level: level / 257).convert("L")
    if strip.has_transparency_data:
        paper = Image.new("RGBA", strip.size, _PAPER)
        return Image.alpha_composite(paper, strip.convert("RGBA")).convert("RGB")
    return strip.convert("RGB")


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
