"""A log and its end-grain, for the photo of the wood."""

import math
from random import Random

from PIL import Image, ImageDraw

from ledger.demo.brushes import (
    Colour,
    bark,
    between,
    blur,
    cloud,
    coloured,
    contrast,
    darker,
    fan,
    grain,
    lit,
    shade,
)

STRIP = (900, 420)


def log(
    picture: Image.Image, rng: Random, diameter_mm: float, kind: str, wood: Colour, decay: int, moss: float
) -> float:
    """Draw the log onto ``picture``; returns the pixels per mm in the plane of its end."""
    width, height = picture.size
    radius = height * 0.33
    x, y = width * rng.uniform(0.3, 0.36), height * 0.46
    squeeze = 0.8  # the end is seen a little from the side
    body = _body(rng, picture.size, kind, min(0.95, moss + 0.09 * (decay - 1)), y, radius)
    solid = Image.new("L", picture.size, 0)
    draw = ImageDraw.Draw(solid)
    taper = 0.9
    draw.polygon(
        [(x, y - radius), (width, y - radius * taper), (width, y + radius * taper), (x, y + radius)], fill=255
    )
    draw.ellipse((x - radius * squeeze, y - radius, x + radius * squeeze, y + radius), fill=255)
    cast = Image.new("L", picture.size, 0)
    cast.paste(solid, (10, 40))
    picture.paste(shade(picture, blur(cast, 30), 0.8))
    picture.paste(body, (0, 0), blur(solid, 1.5))
    _end(picture, rng, (x, y), radius, squeeze, wood, kind, decay)
    return 2 * radius / diameter_mm


def _body(rng: Random, size: tuple[int, int], kind: str, moss: float, y: float, radius: float) -> Image.Image:
    top, tall = int(y - radius) - 4, int(2 * radius) + 8
    side = bark(rng, (size[0], tall), kind, moss)
    # Round: brightest a third down, dark below.
    round_off = Image.linear_gradient("L").resize((size[0], tall)).point([_dark(v / 255) for v in range(256)])
    side = shade(side, round_off, 0.86)
    body = Image.new("RGB", size)
    body.paste(side, (0, top))
    return body


def _dark(down: float) -> int:
    return int(255 * min(1.0, math.pow(abs(down - 0.3), 1.6) * 1.9))


def _end(
    picture: Image.Image,
    rng: Random,
    centre: tuple[float, float],
    radius: float,
    squeeze: float,
    wood: Colour,
    kind: str,
    decay: int,
) -> None:
    waves = [(k, rng.uniform(0.2, 1) * 0.03 / k**0.5, rng.uniform(0, 6.28)) for k in (2, 3, 5, 9)]
    pith = centre[0] + radius * rng.uniform(-0.12, 0.12), centre[1] + radius * rng.uniform(-0.12, 0.12)

    def margin(angle: float) -> float:
        return 1 + sum(a * math.sin(k * angle + p) for k, a, p in waves)

    def polar(x: float, y: float) -> tuple[float, float]:
        # Rings stand closer on the side towards which the pith has moved.
        u, v = (x - centre[0]) / (radius * squeeze), (y - centre[1]) / radius
        out = min(1.2, math.hypot(u, v))
        pu, pv = (pith[0] - centre[0]) / (radius * squeeze), (pith[1] - centre[1]) / radius
        u, v = u - pu * max(0.0, 1 - out), v - pv * max(0.0, 1 - out)
        angle = math.atan2(v, u)
        return angle, math.hypot(u, v) / margin(angle)

    texture = _rings(rng, wood, decay)

    def place(x: float, y: float) -> tuple[float, float]:
        angle, out = polar(x, y)
        # The strip is cut to the left, where its two ends meet; it repeats there by mirror.
        across = abs(angle) / math.pi * (STRIP[0] - 3) + 1
        return across, max(1.0, min(STRIP[1] - 2.0, out / 1.08 * STRIP[1]))

    points = []
    for i in range(120):
        angle = i / 120 * 2 * math.pi
        reach = margin(angle) * 0.985 * radius
        points.append((centre[0] + math.cos(angle) * reach * squeeze, centre[1] + math.sin(angle) * reach))
    mask = Image.new("L", picture.size, 0)
    ImageDraw.Draw(mask).polygon(points, fill=255)
    box = (
        int(centre[0] - radius * squeeze * 1.1),
        int(centre[1] - radius * 1.1),
        int(centre[0] + radius * squeeze * 1.1),
        int(centre[1] + radius * 1.1),
    )
    bent = fan(texture, picture.size, place, box, 16)
    red, green, blue, height = bent.split()
    face = lit(Image.merge("RGB", (red, green, blue)), height, 1.6, 1)
    face = _checks(face, rng, pith, radius, squeeze, decay)
    if decay > 2:
        rot = contrast(cloud(rng, picture.size, (90, 90), 4), 4, 230 - 26 * decay)
        pale = Image.blend(face, Image.new("RGB", picture.size, (214, 196, 160)), 0.6)
        face = Image.composite(pale, face, rot)
        zone = contrast(cloud(rng, picture.size, (120, 120), 3), 1.0).point(
            [255 if abs(v - 128) < 3 else 0 for v in range(256)]
        )
        face = shade(face, blur(zone, 1.2), 0.7)  # the dark lines that rots draw where they meet
    picture.paste(shade(picture, blur(mask, 5), 0.3))
    picture.paste(face, (0, 0), blur(mask, 1.2))


