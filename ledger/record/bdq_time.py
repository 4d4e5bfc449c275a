"""BDQ Core tests of when: the date of the event, its parts, and the date of the name."""

import calendar
from collections.abc import Callable
from datetime import date

from ledger.record.bdq_limits import EARLIEST_EVENT
from ledger.record.bdq_terms import (
    INTERNAL_PREREQUISITES_NOT_MET,
    NOT_REPORTED,
    RUN_HAS_RESULT,
    UNMET,
    BdqTest,
    Parameters,
    Record,
    Response,
    has,
    integer,
    not_empty,
    verdict,
)
from ledger.record.iso8601 import Span, parse_span

EVENT_DATE, IDENTIFIED = "dwc:eventDate", "dwc:dateIdentified"
YEAR, MONTH, DAY = "dwc:year", "dwc:month", "dwc:day"
START_DAY, END_DAY = "dwc:startDayOfYear", "dwc:endDayOfYear"
_PARTS = (YEAR, MONTH, DAY, START_DAY, END_DAY)

_EARLIEST_NAME = date(1753, 1, 1)


def span_of(record: Record, term: str) -> Span | None:
    """The date or interval under this term, None where there is none or it is not valid ISO 8601-1."""
    return parse_span(record[term]) if has(record, term) else None


def date_standard(term: str) -> Callable[[Record, Parameters], Response]:
    """The run of a test for a valid date."""

    def run(record: Record, parameters: Parameters) -> Response:
        return UNMET if not has(record, term) else verdict(span_of(record, term) is not None)

    return run


def event_in_range(record: Record, parameters: Parameters) -> Response:
    """The whole of it from 1582-11-15 to the end of this year."""
    span = span_of(record, EVENT_DATE)
    if span is None:
        return UNMET
    return verdict(span.first >= EARLIEST_EVENT and span.last <= date(parameters.today.year, 12, 31))


def event_consistent(record: Record, parameters: Parameters) -> Response:
    """The parts that are given agree with the event date, which must be fine enough to bear them out."""
    if not has(record, EVENT_DATE) or not any(has(record, part) for part in _PARTS):
        return UNMET
    span = span_of(record, EVENT_DATE)
    if span is None:
        return verdict(False)
    first, last = span.first, span.last
    one_year = first.year == last.year
    one_month = one_year and first.month == last.month and span.is_as_fine_as("month")
    to_the_day = span.is_as_fine_as("day")
    borne_out = {
        YEAR: first.year if one_year else None,
        MONTH: first.month if one_month else None,
        DAY: first.day if first == last and to_the_day else None,
        START_DAY: first.timetuple().tm_yday if to_the_day else None,
        END_DAY: last.timetuple().tm_yday if to_the_day else None,
    }
    return verdict(
        all(
            integer(record, part) is not None and integer(record, part) == value
            for part, value in borne_out.items()
            if has(record, part)
        )
    )


def event_temporal_not_empty(record: Record, parameters: Parameters) -> Response:
    """At least one term says when."""
    return verdict(any(has(record, term) for term in (EVENT_DATE, *_PARTS, "dwc:verbatimEventDate")))


def year_in_range(record: Record, parameters: Parameters) -> Response:
    """1582 to this year."""
    year = integer(record, YEAR)
    return UNMET if year is None else verdict(EARLIEST_EVENT.year <= year <= parameters.today.year)


def integer_standard(term: str, high: int) -> Callable[[Record, Parameters], Response]:
    """The run of a test for a whole number from 1."""

    def run(record: Record, parameters: Parameters) -> Response:
        if not has(record, term):
            return UNMET
        value = integer(record, term)
        return verdict(value is not None and 1 <= value <= high)

    return run


def day_in_range(record: Record, parameters: Parameters) -> Response:
    """The day exists in its month, and 29 February in its year."""
    day, month, year = integer(record, DAY), integer(record, MONTH), integer(record, YEAR)
    if day is None:
        return UNMET
    if not 29 <= day <= 31:
        return verdict(1 <= day <= 28)
    if month is None or not 1 <= month <= 12:
        return UNMET
    if month != 2:
        return verdict(day <= (30 if month in (4, 6, 9, 11) else 31))
    if day == 29 and (year is None or not 1 <= year <= 9999):
        return UNMET
    return verdict(day == 29 and year is not None and calendar.isleap(year))


