"""Spores for tests: within what is documented of *Trametes versicolor*, and entries of them."""

from typing import Any

from ledger.spores.entries import SporesEntry

TEN = tuple((length, width) for length in (5.5, 6.0, 6.0, 6.5, 7.0) for width in (2.0, 2.5))
TEXT = ", ".join(f"{length:g} x {width:g}" for length, width in TEN)
FORM = {"typed": TEXT, "mount": "water", "material": "print"}


def spores(*pairs: tuple[float, float], **more: Any) -> SporesEntry:
    return SporesEntry(pairs=pairs or TEN, **{"mount": "water", "material": "print", **more})
