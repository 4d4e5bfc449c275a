"""Numbers to sort and to count by. Pure."""

from datetime import UTC, date, datetime
from decimal import ROUND_FLOOR, Decimal

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
# Hundredths of a second since 1970: 2^40 of them are 348 years. Above them the day: 9999-12-31 is under 2^22.
_MOMENT_BITS = 40
_DAY_BITS = 22

# Sides of the nets in degrees, with the column of the index that holds their cells.
NETS = {10.0: "cell_10", 1.0: "cell_1", 0.1: "cell_01", 0.01: "cell_001"}
_CELLS_IN_10_DEG = {10.0: 1, 1.0: 10, 0.1: 100, 0.01: 1000}


def latest_key(found_on: date | None, logged_at: datetime) -> int:
    """The order of the list as one number: the day, then the moment of logging. Without a day it is below all others.

    >>> latest_key(date(2026, 10, 3), _EPOCH) > latest_key(date(2026, 10, 2), datetime(2026, 11, 1, tzinfo=UTC))
    True
    """
    moment = int((logged_at - _EPOCH).total_seconds() * 100)
    moment = min(max(moment, 0), (1 << _MOMENT_BITS) - 1)
    return ((found_on.toordinal() if found_on else 0) << _MOMENT_BITS) | moment


def first_key_of(day: date) -> int:
    """The least key of that day."""
    return day.toordinal() << _MOMENT_BITS


def last_key_of(day: date) -> int:
    """The greatest key of that day."""
    return first_key_of(day) | ((1 << _MOMENT_BITS) - 1)


def cell_number(*, latitude: float, longitude: float, side_deg: float) -> int:
    """The cell of a net as one number: rows from the south pole, in each the columns from 180 west.

    A point on an edge is of the cell north and east of it; the pole of the last row; 180 E is 180 W; as `places.blur`.

    >>> cell_number(latitude=51.2, longitude=-2.3, side_deg=10)
    521
    """
    per_10 = _CELLS_IN_10_DEG[side_deg]
    row = min(_floor(latitude, per_10) + 9 * per_10, 18 * per_10 - 1)
    column = (_floor(longitude, per_10) + 18 * per_10) % (36 * per_10)
    return row * 36 * per_10 + column


def cell_bounds(number: int, side_deg: float) -> tuple[float, float, float, float]:
    """South, west, north and east of a cell in degrees.

    >>> cell_bounds(521, 10)
    (50.0, -10.0, 60.0, 0.0)
    """
    per_10 = _CELLS_IN_10_DEG[side_deg]
    row, column = divmod(number, 36 * per_10)
    return (
        row * 10 / per_10 - 90,
        column * 10 / per_10 - 180,
        (row + 1) * 10 / per_10 - 90,
        (column + 1) * 10 / per_10 - 180,
    )


def _floor(degrees: float, per_10_deg: int) -> int:
    """Cells from the origin, towards minus infinity."""
    # In decimals: 0.29 * 100 is 28.999999999999996 in binary. Nothing is added before: 180 and a hair west of 0 is 180.
    return int((Decimal(repr(float(degrees))) * per_10_deg / 10).to_integral_value(ROUND_FLOOR))
