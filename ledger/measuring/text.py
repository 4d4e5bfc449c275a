"""Measured values as people read them."""

import math

from ledger.words import Said, later, say, together

_UNITS = {"1/mm": later("per mm")}


def with_uncertainty(value: float, expanded: float, unit: str) -> Said:
    """`57.4 ± 0.8 mm`: the value with its expanded uncertainty (k = 2), to as many digits as that has a say in.

    One digit of the uncertainty, two where the first is a 1 (GUM 7.2.6: two at most). Without an uncertainty, three
    digits of the value.
    """
    said = _UNITS.get(unit, unit)
    if not (math.isfinite(value) and math.isfinite(expanded)):
        return say("cannot be said")
    if expanded <= 0:
        return together((f"{value:.3g}", said))
    place = math.floor(math.log10(expanded))
    if expanded / 10**place < 1.95:
        place -= 1
    digits = max(0, -place)
    value, expanded = round(value, -place), round(expanded, -place)
    return together((f"{value:.{digits}f} ± {expanded:.{digits}f}", said))