def day_of_year_in_range(term: str, is_start: bool) -> Callable[[Record, Parameters], Response]:
    """The run of a test for a day of the year: 366 only where that end of the event lies in a leap year."""

    def run(record: Record, parameters: Parameters) -> Response:
        if not has(record, term):
            return UNMET
        value = integer(record, term)
        if value != 366:
            return verdict(value is not None and 1 <= value <= 365)
        span = span_of(record, EVENT_DATE)
        if span is None:
            return UNMET
        return verdict(calendar.isleap((span.first if is_start else span.last).year))

    return run


def duration_in_seconds(record: Record, parameters: Parameters) -> Response:
    """The length of the event date; a day has 86,400 s."""
    span = span_of(record, EVENT_DATE)
    if span is None:
        return Response(INTERNAL_PREREQUISITES_NOT_MET, NOT_REPORTED)
    return Response(RUN_HAS_RESULT, str(span.seconds))


def identified_in_range(record: Record, parameters: Parameters) -> Response:
    """From 1753 (Linnaeus) to today, and not before the event it is about; an overlap is enough."""
    named = span_of(record, IDENTIFIED)
    if named is None:
        return UNMET
    event = span_of(record, EVENT_DATE)
    if event is None and has(record, EVENT_DATE):
        return UNMET
    in_range = named.first >= _EARLIEST_NAME and named.last <= parameters.today
    return verdict(in_range and (event is None or named.last >= event.first))


TESTS = (
    BdqTest("f51e15a6-a67d-4729-9c28-3766299d2985", "VALIDATION_EVENTDATE_NOTEMPTY", not_empty(EVENT_DATE)),
    BdqTest(
        "4f2bf8fd-fc5c-493f-a44c-e7b16153c803", "VALIDATION_EVENTDATE_STANDARD", date_standard(EVENT_DATE)
    ),
    BdqTest("3cff4dc4-72e9-4abe-9bf3-8a30f1618432", "VALIDATION_EVENTDATE_INRANGE", event_in_range),
    BdqTest("5618f083-d55a-4ac2-92b5-b9fb227b832f", "VALIDATION_EVENT_CONSISTENT", event_consistent),
    BdqTest(
        "41267642-60ff-4116-90eb-499fee2cd83f", "VALIDATION_EVENTTEMPORAL_NOTEMPTY", event_temporal_not_empty
    ),
    BdqTest("ad0c8855-de69-4843-a80c-a5387d20fbc8", "VALIDATION_YEAR_INRANGE", year_in_range),
    BdqTest("c09ecbf9-34e3-4f3e-b74a-8796af15e59f", "VALIDATION_YEAR_NOTEMPTY", not_empty(YEAR)),
    BdqTest("01c6dafa-0886-4b7e-9881-2c3018c98bdc", "VALIDATION_MONTH_STANDARD", integer_standard(MONTH, 12)),
    BdqTest("47ff73ba-0028-4f79-9ce1-ee7008d66498", "VALIDATION_DAY_STANDARD", integer_standard(DAY, 31)),
    BdqTest("8d787cb5-73e2-4c39-9cd1-67c7361dc02e", "VALIDATION_DAY_INRANGE", day_in_range),
    BdqTest(
        "85803c7e-2a5a-42e1-b8d3-299a44cafc46",
        "VALIDATION_STARTDAYOFYEAR_INRANGE",
        day_of_year_in_range(START_DAY, is_start=True),
    ),
    BdqTest(
        "9a39d88c-7eee-46df-b32a-c109f9f81fb8",
        "VALIDATION_ENDDAYOFYEAR_INRANGE",
        day_of_year_in_range(END_DAY, is_start=False),
    ),
    BdqTest(
        "56b6c695-adf1-418e-95d2-da04cad7be53", "MEASURE_EVENTDATE_DURATIONINSECONDS", duration_in_seconds
    ),
    BdqTest(
        "66269bdd-9271-4e76-b25c-7ab81eebe1d8",
        "VALIDATION_DATEIDENTIFIED_STANDARD",
        date_standard(IDENTIFIED),
    ),
    BdqTest("dc8aae4b-134f-4d75-8a71-c4186239178e", "VALIDATION_DATEIDENTIFIED_INRANGE", identified_in_range),
)
