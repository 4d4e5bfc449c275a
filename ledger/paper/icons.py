"""The drawn states of the traits for paper: each symbol of static/icons/traits.svg as an SVG drawing of its own."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from pathlib import Path

SHEET = Path(__file__).resolve().parents[2] / "static" / "icons" / "traits.svg"
_SYMBOL = re.compile(r'<symbol id="([^"]+)" viewBox="([^"]+)">(.*?)</symbol>', re.DOTALL)
# A dab of paint rather than a drawing: what it shows is a colour, which paper of one toner cannot.
_COLOUR = "colour-"


def icon_svg(name: str) -> str:
    """Return the drawing of that name, its pen black; KeyError where the sheet holds none."""
    return _drawings()[name]


def is_colour(name: str) -> bool:
    """Whether the icon stands for a colour."""
    return name.startswith(_COLOUR)


@cache
def _drawings() -> Mapping[str, str]:
    return {
        name: f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}" color="#000">{drawing.strip()}</svg>'
        for name, box, drawing in _SYMBOL.findall(SHEET.read_text())
    }
