"""A part of a photo is the same as that part of the whole one, whichever way the camera was held."""

import io

import numpy as np
import pytest
from PIL import Image

from ledger.photos.upright import upright_part, upright_picture

BOX = (5, 9, 22, 31)


def held(orientation: int) -> bytes:
    """A picture of 40 by 60 stored pixels, no two alike."""
    pixels = np.arange(40 * 60, dtype=np.uint32).reshape(60, 40)
    colours = np.stack([pixels % 251, pixels // 11 % 256, pixels % 17 * 15], axis=-1).astype(np.uint8)
    exif = Image.Exif()
    exif[0x0112] = orientation
    out = io.BytesIO()
    Image.fromarray(colours).save(out, "PNG", exif=exif)
    return out.getvalue()


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_part_is_cut_where_the_upright_picture_has_it(orientation: int) -> None:
    whole = upright_picture(held(orientation), "RGB")
    part = upright_part(held(orientation), BOX)
    assert np.array_equal(np.asarray(part), np.asarray(whole.crop(BOX)))


@pytest.mark.parametrize("mode", ["L", "RGB"])
def test_the_whole_is_in_the_mode_that_was_asked_for(mode: str) -> None:
    assert upright_picture(held(6), mode).mode == mode
    assert upright_picture(held(6), mode).size == (60, 40)
