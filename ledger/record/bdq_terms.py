"""What the TDWG BDQ Core tests share: records, answers, and what counts as empty or as a number.

A record is a mapping from Darwin Core terms with their prefix (`dwc:eventDate`, `dcterms:license`) to text.
"""

import re
import unicodedata
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date

Record = Mapping[str, str]

COMPLIANT, NOT_COMPLIANT = "COMPLIANT", "NOT_COMPLIANT"
POTENTIAL_ISSUE, NOT_ISSUE = "POTENTIAL_ISSUE", "NOT_ISSUE"
RUN_HAS_RESULT = "RUN_HAS_RESULT"
INTERNAL_PREREQUISITES_NOT_MET = "INTERNAL_PREREQUISITES_NOT_MET"
EXTERNAL_PREREQUISITES_NOT_MET = "EXTERNAL_PREREQUISITES_NOT_MET"
AMENDED, FILLED_IN, NOT_AMENDED = "AMENDED", "FILLED_IN", "NOT_AMENDED"
NOT_REPORTED = "NOT_REPORTED"

_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?", re.ASCII)
_INTEGER = re.compile(r"[+-]?\d{1,18}", re.ASCII)  # longer ones are no number of anything here


@dataclass(frozen=True, slots=True)
class Response:
    """The answer of a test: a status, and a result that is a word, a number as text, or changed terms."""

    status: str
    result: str | Mapping[str, str] = ""


@dataclass(frozen=True, slots=True)
class Parameters:
    """What a test is told beside the record. ``today`` bounds what is dated; there is no clock in here.

    ``source_authority`` names a list to be used instead of the test's own. We hold the tests' own lists and can
    reach no other, so any other name gives EXTERNAL_PREREQUISITES_NOT_MET.
    """

    today: date
    source_authority: str = ""


@dataclass(frozen=True, slots=True)
class BdqTest:
    """A test we claim to follow, by the GUID under which the standard keeps it."""

    guid: str
    label: str
    run: Callable[[Record, Parameters], Response] = field(repr=False)
    uses_authority: bool = False


def is_empty(value: str | None) -> bool:
    """BDQ's Empty: absent, blank, or nothing but characters that do not print. The word `null` is not empty."""
    return value is None or all(
        letter.isspace() or unicodedata.category(letter).startswith("C") for letter in value
    )


def number(record: Record, term: str) -> float | None:
    """The value as a number, None where it is none: no units, no hemisphere letters, no `NaN`."""
    text = record.get(term, "").strip()
    return float(text) if _NUMBER.fullmatch(text) else None


def integer(record: Record, term: str) -> int | None:
    """The value as a whole number, None where it is none."""
    text = record.get(term, "").strip()
    return int(text) if _INTEGER.fullmatch(text) else None


def has(record: Record, term: str) -> bool:
    """Whether the record says anything under this term."""
    return not is_empty(record.get(term))


def verdict(good: bool) -> Response:
    """A validation's answer."""
    return Response(RUN_HAS_RESULT, COMPLIANT if good else NOT_COMPLIANT)


UNMET = Response(INTERNAL_PREREQUISITES_NOT_MET)
UNREACHABLE = Response(EXTERNAL_PREREQUISITES_NOT_MET)
UNCHANGED = Response(NOT_AMENDED)


def filled(changes: Mapping[str, str]) -> Response:
    """Terms that were empty and are not any more."""
    return Response(FILLED_IN, changes)


def not_empty(term: str) -> Callable[[Record, Parameters], Response]:
    """The run of a VALIDATION_..._NOTEMPTY test of one term."""

    def run(record: Record, parameters: Parameters) -> Response:
        return verdict(has(record, term))

    return run


def number_in_range(term: str, low: float, high: float) -> Callable[[Record, Parameters], Response]:
    """The run of a test for a number between two bounds, both included; what is no number is not judged."""

    def run(record: Record, parameters: Parameters) -> Response:
        value = number(record, term)
        return UNMET if value is None else verdict(low <= value <= high)

    return run
