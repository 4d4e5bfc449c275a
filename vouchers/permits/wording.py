"""How a permit reads: on pages, and in one line of what leaves the club. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from ledger.days import short_day_text

NO_PERMISSION = "no permit or leave on record"
KEPT_BACK = "permit or leave on record; its words are kept back with the place"


@dataclass(frozen=True, slots=True)
class PermitText:
    """A permit in plain values."""

    issuer: str
    reference: str
    holder: str
    valid_from: date | None
    valid_until: date | None


def dates_text(valid_from: date | None, valid_until: date | None) -> str:
    """`1 Apr 2026 to 31 Mar 2027`, `until 31 Mar 2027`; an open end is told as what was not said."""
    if valid_from and valid_until:
        return f"{short_day_text(valid_from)} to {short_day_text(valid_until)}"
    if valid_from:
        return f"from {short_day_text(valid_from)}, no end said"
    return f"until {short_day_text(valid_until)}" if valid_until else "no dates said"


def beyond_dates(permit: PermitText, found_on: date | None) -> str:
    """Why the day of a find is not within the dates of a permit; empty where it is, or the permit says none."""
    if permit.valid_from is None and permit.valid_until is None:
        return ""
    if found_on is None:
        return "the day of the find is not known, so its dates cannot be held against it"
    if permit.valid_from and found_on < permit.valid_from:
        return f"found on {short_day_text(found_on)}, before it began on {short_day_text(permit.valid_from)}"
    if permit.valid_until and found_on > permit.valid_until:
        return f"found on {short_day_text(found_on)}, after it ended on {short_day_text(permit.valid_until)}"
    return ""


def permit_line(permit: PermitText, found_on: date | None) -> str:
    """One permit in one line of a list: `Hollin Estate, HE 12/2026, held by the club, until 31 Mar 2027`."""
    parts = [permit.issuer, permit.reference, f"held by {permit.holder}"]
    parts.append(dates_text(permit.valid_from, permit.valid_until))
    line = ", ".join(part for part in parts if part)
    beyond = beyond_dates(permit, found_on)
    return f"{line} ({beyond})" if beyond else line


def permission_line(
    permits: Sequence[PermitText], found_on: date | None, *, written: str = "", kept_back: bool = False
) -> str:
    """What a list that leaves the club says of the leave under which a specimen was taken.

    `written` is what the finder or the foray's leader wrote, told where no permit is linked. `kept_back`: the place is
    sensitive, and the owner's name would tell it.
    """
    written = " ".join(written.split())
    if not permits and not written:
        return NO_PERMISSION
    if kept_back:
        return KEPT_BACK
    return "; ".join(permit_line(permit, found_on) for permit in permits) or written
