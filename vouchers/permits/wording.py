"""How a permit reads: on pages, and in one line of what leaves the club. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from ledger.days import short_day_text
from ledger.words import later, say, together

NO_PERMISSION = later("no permit or leave on record")
KEPT_BACK = later("permit or leave on record; its words are kept back with the place")
# What the history of a permit calls its boxes.
FIELD_WORDS = {
    "issuer": later("issuer"),
    "reference": later("reference"),
    "holder": later("holder"),
    "area": later("area"),
    "valid_from": later("valid_from"),
    "valid_until": later("valid_until"),
    "limits": later("limits"),
    "source": later("source"),
}


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
        return say("{first} to {last}", first=short_day_text(valid_from), last=short_day_text(valid_until))
    if valid_from:
        return say("from {day}, no end said", day=short_day_text(valid_from))
    return say("until {day}", day=short_day_text(valid_until)) if valid_until else say("no dates said")


def beyond_dates(permit: PermitText, found_on: date | None, *, of_foray: bool = False) -> str:
    """Why the day of a find is not within the dates of a permit; empty where it is, or the permit says none.

    `of_foray`: the day is that of a foray.
    """
    if permit.valid_from is None and permit.valid_until is None:
        return ""
    if found_on is None:
        return say("the day of the find is not known, so its dates cannot be held against it")
    if permit.valid_from and found_on < permit.valid_from:
        return say(
            "held on {day}, before it began on {begins}"
            if of_foray
            else "found on {day}, before it began on {begins}",
            day=short_day_text(found_on),
            begins=short_day_text(permit.valid_from),
        )
    if permit.valid_until and found_on > permit.valid_until:
        return say(
            "held on {day}, after it ended on {ends}"
            if of_foray
            else "found on {day}, after it ended on {ends}",
            day=short_day_text(found_on),
            ends=short_day_text(permit.valid_until),
        )
    return ""


def permit_line(permit: PermitText, found_on: date | None) -> str:
    """One permit in one line of a list: `Hollin Estate, HE 12/2026, held by the club, until 31 Mar 2027`."""
    parts = [permit.issuer, permit.reference, say("held by {holder}", holder=permit.holder)]
    parts.append(dates_text(permit.valid_from, permit.valid_until))
    line = together([part for part in parts if part], ", ")
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
        return say(NO_PERMISSION)
    if kept_back:
        return say(KEPT_BACK)
    return "; ".join(permit_line(permit, found_on) for permit in permits) or written
