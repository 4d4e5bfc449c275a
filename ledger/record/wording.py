"""How a value is said in a sentence. The unit is told by the end of its name: `_m`, `_minutes`, `_db`, `_deg`."""

import re
from datetime import datetime

from ledger.days import day_text, time_text
from ledger.words import say, say_n, together

_ISO_DAY = re.compile(r"\d{4}-\d{2}-\d{2}( \d{2}:\d{2})?", re.ASCII)
# From here on the hours, and then the days, are no longer what anybody wants to know.
_DAYS_ALONE = 10
_YEARS_FROM_DAYS = 731


def shown(name: str, value: object) -> str:
    """The value in words, with its unit where the name carries one.

    >>> shown("distance_m", 12345.6), shown("distance_m", 38.4), shown("late_minutes", 200)
    ('12.3 km', '38 m', '3 h 20 min')
    """
    if value is None:
        return say("not given")
    if isinstance(value, (tuple, list, frozenset)):
        return listed([shown(name, part) for part in value])
    if isinstance(value, str) and _ISO_DAY.fullmatch(value):
        return day(value)
    if isinstance(value, str):
        return value
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return str(value)
    if name.endswith("_m"):
        return metres(value)
    if name.endswith("_minutes"):
        return minutes(value)
    if name.endswith("_db"):
        return say_n("{n:,} deciban", "{n:,} decibans", round(value))
    if name.endswith("_deg"):
        return f"{value:g}°"
    return plain(value)


def plain(value: float) -> str:
    """Six significant digits at most, never in powers of ten below a million."""
    return str(value) if isinstance(value, int) else f"{value:.6g}"


def metres(value: float) -> str:
    """Metres up to 9999 m, kilometres above; without a comma, which some would read as a decimal one."""
    if abs(value) < 10:
        return f"{value:.2g} m"
    if abs(value) < 10_000:
        return f"{value:.0f} m"
    return f"{value / 1000:.1f} km" if abs(value) < 100_000 else f"{value / 1000:.0f} km"


def minutes(value: float) -> str:
    """Minutes as days, hours and minutes, leaving out what is nought; long times as days, or as whole years."""
    whole = round(abs(value))
    days, rest = divmod(whole, 24 * 60)
    if days >= _YEARS_FROM_DAYS:
        return say_n("{n:,} year", "{n:,} years", round(days / 365.2425))
    if days >= _DAYS_ALONE:
        return say_n("{n:,} day", "{n:,} days", days)
    if rest == 0 and days:
        return say_n("{n:,} day", "{n:,} days", days)
    hours, left = divmod(rest, 60)
    # Signs of units, the same in every language.
    parts = [f"{count} {word}" for count, word in ((days, "d"), (hours, "h"), (left, "min")) if count]
    return " ".join(parts) or "0 min"


def day(iso: str) -> str:
    """`2062-10-24` as `24 October 2062`, with the time of day where there is one; no such day stays as it came."""
    try:
        at = datetime.fromisoformat(iso)
    except ValueError:
        return iso
    return time_text(at) if ":" in iso else day_text(at.date())


def listed(words: list[str]) -> str:
    """`a`, `a and b`, `a, b and c`; `none` for nothing."""
    if len(words) < 2:
        return words[0] if words else say("none")
    return say("{first} and {last}", first=together(words[:-1], ", "), last=words[-1])
