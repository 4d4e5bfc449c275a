"""Undersides: pores, maze, gills, teeth, smooth, folds, as relief and colour on the plane of the picture."""

import math
from random import Random

from PIL import Image, ImageChops, ImageDraw, ImageFilter

from ledger.demo.brushes import Colour, Size, between, blur, cloud, contrast, darker, grain, lit, mix
from ledger.demo.caps import Outline

KINDS = ("pores", "maze", "gills", "teeth", "smooth", "folds")

STERILE_MM = 1.1
"""Width of the bare margin (common practice, no source: a millimetre or so)."""


def fertile_share(length_mm: float) -> float:
    """Share of the way to the margin that bears pores, teeth or gills."""
    return min(0.99, max(0.9, 1 - STERILE_MM / length_mm))


def underside(
    rng: Random,
    size: Size,
    outline: Outline,
    kind: str,
    px_per_mm: float,
    per_mm: float,
    colour: Colour,
    inner: Colour,
) -> Image.Image:
    """The whole plane covered with one kind of underside; the caller cuts out the cap.

    ``per_mm`` is, for pores, the square root of their number per mm²; for the other kinds what a line across meets.
    """
    flesh = mix(
        darker(between(colour, inner, 0.3), 0.9), darker(colour, 1.08), cloud(rng, size, (230, 170), 4)
    )
    fertile = fertile_share(outline.length / px_per_mm)
    if kind == "smooth":
        return _smooth(rng, size, outline, flesh, inner)
    if kind == "pores":
        return _pores(rng, flesh, outline, fertile, px_per_mm / per_mm, inner)
    if kind in ("maze", "folds"):
        return _winding(rng, flesh, px_per_mm / per_mm, inner, deep=kind == "maze")
    if kind == "gills":
        return _gills(rng, flesh, outline, fertile, px_per_mm / per_mm, inner)
    if kind == "teeth":
        return _teeth(rng, flesh, outline, fertile, px_per_mm / per_mm, colour, inner)
    raise ValueError(f"{kind!r} is no kind of underside; nothing was drawn. Use one of {', '.join(KINDS)}.")


def pore_centres(rng: Random, size: Size, spacing: float) -> list[tuple[float, float]]:
    """A jittered hexagonal net with one point per ``spacing``² pixels."""
    across = spacing * math.sqrt(2 / math.sqrt(3))
    down = across * math.sqrt(3) / 2
    shake = 0.1 * across
    centres = []
    for row in range(-1, int(size[1] / down) + 2):
        shift = across / 2 if row % 2 else 0.0
        for column in range(-1, int(size[0] / across) + 2):
            x = column * across + shift + rng.uniform(-shake, shake)
            centres.append((x, row * down + rng.uniform(-shake, shake)))
    return centres


def _pores(
    rng: Random, flesh: Image.Image, outline: Outline, fertile: float, spacing: float, inner: Colour
) -> Image.Image:
    size = flesh.size
    shapes = [_mouth(rng, spacing) for _ in range(40)]
    holes = Image.new("L", size, 0)
    draw = ImageDraw.Draw(holes)
    for x, y in pore_centres(rng, size, spacing):
        if outline.polar(x, y)[1] < fertile:
            draw.polygon([(x + dx, y + dy) for dx, dy in rng.choice(shapes)], fill=255)
    holes = blur(holes, max(0.6, spacing * 0.05))
    return _sunk(rng, flesh, holes, spacing, inner)


def _mouth(rng: Random, spacing: float) -> list[tuple[float, float]]:
    """One pore: roundish to angular, walls a quarter of the spacing thick."""
    turn, long_ = rng.uniform(0, math.pi), rng.uniform(1.0, 1.12)
    points = []
    for corner in range(9):
        angle = corner / 9 * 2 * math.pi + rng.uniform(-0.16, 0.16)
        radius = spacing * 0.36 * rng.uniform(0.9, 1.1)
        x, y = math.cos(angle) * radius * long_, math.sin(angle) * radius / long_
        points.append((x * math.cos(turn) - y * math.sin(turn), x * math.sin(turn) + y * math.cos(turn)))
    return points


def _sunk(rng: Random, flesh: Image.Image, holes: Image.Image, depth: float, inner: Colour) -> Image.Image:
    """Holes in flesh: lit wall below right, dark throat above left, light on the rims."""
    reach = max(1, round(depth * 0.14))
    walls = Image.blend(flesh, Image.new("RGB", flesh.size, inner), 0.55)
    picture = Image.composite(walls, flesh, holes)
    shifted = Image.new("L", flesh.size, 0)
    shifted.paste(holes, (-reach, -reach))
    throat = ImageChops.darker(holes, shifted)
    picture = Image.composite(Image.new("RGB", flesh.size, darker(inner, 0.4)), picture, throat)
    relief = ImageChops.invert(blur(holes, max(0.8, depth * 0.09)))
    speck = grain(rng, flesh.size, (2.4, 2.4))
    return lit(picture, Image.blend(relief, speck, 0.08), 0.8, 1)