def _rings(rng: Random, wood: Colour, decay: int) -> Image.Image:
    """Growth rings as a strip: sapwood pale outside, heart darker inside, bark at the rim."""
    palette, relief = [], []
    heart, stain = between(wood, (126, 78, 48), 0.5), (122, 94, 68)
    at, year, years = 0.0, 0, []
    while at < 1:
        years.append(at)
        at += rng.uniform(0.012, 0.036)
    for level in range(256):
        share = level / 255 * 1.08
        while year + 1 < len(years) and years[year + 1] < share:
            year += 1
        step = (years[year + 1] if year + 1 < len(years) else 1.0) - years[year]
        inside = min(1.0, (share - years[year]) / max(0.01, step))
        base = between(heart, wood, min(1.0, max(0.0, (share - 0.45) / 0.2)))
        base = between(base, stain, 0.13 * (decay - 1))
        shown, raised = darker(base, 1.08 - 0.3 * inside**3), round(140 - 30 * inside**3)
        if share > 0.93:
            shown, raised = darker((84, 64, 48), 0.7 + 0.6 * rng.random()), 150
        palette.append(shown)
        relief.append(raised)
    ramp = Image.linear_gradient("L").resize(STRIP, Image.Resampling.BILINEAR)
    rings = Image.blend(ramp, cloud(rng, STRIP, (110, 60), 3), 0.035)
    rings = rings.point([max(0, min(255, round((v - 4.4) * 255 / 246))) for v in range(256)])
    rays = grain(rng, STRIP, (2, 60))
    colour = coloured(rings, palette)
    colour = Image.composite(
        colour, shade(colour, Image.new("L", STRIP, 255), 0.2), contrast(rays, 0.7, 128, 190)
    )
    red, green, blue = colour.split()
    height = Image.blend(rings.point(relief), grain(rng, STRIP, (2.4, 3)), 0.22 + 0.05 * decay)
    return Image.merge("CMYK", (red, green, blue, height))


def _checks(
    face: Image.Image, rng: Random, pith: tuple[float, float], radius: float, squeeze: float, decay: int
) -> Image.Image:
    """Drying cracks from the pith outwards."""
    cracks = Image.new("L", face.size, 0)
    draw = ImageDraw.Draw(cracks)
    for _ in range(5 + 2 * decay):
        angle, begin, end = rng.uniform(0, 2 * math.pi), rng.uniform(0, 0.35), rng.uniform(0.4, 0.95)
        wide = rng.uniform(1.5, 3.5) + decay
        left, right = [], []
        for i in range(9):
            share = begin + (end - begin) * i / 8
            turn = angle + rng.uniform(-0.012, 0.012)
            x, y = (
                pith[0] + math.cos(turn) * share * radius * squeeze,
                pith[1] + math.sin(turn) * share * radius,
            )
            half = wide * math.sin(math.pi * (i + 0.3) / 8.6) / 2
            left.append((x - math.sin(turn) * half, y + math.cos(turn) * half))
            right.append((x + math.sin(turn) * half, y - math.cos(turn) * half))
        draw.polygon(left + right[::-1], fill=230)
    return shade(face, blur(cracks, 0.9), 0.8)
