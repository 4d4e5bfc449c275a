"""What a trait is measured with, and so to what it is read: resolution in the trait's own unit.

A ruler's 1 mm, a calliper's 0.1 mm and so on are common practice, no source. A pore count along k millimetres is
read to 1/k per mm, which is arithmetic.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from ledger.words import later


@dataclass(frozen=True, slots=True)
class Instrument:
    code: str
    label: str
    resolution: float


_LENGTH = (
    Instrument("ruler", later("ruler, to 1 mm"), 1.0),
    Instrument("half", later("ruler, to 0.5 mm"), 0.5),
    Instrument("calliper", later("calliper, to 0.1 mm"), 0.1),
    Instrument("lens", later("lens with scale, to 0.1 mm"), 0.1),
    Instrument("thumb", later("by eye, to 10 mm"), 10.0),
)
INSTRUMENTS: Mapping[str, tuple[Instrument, ...]] = {
    "mm": _LENGTH,
    "1/mm": (
        Instrument("along1", later("counted along 1 mm"), 1.0),
        Instrument("along2", later("counted along 2 mm"), 0.5),
        Instrument("along5", later("counted along 5 mm"), 0.2),
        Instrument("along10", later("counted along 10 mm"), 0.1),
    ),
    "um": (
        Instrument("eyepiece1", later("eyepiece scale, to 1 µm"), 1.0),
        Instrument("eyepiece05", later("eyepiece scale, to 0.5 µm"), 0.5),
        Instrument("eyepiece02", later("eyepiece scale, to 0.2 µm"), 0.2),
    ),
}
# What may stand in the box instead of the trait's own unit; converted openly.
UNITS: Mapping[str, tuple[tuple[str, str], ...]] = {
    "mm": (("mm", "mm"), ("cm", "cm"), ("in", later("inch"))),
    "1/mm": (("1/mm", later("per mm")),),
    "um": (("um", "µm"),),
}


def resolution_of(unit: str, code: str) -> float | None:
    """The resolution of the chosen instrument, None where none was chosen: the check then takes the customary one."""
    return next((i.resolution for i in INSTRUMENTS.get(unit, ()) if i.code == code), None)


def instrument_of(unit: str, resolution: float | None) -> str:
    """The code of the first instrument that reads to that resolution, or empty."""
    return next((i.code for i in INSTRUMENTS.get(unit, ()) if i.resolution == resolution), "")
