"""What the drawing processes run: specs in, JPEG bytes out. Pure, since those processes know no Django."""

from collections.abc import Sequence
from io import BytesIO
from random import Random

from PIL import Image

from ledger.demo.drawing import (
    CapSpec,
    Shot,
    UndersideSpec,
    WoodSpec,
    draw_cap,
    draw_underside,
    draw_wood,
    exif_of,
)

Negative = tuple[CapSpec | UndersideSpec | WoodSpec, int, Shot]
PLAIN_SIZE = (280, 210)


def drawn(negatives: Sequence[Negative]) -> list[bytes]:
    """Each photograph as a drawn JPEG."""
    return [_drawn(*negative) for negative in negatives]


def plain(negatives: Sequence[Negative]) -> list[bytes]:
    """Each photograph as a small picture of one colour, with the same EXIF."""
    return [_plain(*negative) for negative in negatives]


def _drawn(spec: CapSpec | UndersideSpec | WoodSpec, seed: int, shot: Shot) -> bytes:
    if isinstance(spec, CapSpec):
        return draw_cap(spec, seed, shot)
    if isinstance(spec, UndersideSpec):
        return draw_underside(spec, seed, shot)
    return draw_wood(spec, seed, shot)


def _plain(spec: CapSpec | UndersideSpec | WoodSpec, seed: int, shot: Shot) -> bytes:
    rng = Random(seed)
    colour = (rng.randint(60, 200), rng.randint(60, 200), rng.randint(60, 200))
    out = BytesIO()
    Image.new("RGB", PLAIN_SIZE, colour).save(out, "JPEG", quality=60, exif=exif_of(shot))
    return out.getvalue()
