"""Numbers as people type them into a search: a collector's, a range of them, a serial alone, an accession number. Pure."""

import re

from ledger.collecting_numbers import CODE, MOST_SERIAL, SERIAL
from ledger.search.days import FIRST_YEAR, LAST_YEAR, read_days
from ledger.search.known import Known
from ledger.search.terms import AccessionTerm, BareSerialTerm, NumberRangeTerm, NumberTerm

Number = NumberTerm | NumberRangeTerm | BareSerialTerm | AccessionTerm

# Most words of one number: "AT 30 to 40".
LONGEST = 4
_ACCESSION = re.compile(
    r"(?:(?P<prefix>[a-z]{2,8})[ -]?)?(?P<year>\d{4})[-/](?P<serial>\d{1,6})(?:[ /-]?[a-z]\d{1,3})?", re.I
)
_ACCESSION_SPACED = re.compile(
    r"(?P<prefix>[a-z]{2,8})[ -](?P<year>\d{4})[ -](?P<serial>\d{1,6})(?:[ /-]?[a-z]\d{1,3})?", re.I
)
# The letters of a share that stand apart are one: two are the next collector's code, "AT 36 AT 5".
_COLLECTED = re.compile(
    rf"(?P<code>{CODE})[ .-]?(?P<serial>{SERIAL})(?P<suffix>[a-z]{{0,2}}| [a-z])", re.I | re.A
)
_RANGE = re.compile(
    rf"(?P<code>{CODE})[ .-]?(?P<first>{SERIAL})(?: ?[-–—] ?| to )(?P<last>{SERIAL})", re.I | re.A
)
_BARE = re.compile(r"(?P<said>#|n[or]\.? ?|num(?:ber)?\.? ?)?(?P<serial>\d{1,10})", re.I | re.A)


def read_number(span: list[str], known: Known) -> Number | None:
    """The number meant by the whole of the words, or None where they are none. A code is a member's, or written together."""
    if len(span) > LONGEST:
        return None
    line = " ".join(span)
    return _accession(line, known) or _range(line, known) or _collected(line, known) or _bare(line, known)


def _accession(line: str, known: Known) -> AccessionTerm | None:
    found = _ACCESSION.fullmatch(line) or _ACCESSION_SPACED.fullmatch(line)
    if found is None:
        return None
    year, serial = int(found["year"]), int(found["serial"])
    is_month = found["prefix"] is None and len(found["serial"]) < 3 and 1 <= serial <= 12
    if not (FIRST_YEAR <= year <= LAST_YEAR and serial) or is_month:
        return None
    return AccessionTerm((found["prefix"] or known.prefix).upper(), year, serial)


def _range(line: str, known: Known) -> NumberRangeTerm | None:
    found = _RANGE.fullmatch(line)
    if found is None or known.coded(found["code"]) is None:
        return None
    first, last = int(found["first"]), int(found["last"])
    return NumberRangeTerm(found["code"].upper(), first, last) if 0 < first < last <= MOST_SERIAL else None


def _collected(line: str, known: Known) -> NumberTerm | None:
    found = _COLLECTED.fullmatch(line)
    if found is None or int(found["serial"]) > MOST_SERIAL:
        return None
    # "Oct 2026" and "since 2024" are dates; a code is a member's, or written together: AT118.
    is_code = known.coded(found["code"]) is not None or (" " not in line and found["code"].isupper())
    if not is_code or read_days(line, known.today) is not None:
        return None
    return NumberTerm(found["code"].upper(), int(found["serial"]), found["suffix"].strip().upper())


def _bare(line: str, known: Known) -> BareSerialTerm | None:
    found = _BARE.fullmatch(line)
    if found is None or not 0 < int(found["serial"]) <= MOST_SERIAL:
        return None
    # A year is one, unless it was called a number.
    if not found["said"] and read_days(line, known.today) is not None:
        return None
    return BareSerialTerm(int(found["serial"]))
