"""Caps of bracket fungi seen from above, bent out of a strip of zones."""

import math
from collections.abc import Sequence
from random import Random

from PIL import Image, ImageDraw

from ledger.demo.brushes import (
    Colour,
    Size,
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

STRIP = (1200, 420)
OVERSCAN = 1.15
"""The strip reaches this far beyond the margin, so that bent meshes never run out of colour."""


BEHIND = 0.42
"""Radians by which a cap reaches round behind its line of attachment."""


class Outline:
    """The fan of one cap, hung at ``centre`` (the attachment); exactly as wide and long as asked, in pixels."""

    def __init__(
        self, rng: Random, centre: tuple[float, float], width: float, length: float, lobes: float
    ) -> None:
        self.centre, self.width, self.length = centre, width, length
        self._waves = [(k, rng.uniform(0.3, 1) * lobes / k**0.5, rng.uniform(0, 6.28)) for k in (3, 5, 9, 14)]
        angles = [math.pi * i / 120 for i in range(121)]
        reach = [self.reach(angle) for angle in angles]
        # Whatever the lobes do, the widest and the longest reach are those asked for.
        right = max(math.cos(a) * r for a, r in zip(angles, reach, strict=True))
        left = max(-math.cos(a) * r for a, r in zip(angles, reach, strict=True))
        self._across = width / (right + left)
        self._down = length / max(math.sin(a) * r for a, r in zip(angles, reach, strict=True))

    def reach(self, angle: float) -> float:
        """Distance of the margin at an angle (0 right, pi/2 down, pi left); unit: that straight down, about."""
        if not 0 <= angle <= math.pi:
            # Behind the line of attachment the flanks turn in: a bracket is narrower where it holds on.
            back = min(1.0, min(abs(angle), abs(angle - math.pi)) / BEHIND)
            return self.reach(0.0 if abs(angle) < 1.6 else math.pi) * (1 - 0.75 * back * back)
        flank = 0.86 + 0.14 * math.sqrt(abs(math.sin(angle))) + 0.05 * math.sin(2 * angle) ** 2
        return flank * (1 + sum(a * math.sin(k * angle + p) for k, a, p in self._waves))

    @property
    def widest(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """The outermost pixels of the left and of the right margin."""
        edge = [self.point(math.pi * step / 120) for step in range(121)]
        return min(edge), max(edge)

    @property
    def farthest(self) -> tuple[float, float]:
        """The pixel of the margin that is farthest from the line of attachment."""
        return max((self.point(math.pi * step / 120) for step in range(121)), key=lambda at: at[1])

    def polar(self, x: float, y: float) -> tuple[float, float]:
        """Angle and distance as a share of the margin's."""
        u, v = (x - self.centre[0]) / self._across, (y - self.centre[1]) / self._down
        angle = math.atan2(v, u)
        if angle < -math.pi / 2:
            angle += 2 * math.pi
        return angle, math.hypot(u, v) / self.reach(angle)

    def point(self, angle: float, share: float = 1.0) -> tuple[float, float]:
        """The pixel at an angle and a share of the way to the margin; undoes ``polar``."""
        reach = self.reach(angle) * share
        return (
            self.centre[0] + math.cos(angle) * reach * self._across,
            self.centre[1] + math.sin(angle) * reach * self._down,
        )

    def edge(self, share: float = 1.0) -> list[tuple[float, float]]:
        """The margin as a polygon, closed behind the attachment."""
        return [self.point(-BEHIND + (math.pi + 2 * BEHIND) * i / 160, share) for i in range(161)]

    def mask(self, size: Size, soft: float = 0.8) -> Image.Image:
        """White inside."""
        mask = Image.new("L", size, 0)
        ImageDraw.Draw(mask).polygon(self.edge(), fill=255)
        return blur(mask, soft)

    def box(self, size: Size) -> tuple[int, int, int, int]:
        """The part of the picture that holds the cap."""
        xs, ys = zip(*self.edge(), strict=True)
        return (
            max(0, int(min(xs)) - 4),
            max(0, int(min(ys)) - 4),
            min(size[0], int(max(xs)) + 4),
            min(size[1], int(max(ys)) + 4),
        )


def strip(
    rng: Random, zones: Sequence[Colour], margin: Colour, surface: str, zoned: float, size: Size = STRIP
) -> Image.Image:
    """Four channels, colour and relief: angle across, distance down, zones as uneven bands."""
    palette, relief = _bands(rng, zones, margin, zoned)
    ramp = Image.linear_gradient("L").resize(size, Image.Resampling.BILINEAR)
    wavy = Image.blend(cloud(rng, size, (150, 70), 3), grain(rng, size, (3, 5)), 0.16)
    # A tenth of the way, zones wander in and out; the margin is held by the pale end of the palette.
    distance = Image.blend(ramp, wavy, 0.1)
    distance = distance.point([max(0, min(255, round((v - 12) * 255 / 231))) for v in range(256)])
    colour = coloured(distance, palette)
    patches = contrast(cloud(rng, size, (120, 120), 3), 0.5)
    colour = Image.composite(colour, shade(colour, Image.new("L", size, 255), 0.22), patches.point(_spread))
    hair = {"velvety": (2.0, 7.0), "hairy": (2.6, 22.0), "rough": (7.0, 7.0)}.get(surface, (26.0, 60.0))
    nap = Image.blend(grain(rng, size, hair), grain(rng, size, (hair[0] * 2.2, hair[1] * 1.6)), 0.4)
    furrows = distance.point(relief)
    share = {"velvety": 0.14, "hairy": 0.24, "rough": 0.4}.get(surface, 0.07)
    height = Image.blend(furrows, nap, share)
    streaks = contrast(nap, {"smooth": 0.1, "velvety": 0.24}.get(surface, 0.32), 128, 214)
    colour = Image.composite(colour, colour.point([round(v * 0.62) for v in range(256)] * 3), streaks)
    red, green, blue = colour.split()
    return Image.merge("CMYK", (red, green, blue, height))


def _spread(level: int) -> int:
    return min(255, max(0, (level - 60) * 2))


def _bands(
    rng: Random, zones: Sequence[Colour], margin: Colour, zoned: float
) -> tuple[list[Colour], list[int]]:
    """A palette of 256 colours from the attachment to beyond the margin, and the height of each."""
    rim = 1 / OVERSCAN
    count = max(len(zones), round(4 + 9 * zoned))
    # Bands narrow towards the margin, where growth is newest.
    widths = [rng.uniform(0.6, 1.4) * (1.25 - 0.6 * i / count) for i in range(count)]
    total = sum(widths)
    edges = [0.0]
    for width in widths:
        edges.append(edges[-1] + width / total * (rim - 0.055))
    colours = []
    for i in range(count):
        base = zones[min(len(zones) - 1, i * len(zones) // count)]
        other = zones[rng.randrange(len(zones))]
        colour = between(base, other, rng.uniform(0, 0.7) * zoned)
        colours.append(darker(colour, 1 + rng.uniform(-0.26, 0.2) * zoned))
    furrow = [rng.uniform(-34, 34) * zoned for _ in range(count)]
    palette, relief = [], []
    for level in range(256):
        at = level / 255
        i = next((k for k in range(count) if at < edges[k + 1]), count)
        if i >= count:
            share = min(1.0, (at - edges[-1]) / 0.03)
            palette.append(between(colours[-1], margin, share))
            relief.append(round(135 - 25 * share))
            continue
        inside = (at - edges[i]) / (edges[i + 1] - edges[i])
        after = colours[i + 1] if i + 1 < count else between(colours[i], margin, 0.5)
        colour = between(colours[i], after, max(0.0, (inside - 0.72) / 0.28))
        line = math.exp(-((min(inside, 1 - inside) / 0.1) ** 2)) * 0.22 * zoned
        fine = 0.05 * zoned * math.sin(level * 1.9 + i)
        palette.append(darker(colour, 1 - line + fine))
        relief.append(round(120 + furrow[i] * math.sin(math.pi * inside) + 18 * at - 26 * line))
    return palette, relief


def lay_cap(picture: Image.Image, outline: Outline, texture: Image.Image, rng: Random, glow: Colour) -> None:
    """Put one cap on the picture: shadow, bent zones, light, rounded margin."""
    size = picture.size
    thick = max(4.0, outline.length * 0.045)
    mask = outline.mask(size)
    box = outline.box(size)
    reach = round(thick * 5)
    near = (
        max(0, box[0] - reach),
        max(0, box[1] - reach),
        min(size[0], box[2] + reach),
        min(size[1], box[3] + reach),
    )
    ground, shape = picture.crop(near), mask.crop(near)
    cast = Image.new("L", ground.size, 0)
    cast.paste(shape, (round(thick * 1.1), round(thick * 2.6)))
    ground = shade(ground, blur(cast, max(6, thick * 1.2)), 0.82)
    lower = Image.new("L", ground.size, 0)
    lower.paste(shape, (0, round(thick * 0.55)))
    ground.paste(darker(glow, 0.6), (0, 0, *ground.size), lower)
    picture.paste(ground, near[:2])

    def place(x: float, y: float) -> tuple[float, float]:
        angle, distance = outline.polar(x, y)
        across = (angle + 1.6) / (math.pi + 3.2) * texture.width
        return (
            max(1.0, min(texture.width - 2.0, across)),
            max(1.0, min(texture.height - 2.0, distance / OVERSCAN * texture.height)),
        )

    bent = fan(texture, size, place, box, 20).crop(box)
    red, green, blue, height = bent.split()
    colour = Image.merge("RGB", (red, green, blue))
    colour = lit(colour, height, 3.0, 2)
    dome = _dome(mask, box, outline)
    colour = lit(colour, dome, 2.2, 6)
    # The attachment lies deep and dark, and the bark's dust lies on it.
    depth = Image.new("L", colour.size, 0)
    x, y = outline.centre[0] - box[0], outline.centre[1] - box[1]
    r = outline.width * 0.46
    ImageDraw.Draw(depth).ellipse(
        (x - r, y - outline.length * 0.45, x + r, y + outline.length * 0.14), fill=230
    )
    colour = shade(colour, blur(depth, outline.length * 0.1), 0.72)
    picture.paste(colour, box[:2], mask.crop(box))


def _dome(mask: Image.Image, box: tuple[int, int, int, int], outline: Outline) -> Image.Image:
    return blur(mask.crop(box), max(6.0, outline.length * 0.05)).point([round(v * 0.9) for v in range(256)])
