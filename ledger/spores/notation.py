"""The trade's notation: `[30/1/1] (5.2–)5.5–7.0(–7.2) × (1.9–)2.1–2.6(–2.9) µm, …`

After Tulloss & Lindgren 2005, Mycotaxon 91: 193-194: (k–)m–n(–p) with k the smallest, m the 5th and n the 95th percentile, p
the largest; k or p is left out where it would be printed as m or n is. In square brackets spores/fruit bodies/collections.
"""

from ledger.spores.statistics import Figures, Summary

_DECIMALS = 1
_DECIMALS_OF_MEANS = 2


def ends(row: Figures, decimals: int = _DECIMALS) -> str:
    """`(5.2–)5.5–7.0(–7.2)`; `5.2–7.2` where there are too few values for percentiles."""
    smallest, low, high, largest = (
        f"{value:.{decimals}f}" for value in (row.smallest, row.low, row.high, row.largest)
    )
    if not row.has_percentiles:
        return smallest if smallest == largest else f"{smallest}–{largest}"
    before = "" if smallest == low else f"({smallest}–)"
    after = "" if largest == high else f"(–{largest})"
    middle = low if low == high else f"{low}–{high}"
    return f"{before}{middle}{after}"


def counted(n: int, fruit_bodies: int | None) -> str:
    """`[30/1/1]`: spores, fruit bodies, collections; without the number of fruit bodies nothing is claimed of them."""
    return f"[{n}/{fruit_bodies}/1]" if fruit_bodies else f"[{n}]"


def size(found: Summary) -> str:
    """Length by width with the unit, without means."""
    return f"{ends(found.length)} × {ends(found.width)} µm"


def mean_text(value: float) -> str:
    return f"{value:.{_DECIMALS_OF_MEANS}f}"


def written(found: Summary, *, fruit_bodies: int | None = None) -> str:
    """The whole line as it stands in a description."""
    return (
        f"{counted(found.n, fruit_bodies)} {size(found)}, L = {mean_text(found.length.mean)} µm, "
        f"W = {mean_text(found.width.mean)} µm, Q = {ends(found.quotient)}, Qm = {mean_text(found.quotient.mean)}, "
        f"n = {found.n}"
    )
