"""Rules for the GPS block of EXIF: from numbers as written to a value, or to none with a reason.

Sources: CIPA DC-008 (Exif 2.32 and 3.0) section 4.6.6/4.6.7 for forms and units; the refusals (60 minutes, missing
reference letter, 0/0) are this project's own rules. Every function returns ``(value or None, remark or None)``.
"""

from datetime import UTC, date, datetime, timedelta
from fractions import Fraction

from ledger.photos.exif_readers import Value
from ledger.words import later, say

LONGEST_ERROR_M = 20_037_509
"""Half the equator, in metres: no position can be further off (the TDWG data quality tests' upper bound)."""

LOWEST_M, HIGHEST_M = -500, 9000
"""Altitudes on dry land, with room to spare (from memory: Dead Sea shore about -430, Everest 8849)."""

AXES = {"latitude": later("latitude"), "longitude": later("longitude")}

Found = tuple[float | None, str | None]


def degrees(name: str, written: Value | None, letter: Value | None) -> Found:
    """Decimal degrees of one axis; ``name`` is ``latitude`` or ``longitude``.

    Accepts degrees, minutes, seconds, and the forms with decimals in the last part that is not 0.
    """
    if written is None:
        return None, None
    axis = AXES[name]
    letters, limit = {"latitude": ("NS", 90), "longitude": ("EW", 180)}[name]
    if isinstance(written, str) or len(written) != 3:
        return None, say("The photo's {axis} is not three numbers; it was not used.", axis=axis)
    if any(part is None for part in written):
        return None, say("The photo's {axis} has a part with denominator 0; it is unknown, not 0.", axis=axis)
    whole, minutes, seconds = (part for part in written if part is not None)
    as_text = f"{_short(whole)}° {_short(minutes)}′ {_short(seconds)}″"
    ref = letter.upper() if isinstance(letter, str) else ""
    if ref not in tuple(letters):
        return None, say(
            "The photo's {axis} {written} has no letter {one} or {other}; it was not used.",
            axis=axis,
            written=as_text,
            one=letters[0],
            other=letters[1],
        )
    if not (0 <= minutes < 60 and 0 <= seconds < 60 and whole >= 0):
        return None, say(
            "The photo's {axis} {written} has minutes or seconds outside 0 to 60; it was not used.",
            axis=axis,
            written=as_text,
        )
    if (whole % 1 and (minutes or seconds)) or (minutes % 1 and seconds):
        return None, say(
            "The photo's {axis} {written} has decimals in two places; it was not used.",
            axis=axis,
            written=as_text,
        )
    value = whole + minutes / 60 + seconds / 3600
    if value > limit:
        return None, say(
            "The photo's {axis} {written} is beyond {limit} degrees; it was not used.",
            axis=axis,
            written=as_text,
            limit=limit,
        )
    return float(-value if ref in "SW" else value), None


def altitude_m(written: Value | None, ref: int | None) -> Found:
    """Metres; minus for references 1 and 3.

    Exif 2.x: 0 above and 1 below sea level. Exif 3.0: 0 and 1 are the ellipsoid's height, 2 and 3 that of the sea.
    A missing reference is 0 by the standard's default.
    """
    if written is None:
        return None, None
    number = _one(written)
    if number is None or number < 0:
        return None, say("The photo's altitude is not a number; it is unknown.")
    if ref not in (None, 0, 1, 2, 3):
        return None, say(
            "The photo's altitude has the reference {ref}, which means nothing; it was not used.", ref=ref
        )
    value = -number if ref in (1, 3) else number
    if not LOWEST_M <= value <= HIGHEST_M:
        return None, say("The photo's altitude of {m} m is on no land; it was not used.", m=_short(value))
    return float(value), None


def error_m(written: Value | None) -> Found:
    """Horizontal error in metres. Zero is taken for unknown: no receiver is without error."""
    if written is None:
        return None, None
    number = _one(written)
    if number is None:
        return None, say("The photo's position error is not a number; it is unknown.")
    if not 0 < number <= LONGEST_ERROR_M:
        return None, say(
            "The photo's position error of {m} m cannot be; it is taken as unknown.", m=_short(number)
        )
    return float(number), None


def direction_deg(written: Value | None) -> Found:
    """Direction the camera looked, 0 up to but not including 360 degrees."""
    if written is None:
        return None, None
    number = _one(written)
    if number is None:
        return None, say("The photo's direction is not a number; it is unknown.")
    if not 0 <= number <= 360:
        return None, say(
            "The photo's direction of {degrees} degrees is outside 0 to 360; it was not used.",
            degrees=_short(number),
        )
    return float(number % 360), None


def time_utc(day: Value | None, clock: Value | None) -> tuple[datetime | None, str | None]:
    """GPS date and time, which are UTC; a time without a date is not used. Decimals of the second are kept."""
    if day is None or clock is None:
        return None, None
    if not isinstance(day, str) or isinstance(clock, str) or len(clock) != 3 or None in clock:
        return None, say("The photo's GPS time is not a time; it was not used.")
    hours, minutes, seconds = (part for part in clock if part is not None)
    try:
        year, month, dom = (int(part) for part in day.replace("-", ":").split(":"))
        midnight = datetime.combine(date(year, month, dom), datetime.min.time(), tzinfo=UTC)
        if not (0 <= hours < 24 and 0 <= minutes < 60 and 0 <= seconds < 61):
            raise ValueError
        return midnight + timedelta(seconds=float(hours * 3600 + minutes * 60 + seconds)), None
    except (ValueError, OverflowError):
        return None, say(
            "The photo's GPS date {day} with its time is no moment; it was not used.", day=repr(day[:20])
        )


def _one(written: Value) -> Fraction | None:
    return written[0] if not isinstance(written, str) and len(written) == 1 else None


def _short(number: Fraction) -> str:
    return f"{float(number):.6g}"
