"""A kept measurement in words: its value, how it was taken, and what two persons differ by."""

import math
from collections.abc import Sequence

from ledger.measures.models import Measurement
from ledger.measuring.text import with_uncertainty
from ledger.words import Said, say


def measured_text(row: Measurement) -> str:
    return with_uncertainty(row.value, 2 * row.u, row.unit)


def how_text(row: Measurement) -> Said:
    scale = say(row.scale.get_kind_display())
    if row.way == Measurement.Way.TAPS:
        along = row.parts.get("along_mm")
        return (
            say("{n} pores tapped along {mm} mm, {scale}", n=row.n, mm=f"{along:.1f}", scale=scale)
            if along
            else say("{n} pores tapped, {scale}", n=row.n, scale=scale)
        )
    if row.way == Measurement.Way.COUNT:
        return say("{n} pores counted by the program, {scale}", n=row.n, scale=scale)
    if not row.above_mm:
        return scale
    return say("{scale}, {mm} mm above its plane", scale=scale, mm=f"{row.above_mm:g}")


def difference_text(rows: Sequence[Measurement]) -> str:
    """The latest of two persons held against each other; |a - b| beyond 2 sqrt(ua² + ub²) is more than chance."""
    latest: dict[int, Measurement] = {}
    for row in rows:
        latest[row.taken_by_id] = row
    if len(latest) < 2:
        return ""
    one, other = sorted(latest.values(), key=lambda row: row.taken_at)[-2:]
    apart, allowed = abs(one.value - other.value), 2 * math.hypot(one.u, other.u)
    values = {
        "one": one.taken_by.full_name,
        "other": other.taken_by.full_name,
        "apart": f"{apart:.2g}",
        "unit": "mm" if one.unit == "mm" else say("per mm"),
        "allowed": f"{allowed:.2g}",
    }
    if apart <= allowed:
        return say(
            "{one} and {other} differ by {apart} {unit}: no more than their uncertainties allow ({allowed}).",
            **values,
        )
    return say(
        "{one} and {other} differ by {apart} {unit}: more than their uncertainties allow ({allowed}). "
        "Did both measure the same thing?",
        **values,
    )
