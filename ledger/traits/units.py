"""Units people write, and how many of the trait's unit each is. Conversions are shown, never silent."""

from __future__ import annotations

from collections.abc import Mapping

from ledger.words import say

# One of the named unit is so many of the trait's unit. An inch is 25.4 mm by definition (1959 agreement).
_FACTORS: Mapping[str, Mapping[str, float]] = {
    "mm": {
        "mm": 1.0,
        "cm": 10.0,
        "dm": 100.0,
        "m": 1000.0,
        "um": 0.001,
        "in": 25.4,
        "inch": 25.4,
        "inches": 25.4,
        '"': 25.4,
    },
    "um": {"um": 1.0, "micron": 1.0, "microns": 1.0, "nm": 0.001, "mm": 1000.0},
    "1/mm": {
        "1/mm": 1.0,
        "/mm": 1.0,
        "per mm": 1.0,
        "1/cm": 0.1,
        "/cm": 0.1,
        "per cm": 0.1,
        "1/in": 1 / 25.4,
        "/in": 1 / 25.4,
        "per in": 1 / 25.4,
        "per inch": 1 / 25.4,
    },
    "month": {"month": 1.0},
}
_PRINTED = {"um": "µm", "month": ""}


def factor_to(unit: str, written: str | None) -> float | None:
    """What to multiply a number written in `written` by to have it in `unit`; None if it cannot be converted.

    No unit written means the trait's own, which stands in the box. µm may be typed with either of the two
    characters for mu.
    """
    if written is None:
        return 1.0
    name = " ".join(written.replace("µ", "u").replace("μ", "u").lower().split())
    if name.startswith("je "):  # as the German screens print it
        name = f"per {name[3:]}"
    return _FACTORS.get(unit, {}).get(name)


def accepted(unit: str) -> tuple[str, ...]:
    """The units that can be written for a trait measured in `unit`."""
    return tuple(_FACTORS.get(unit, {}))


def with_unit(number_text: str, unit: str | None) -> str:
    """A number with its unit as people print it: `58 mm`, `5.2 µm`, `4 per mm`."""
    if unit == "1/mm":
        return say("{number} per mm", number=number_text)
    printed = _PRINTED.get(unit or "", unit or "")
    return f"{number_text} {printed}".rstrip()


def number_text(value: float) -> str:
    """A number without superfluous digits: 58, 4.5, 4.33."""
    return f"{float(f'{value:.4g}'):.15g}" if abs(value) < 10000 else f"{value:.0f}"
