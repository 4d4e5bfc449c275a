"""Slips of the pen: a measurement that is outside, but within after x10, /10, x25.4 or /25.4.

The value is never changed: the slip only says which other unit would explain it.
"""

from __future__ import annotations

from dataclasses import replace

from ledger.traits.documented import Documented
from ledger.traits.outcome import Seen, decide
from ledger.traits.results import Slip
from ledger.traits.units import number_text, with_unit
from ledger.words import later, say

_TENFOLD = later("a unit of ten was mistaken (cm, mm) or a decimal sign misplaced")
FACTORS = (
    (10.0, _TENFOLD),
    (0.1, _TENFOLD),
    (25.4, later("inches were taken for millimetres")),
    (1 / 25.4, later("millimetres were taken for inches")),
)


def find_slip(seen: Seen, known: Documented | None, band: float) -> Slip | None:
    """The first factor that brings an `outside` measurement within; None for anything else."""
    if not seen.points or seen.numbers is None or decide(seen, known, band) != "outside":
        return None
    for factor, reason in FACTORS:
        points = tuple((x * factor, expanded * factor) for x, expanded in seen.points)
        if decide(replace(seen, points=points), known, band) == "within":
            return _slip(seen, factor, reason)
    return None


def _slip(seen: Seen, factor: float, reason: str) -> Slip:
    typed, corrected = seen.points[-1][0], seen.points[-1][0] * factor
    unit = seen.trait.unit
    sentence = say(
        "{typed} is outside, {corrected} would be within: perhaps {reason}. The value was left as it is.",
        typed=with_unit(number_text(typed), unit),
        corrected=with_unit(number_text(corrected), unit),
        reason=say(reason),
    )
    return Slip(factor, corrected, sentence)
