"""Draw the icons a phone shows for the ledger, from the same lines as static/img/favicon.svg."""

from pathlib import Path
from typing import Any

from django.conf import settings
from PIL import Image, ImageDraw

from ledger.management.house import HouseCommand

BARK, PAPER = "#6b4f3a", "#faf7f0"
FINER = 4  # drawn so much larger, then made small: smooth edges
STEPS = 160

Point = tuple[float, float]

# The mark on a field of 32 by 32: a bracket, its inner zone, the log. Width of the pen, then cubic curves end to end.
MARK: tuple[tuple[float, tuple[tuple[Point, Point, Point, Point], ...]], ...] = (
    (2.4, (
        ((6, 21), (6, 11.5), (10.5, 5.5), (16, 5.5)),
        ((16, 5.5), (21.5, 5.5), (26, 11.5), (26, 21)),
        ((26, 21), (22, 23), (10, 23), (6, 21)),
    )),
    (1.8, (
        ((10.8, 18.5), (10.8, 13.5), (13, 10.8), (16, 10.8)),
        ((16, 10.8), (19, 10.8), (21.2, 13.5), (21.2, 18.5)),
    )),
    (2.4, (((3, 27), (12, 27), (20, 27), (29, 27)),)),
)  # fmt: skip

# name, side in px, size of the mark, radius of the corners in the field of 32. A maskable icon may be cut to any shape
# that holds the circle of four fifths of its side; a phone of one maker rounds the corners of a full square by itself.
ICONS = (
    ("icon-192.png", 192, 1.0, 4),
    ("icon-512.png", 512, 1.0, 4),
    ("icon-maskable-512.png", 512, 0.68, 0),
    ("icon-apple-180.png", 180, 0.86, 0),
)


class Command(HouseCommand):
    help = "Draw the icons of the installed ledger into static/img/."

    def handle(self, *args: Any, **options: Any) -> None:
        for name, side, scale, corner in ICONS:
            path = Path(settings.ROOT) / "static" / "img" / name
            drawn(side, scale, corner).save(path, optimize=True)
            self.stdout.write(f"{path.name}: {side} by {side}, {path.stat().st_size} bytes")


def drawn(side: int, scale: float, corner: float) -> Image.Image:
    """Return the mark on its ground, *side* px square; *scale* 1 is the size it has in the favicon."""
    large = side * FINER
    unit = large / 32
    image = Image.new("RGBA", (large, large), (0, 0, 0, 0))
    pen = ImageDraw.Draw(image)
    pen.rounded_rectangle((0, 0, large - 1, large - 1), radius=corner * unit, fill=BARK)
    for width, curves in MARK:
        half = width * scale * unit / 2
        for curve in curves:
            for x, y in _along(curve):
                # The mark's own middle (16, 16.5) stays in the middle of the field.
                px, py = (16 + (x - 16) * scale) * unit, (16 + (y - 16.5) * scale) * unit
                pen.ellipse((px - half, py - half, px + half, py + half), fill=PAPER)
    smooth = image.resize((side, side), Image.Resampling.LANCZOS)
    return smooth.quantize(32) if corner else smooth.convert("RGB").quantize(32)


def _along(curve: tuple[Point, Point, Point, Point]) -> list[Point]:
    points = []
    for step in range(STEPS + 1):
        t = step / STEPS
        weights = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3)
        x = sum(weight * point[0] for weight, point in zip(weights, curve, strict=True))
        y = sum(weight * point[1] for weight, point in zip(weights, curve, strict=True))
        points.append((x, y))
    return points
