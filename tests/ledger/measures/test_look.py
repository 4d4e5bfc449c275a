"""What a look at a photo that comes in tells of its colours, whichever way the camera was held."""

import io

import numpy as np
import pytest
from PIL import Image

from ledger.measures.models import PhotoScale
from ledger.measures.scales import look_at
from ledger.measuring.card import SMALL
from ledger.people.models import Member
from tests.ledger.measures.drawn_card import LEFT, PX_PER_MM, TOP, with_card

pytestmark = pytest.mark.django_db


def in_warm_light(orientation: int) -> bytes:
    """The drawn card with its greys, 3600 px wide, in light of which a fifth less is blue, as sRGB has it."""
    grey = np.asarray(Image.open(io.BytesIO(with_card())).convert("L")).copy()
    for patch in SMALL.greys:
        left, top = (round(PX_PER_MM * at) for at in (patch.box.x_mm, patch.box.y_mm))
        side = round(PX_PER_MM * patch.box.width_mm)
        grey[TOP + top : TOP + top + side, LEFT + left : LEFT + left + side] = patch.level
    colours = np.stack([grey, grey, (grey * 0.9).astype(np.uint8)], axis=-1)
    exif = Image.Exif()
    exif[0x0112] = orientation
    out = io.BytesIO()
    stored = Image.fromarray(colours).resize((3600, 2200))
    if orientation == 6:
        stored = stored.transpose(Image.Transpose.ROTATE_90)
    stored.save(out, "JPEG", quality=92, exif=exif)
    return out.getvalue()


@pytest.mark.parametrize("orientation", [1, 6])
def test_the_greys_tell_the_colour_of_the_light(orientation: int, collector: Member) -> None:
    seen = look_at(in_warm_light(orientation), collector)
    assert seen.kind == PhotoScale.Kind.CARD
    red, green, blue = seen.columns["grey_gains"]
    assert (red, green) == (pytest.approx(1.0, abs=0.02), 1.0)
    assert blue == pytest.approx(1 / 0.9**2.2, rel=0.04)
