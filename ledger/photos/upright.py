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


def upright_picture(data: bytes, mode: str, max_pixels: int = MAX_PIXELS) -> Image.Image:
    """The whole picture, upright, in `mode` (L or RGB). Raises PhotoRefused on what does not decode."""
    with opened(data, "", max_pixels) as picture:
        # draft() has a JPEG decoded to grey alone where that is all that is wanted.
        picture.draft(mode, picture.size)
        picture.load()
        return turned(picture.convert(mode), orientation_of(picture))
