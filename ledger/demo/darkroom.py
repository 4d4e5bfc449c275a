"""What the drawing processes run: specs in, JPEG bytes out. Pure, since those processes know no Django."""

from collections.abc import Sequence
from io import BytesIO
from random import Random

from PIL import Image

from ledger.demo.beside import Beside, printed_card, slip
from ledger.demo.drawing import (
    FRAME,
    CapSpec,
    Shot,
    UndersideSpec,
    WoodSpec,
    draw_cap,
    draw_underside,
    draw_wood,
    exif_of,
)

Negative = tuple[CapSpec | UndersideSpec | WoodSpec, int, Shot, Beside]
PLAIN_SIZE = (280, 210)
PLAIN_PX_PER_MM = 6.0


def drawn(negatives: Sequence[Negative]) -> list[bytes]:
    """Each photograph as a drawn JPEG."""
    return [_drawn(*negative) for negative in negatives]


def plain(negatives: Sequence[Negative]) -> list[bytes]:
    """Each photograph as a small picture of one colour, with the same EXIF."""
    return [_plain(*negative) for negative in negatives]


def _drawn(spec: CapSpec | UndersideSpec | WoodSpec, seed: int, shot: Shot, beside: Beside) -> bytes:
    if isinstance(spec, CapSpec):
        return draw_cap(spec, seed, shot, beside)
    if isinstance(spec, UndersideSpec):
        return draw_underside(spec, seed, shot, beside)
    return draw_wood(spec, seed, shot, beside)


def _plain(spec: CapSpec | UndersideSpec | WoodSpec, seed: int, shot: Shot, beside: Beside) -> bytes:
    rng = Random(seed)
    colour = (rng.randint(60, 200), rng.randint(60, 200), rng.randint(60, 200))
    picture = Image.new("RGB", PLAIN_SIZE, colour)
    if beside.card or beside.number:
        frame = FRAME if isinstance(spec, WoodSpec) else spec.frame
        px = PLAIN_PX_PER_MM if isinstance(spec, WoodSpec) else spec.px_per_mm or PLAIN_PX_PER_MM
        paper = printed_card(px, beside.number) if beside.card else slip(PLAIN_PX_PER_MM, beside.number)
        picture = picture.resize(frame)
        picture.paste(paper, (frame[0] - paper.width - 40, frame[1] - paper.height - 40))
    out = BytesIO()
    picture.save(out, "JPEG", quality=60, exif=exif_of(shot))
    return out.getvalue()
