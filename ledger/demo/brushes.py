"""Brushes for the drawn photographs: noise, light, zones in a fan, bark, forest floor, scale card.

Pillow only, no arrays: every pixel operation is one of Pillow's own, so that a picture takes tenths of a second.
All chance comes from a ``random.Random`` that is handed in, so the same seed gives the same pixels.
"""

import math
from collections.abc import Callable, Sequence
from itertools import pairwise
from random import Random

from PIL import Image, ImageChops, ImageDraw, ImageFilter, ImageFont

Colour = tuple[int, int, int]
Size = tuple[int, int]

BICUBIC = Image.Resampling.BICUBIC
BILINEAR = Image.Resampling.BILINEAR


def grain(rng: Random, size: Size, cell: tuple[float, float]) -> Image.Image:
    """Smooth grey noise whose lumps are about ``cell`` pixels (across, down) large."""
    small = max(2, math.ceil(size[0] / cell[0])), max(2, math.ceil(size[1] / cell[1]))
    noise = Image.frombytes("L", small, rng.randbytes(small[0] * small[1]))
    return noise.resize(size, BICUBIC)


def cloud(rng: Random, size: Size, cell: tuple[float, float], octaves: int = 3) -> Image.Image:
    """Noise of several sizes on top of each other, each half as large and half as strong as the one before."""
    finest = min(cell) / 2 ** (octaves - 1)
    for step in (4, 2):
        if finest >= 2.5 * step:  # nothing to lose by making it small first
            small = max(2, size[0] // step), max(2, size[1] // step)
            return cloud(rng, small, (cell[0] / step, cell[1] / step), octaves).resize(size, BILINEAR)
    sum_ = grain(rng, size, cell)
    for octave in range(1, octaves):
        finer = grain(rng, size, (max(1, cell[0] / 2**octave), max(1, cell[1] / 2**octave)))
        sum_ = Image.blend(sum_, finer, 1 / (octave + 2))
    return sum_


def contrast(picture: Image.Image, factor: float, middle: float = 128, to: float = 128) -> Image.Image:
    """Spread grey around ``middle`` by ``factor`` and move the middle to ``to``."""
    return picture.point([_byte((level - middle) * factor + to) for level in range(256)])


def ridges(picture: Image.Image, sharpness: float = 2.0) -> Image.Image:
    """Dark cracks where noise passes its middle."""
    return picture.point([_byte(255 * min(1.0, abs(level - 128) / 128 * sharpness)) for level in range(256)])


def mix(low: Colour, high: Colour, where: Image.Image) -> Image.Image:
    """The colours between two, by a grey picture."""
    channels = [
        where.point([_byte(a + (b - a) * level / 255) for level in range(256)])
        for a, b in zip(low, high, strict=True)
    ]
    return Image.merge("RGB", channels)


def lit(picture: Image.Image, height: Image.Image, strength: float, reach: int = 1) -> Image.Image:
    """Light from the upper left over a grey relief."""
    before = height.copy()  # shifted by pasting, because ImageChops.offset wraps round at the border
    before.paste(height, (reach, reach))
    slope = ImageChops.subtract(height, before, 1 / strength, 128)
    return ImageChops.overlay(picture, Image.merge("RGB", (slope, slope, slope)))


def shade(picture: Image.Image, mask: Image.Image, darkness: float) -> Image.Image:
    """Darken where the mask is white; ``darkness`` 0 to 1."""
    return Image.composite(picture.point([round(v * (1 - darkness)) for v in range(256)] * 3), picture, mask)


def blur(picture: Image.Image, radius: float) -> Image.Image:
    """A wide blur is made small first, which looks the same and costs a hundredth."""
    if radius < 6:
        return picture.filter(ImageFilter.GaussianBlur(radius))
    step = max(2, int(radius / 3))
    small = picture.resize((max(1, picture.width // step), max(1, picture.height // step)), BILINEAR)
    return small.filter(ImageFilter.GaussianBlur(radius / step)).resize(picture.size, BICUBIC)


def darker(colour: Colour, factor: float) -> Colour:
    """``colour`` times ``factor``."""
    return _byte(colour[0] * factor), _byte(colour[1] * factor), _byte(colour[2] * factor)


def between(a: Colour, b: Colour, share: float) -> Colour:
    """The colour ``share`` of the way from ``a`` to ``b``."""
    return (
        _byte(a[0] + (b[0] - a[0]) * share),
        _byte(a[1] + (b[1] - a[1]) * share),
        _byte(a[2] + (b[2] - a[2]) * share),
    )


def coloured(levels: Image.Image, palette: Sequence[Colour]) -> Image.Image:
    """Grey levels 0 to 255 to the 256 colours of a palette."""
    return Image.merge("RGB", [levels.point([colour[channel] for colour in palette]) for channel in range(3)])


def fan(
    texture: Image.Image,
    size: Size,
    place: Callable[[float, float], tuple[float, float]],
    box: tuple[int, int, int, int],
    step: int = 24,
) -> Image.Image:
    """Bend a strip (angle across, distance from the centre down) over ``box``.

    ``place(x, y)`` gives the strip's pixel for a pixel of the picture; it is asked at the corners of a grid only,
    and each mesh is bent evenly.
    """
    left, top, right, bottom = box
    columns = [*range(left, right, step), right]
    rows = [*range(top, bottom, step), bottom]
    corner = {(x, y): place(x, y) for x in columns for y in rows}
    mesh = [
        ((x0, y0, x1, y1), corner[x0, y0] + corner[x0, y1] + corner[x1, y1] + corner[x1, y0])
        for x0, x1 in pairwise(columns)
        for y0, y1 in pairwise(rows)
    ]
    return texture.transform(size, Image.Transform.MESH, mesh, BILINEAR)


def forest_floor(rng: Random, size: Size) -> Image.Image:
    """Leaf litter and moss, out of focus and dim."""
    small = size[0] // 4, size[1] // 4
    base = mix((26, 26, 18), (104, 88, 58), cloud(rng, small, (60, 44)))
    moss = mix((24, 36, 18), (96, 112, 54), cloud(rng, small, (36, 30)))
    floor = Image.composite(moss, base, contrast(cloud(rng, small, (80, 70), 2), 2.2, 150))
    draw = ImageDraw.Draw(floor)
    for _ in range(110):
        x, y = rng.uniform(0, small[0]), rng.uniform(small[1] * 0.4, small[1])
        length, turn = rng.uniform(8, 26), rng.uniform(0, math.pi)
        dx, dy = math.cos(turn) * length / 2, math.sin(turn) * length / 2
        wide = rng.uniform(0.25, 0.5)
        leaf = [
            (x - dx, y - dy),
            (x - dy * wide, y + dx * wide),
            (x + dx, y + dy),
            (x + dy * wide, y - dx * wide),
        ]
        draw.polygon(
            leaf,
            fill=darker(rng.choice([(172, 116, 60), (140, 100, 56), (112, 108, 56)]), rng.uniform(0.5, 1.15)),
        )
    return blur(floor, 2.4).resize(size, BICUBIC)


BARKS: dict[str, tuple[Colour, Colour]] = {
    "furrowed": ((46, 38, 31), (136, 120, 100)),
    "smooth": ((92, 92, 84), (158, 156, 144)),
    "birch": ((176, 170, 158), (232, 228, 220)),
    "flaky": ((64, 40, 28), (150, 104, 74)),
}


def bark(rng: Random, size: Size, kind: str, moss: float = 0.2) -> Image.Image:
    """Bark whose grain runs across the picture; ``moss`` is about the share it covers."""
    low, high = BARKS[kind]
    if kind == "furrowed":
        relief = Image.blend(ridges(cloud(rng, size, (150, 30)), 3.2), cloud(rng, size, (26, 8)), 0.4)
    elif kind == "flaky":
        relief = Image.blend(ridges(cloud(rng, size, (70, 54)), 4.0), cloud(rng, size, (20, 14)), 0.4)
    else:
        relief = Image.blend(contrast(cloud(rng, size, (240, 120)), 0.6), cloud(rng, size, (9, 30)), 0.3)
    picture = mix(low, high, Image.blend(relief, cloud(rng, size, (200, 160), 2), 0.3))
    if kind in ("birch", "smooth"):
        marks = contrast(grain(rng, size, (7, 60)), 5, 232)
        picture = Image.composite(Image.new("RGB", size, darker(low, 0.35)), picture, marks)
    picture = lit(
        picture, Image.blend(relief, grain(rng, size, (3, 3)), 0.18), 1.5 if kind in BARKS else 1, 2
    )
    if moss > 0:
        tufts = cloud(rng, size, (9, 9), 2)
        green = lit(mix((28, 44, 12), (122, 140, 52), tufts), tufts, 1.6)
        where = contrast(cloud(rng, size, (190, 120), 4), 5, 205 - 110 * moss)
        picture = Image.composite(green, picture, where)
    lichen = contrast(cloud(rng, size, (50, 44), 4), 9, 196)
    return Image.composite(mix((120, 132, 116), (176, 184, 164), grain(rng, size, (4, 4))), picture, lichen)


def scale_card(size_mm: int, px_per_mm: float) -> Image.Image:
    """A pale card with a tick for each mm along its upper edge, true to ``px_per_mm``; drawn twice as large first."""
    px = px_per_mm * 2
    edge = 16.0
    width, height = round(size_mm * px + 2 * edge), round(min(180, max(100, 5.0 * px)))
    card = Image.new("RGB", (width, height), (236, 232, 220))
    draw = ImageDraw.Draw(card)
    draw.rectangle((0, 0, width - 1, height - 1), outline=(150, 146, 136), width=2)
    font = ImageFont.load_default(max(20, min(32, px * 1.5)))
    wide = max(2, min(6, px * 0.12))
    numbered = 10 if px_per_mm < 12 else 5 if px_per_mm < 30 else 1
    for mm in range(size_mm + 1):
        if px_per_mm < 3 and mm % 5:
            continue
        x = edge + mm * px
        tall = height * (0.42 if mm % 10 == 0 else 0.34 if mm % 5 == 0 else 0.24)
        draw.rectangle((x - wide / 2, 4, x + wide / 2, 4 + tall), fill=(28, 26, 22))
        if mm % numbered == 0 and 0 < mm < size_mm:
            draw.text((x, height * 0.66), str(mm), font=font, fill=(28, 26, 22), anchor="mm")
    draw.text((width - 8, height * 0.86), "mm", font=font, fill=(110, 60, 40), anchor="rm")
    for index, grey in enumerate((40, 110, 190)):
        draw.rectangle(
            (10 + index * 26, height * 0.78, 34 + index * 26, height - 10), fill=(grey, grey, grey)
        )
    return card.resize((round(width / 2), round(height / 2)), Image.Resampling.BOX)


def lay(picture: Image.Image, card: Image.Image, at: tuple[int, int]) -> None:
    """Lay a card on the picture with a soft shadow under it."""
    shadow = Image.new("L", picture.size, 0)
    ImageDraw.Draw(shadow).rectangle(
        (at[0] + 5, at[1] + 7, at[0] + card.width + 7, at[1] + card.height + 9), fill=190
    )
    picture.paste(shade(picture, blur(shadow, 7), 0.75))
    picture.paste(card, at)


def finished(picture: Image.Image, rng: Random) -> Image.Image:
    """What the lens and the wood's dim light do: darker corners, a little grain."""
    corner = (
        Image.radial_gradient("L")
        .resize(picture.size, BICUBIC)
        .point([_byte((v - 100) * 0.9) for v in range(256)])
    )
    picture = shade(picture, corner, 0.42)
    speck = contrast(grain(rng, picture.size, (1.6, 1.6)), 0.07)
    return ImageChops.overlay(picture, Image.merge("RGB", (speck, speck, speck)))


def _byte(value: float) -> int:
    return max(0, min(255, round(value)))
