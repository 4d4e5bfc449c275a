"""Which way up a photo is seen. All points on photos are pixels of the upright picture."""

from PIL import ExifTags, Image

from ledger.photos.decoding import MAX_PIXELS, opened

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
# Where the stored picture's first column, or row of an unturned one, is seen on the right or below.
_ACROSS_FROM_RIGHT, _DOWN_FROM_BOTTOM = (2, 3, 6, 7), (3, 4, 7, 8)


def orientation_of(picture: Image.Image) -> int:
    try:
        number = picture.getexif().get(ExifTags.Base.Orientation, 1)
    except Exception:
        # A broken EXIF block must not cost the picture; it is then shown as stored.
        return 1
    return number if isinstance(number, int) else 1


def turned(picture: Image.Image, orientation: int) -> Image.Image:
    turn = _TURNS.get(orientation)
    return picture if turn is None else picture.transpose(turn)


def upright_size(width: int, height: int, orientation: int) -> tuple[int, int]:
    """Width and height as the photo is seen, from those that are stored and its Exif orientation."""
    return (height, width) if orientation >= 5 else (width, height)


def stored_box(
    box: tuple[int, int, int, int], size: tuple[int, int], orientation: int
) -> tuple[int, int, int, int]:
    """Where a box (left, top, right, bottom) of the upright picture lies in the stored one of `size` (width, height)."""
    left, top, right, bottom = box
    wide, high = upright_size(*size, orientation)
    if orientation in _ACROSS_FROM_RIGHT:
        left, right = wide - right, wide - left
    if orientation in _DOWN_FROM_BOTTOM:
        top, bottom = high - bottom, high - top
    return (top, left, bottom, right) if orientation >= 5 else (left, top, right, bottom)


def upright_picture(data: bytes, mode: str, max_pixels: int = MAX_PIXELS) -> Image.Image:
    """The whole picture, upright, in `mode` (L or RGB). Raises PhotoRefused on what does not decode."""
    with opened(data, "", max_pixels) as picture:
        # draft() has a JPEG decoded to grey alone where that is all that is wanted.
        picture.draft(mode, picture.size)
        picture.load()
        orientation = orientation_of(picture)
        return turned(picture if picture.mode == mode else picture.convert(mode), orientation)


def upright_part(data: bytes, box: tuple[int, int, int, int]) -> Image.Image:
    """A part of the upright picture in RGB, as `box` (left, top, right, bottom) in pixels says; it must lie within.

    Cut out before it is turned and converted: only one large picture is in memory. Raises PhotoRefused.
    """
    with opened(data, "") as picture:
        picture.load()
        orientation = orientation_of(picture)
        part = picture.crop(stored_box(box, picture.size, orientation))
    return turned(part.convert("RGB"), orientation)