def _winding(rng: Random, flesh: Image.Image, spacing: float, inner: Colour, deep: bool) -> Image.Image:
    """Walls that wind: noise of one wavelength, sharpened again and again until it closes up to a maze."""
    step = max(1.0, spacing / 12)
    small = round(flesh.width / step), round(flesh.height / step)
    width = spacing / step
    field = grain(rng, small, (width * 0.5, width * 0.42))
    for _ in range(5):
        near = field.filter(ImageFilter.GaussianBlur(width * 0.16))
        far = field.filter(ImageFilter.GaussianBlur(width * 0.36))
        field = ImageChops.subtract(near, far, 0.16, 128)
    field = field.resize(flesh.size, Image.Resampling.BICUBIC)
    if deep:
        holes = blur(contrast(field, 1.6, 150), 0.8)
        return _sunk(rng, flesh, holes, spacing * 0.6, inner)
    soft = blur(field, max(1.0, spacing * 0.12))
    hollow = Image.blend(flesh, Image.new("RGB", flesh.size, inner), 0.7)
    picture = Image.composite(flesh, hollow, contrast(soft, 0.7))
    return lit(lit(picture, soft, 1.1, 3), grain(rng, flesh.size, (2.5, 2.5)), 0.12)


def _gills(
    rng: Random, flesh: Image.Image, outline: Outline, fertile: float, spacing: float, inner: Colour
) -> Image.Image:
    """Plates from the attachment to near the margin; shorter ones begin where there is room."""
    size = flesh.size
    rims = Image.new("L", size, 0)
    draw = ImageDraw.Draw(rims)
    radius = outline.length
    count = max(8, 2 ** round(math.log2(1.9 * math.pi * radius / spacing)))
    waves = [(rng.uniform(0.004, 0.016), rng.uniform(3, 10), rng.uniform(0, 6.28)) for _ in range(3)]
    for plate in range(count + 1):
        angle = -0.42 + (math.pi + 0.84) * plate / count + rng.uniform(-0.6, 0.6) / count
        order = next((k for k in range(5) if plate % (16 >> k) == 0), 4)
        begin = (0.02, 0.05, 0.11, 0.22, 0.44)[order] * rng.uniform(0.85, 1.1)
        line = []
        for i in range(15):
            share = begin + (fertile * rng.uniform(0.985, 1.0) - begin) * i / 14
            bent = angle + sum(a * math.sin(w * share + p) for a, w, p in waves)
            line.append(outline.point(bent + rng.gauss(0, 0.09) / count, share))
        draw.line(line, fill=255, width=max(2, round(spacing * rng.uniform(0.28, 0.4))), joint="curve")
    rims = blur(rims, max(0.8, spacing * 0.07))
    sterile = Image.new("L", size, 255)
    ImageDraw.Draw(sterile).polygon(outline.edge(fertile), fill=0)
    gaps = ImageChops.subtract(ImageChops.invert(rims), blur(sterile, spacing * 0.3))
    return _sunk(rng, flesh, gaps, spacing, inner)


def _teeth(
    rng: Random,
    flesh: Image.Image,
    outline: Outline,
    fertile: float,
    spacing: float,
    colour: Colour,
    inner: Colour,
) -> Image.Image:
    """Flattened spines that hang towards the margin, the far ones first."""
    picture = Image.blend(flesh, Image.new("RGB", flesh.size, darker(inner, 0.45)), 0.75)
    draw = ImageDraw.Draw(picture)
    tones = [darker(between(inner, colour, 0.35 + 0.65 * i / 9), 0.9 + 0.02 * i) for i in range(10)]
    tall, wide = spacing * 1.7, spacing * 0.36
    spots = [(x, y, *outline.polar(x, y)) for x, y in pore_centres(rng, flesh.size, spacing)]
    swing = spacing * 0.45
    spots = [(x + rng.gauss(0, swing / 2), y + rng.gauss(0, swing / 2), a, d) for x, y, a, d in spots]
    for x, y, angle, distance in sorted(spots, key=lambda spot: spot[1]):
        if distance > fertile:
            continue
        length = tall * rng.uniform(0.7, 1.15) * (1.0 - 0.55 * max(0.0, distance - 0.7) / 0.25)
        lean = 0.4 * math.cos(angle) + rng.gauss(0, 0.16)
        tip = x + lean * length, y + length * 0.8
        half = wide * rng.uniform(0.8, 1.2)
        tone = rng.randrange(3, 10)
        draw.polygon([(x - half, y), (x + half, y), (tip[0] + half * 0.3, tip[1]), tip], fill=tones[tone])
        draw.polygon(
            [(x + half * 0.25, y), (x + half, y), (tip[0] + half * 0.3, tip[1])], fill=tones[tone - 3]
        )
        draw.line([tip, (x - half, y)], fill=darker(tones[tone], 1.12))
    return blur(picture, 0.7)


def _smooth(rng: Random, size: Size, outline: Outline, flesh: Image.Image, inner: Colour) -> Image.Image:
    """Hardly anything: faint zones, low bumps."""
    zones = Image.new("L", size, 128)
    draw = ImageDraw.Draw(zones)
    for i in range(14, 0, -1):
        draw.polygon(outline.edge(i / 15 + rng.uniform(-0.02, 0.02)), fill=128 + rng.randint(-34, 34))
    zones = blur(zones, outline.length * 0.02)
    picture = Image.composite(flesh, Image.blend(flesh, Image.new("RGB", size, inner), 0.5), zones)
    bumps = cloud(rng, size, (54, 44), 3)
    return lit(lit(picture, blur(bumps, 2), 1.4, 3), grain(rng, size, (2.2, 2.2)), 0.1)
