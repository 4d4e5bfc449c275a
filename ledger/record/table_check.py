"""The checks of a table: for each record the claimed TDWG BDQ Core tests, and a few checks of our own, as JSON values.

Our own checks claim to follow no TDWG test and bear no identifier of one: a place at sea, a very uncertain place, a date
to come, a name given before the find.
"""

from collections import Counter
from collections.abc import Collection, Iterator
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from ledger.record.bdq import CLAIMED, run_test
from ledger.record.bdq_place import LATITUDE, LONGITUDE, UNCERTAINTY
from ledger.record.bdq_terms import (
    AMENDED,
    FILLED_IN,
    INTERNAL_PREREQUISITES_NOT_MET,
    NOT_COMPLIANT,
    NOT_ISSUE,
    POTENTIAL_ISSUE,
    RUN_HAS_RESULT,
    Parameters,
    Record,
    Response,
    number,
)
from ledger.record.bdq_time import EVENT_DATE, IDENTIFIED, span_of
from ledger.record.bdq_words import comment
from ledger.record.facts import Limits, RecordFacts
from ledger.record.flags import FlagTable
from ledger.record.place_checks import is_on_earth, place_flags
from ledger.record.table_rows import AUTHORITY, Row
from ledger.record.time_checks import date_flags, name_day_flags

_SPEAKS_AGAINST = (NOT_COMPLIANT, POTENTIAL_ISSUE)
OCCURRENCE_ID = "dwc:occurrenceID"
STANDARD = "TDWG BDQ Core"
_LACKS = "Not judged, since the record lacks what this needs: "
_TERM_ADDRESS = "https://rs.tdwg.org/bdqtest/terms/"

# Our own checks by the code of their flag (fixtures/flags.json), and the terms they need.
OWN_CHECKS: dict[str, tuple[str, ...]] = {
    "place_at_sea": (LATITUDE, LONGITUDE),
    "uncertainty_huge": (LATITUDE, LONGITUDE, UNCERTAINTY),
    "date_future": (EVENT_DATE,),
    "named_before_found": (EVENT_DATE, IDENTIFIED),
}


class UnknownCheck(ValueError):
    """A check asked for by a name that none has; the text names some that are there."""


@dataclass(slots=True)
class Summary:
    """Counts by check and answer, kept while the table streams by."""

    records: int = 0
    unread: int = 0
    to_look_at: int = 0
    by_check: dict[str, Counter[str]] = field(default_factory=dict)

    def count(self, check: str, answer: Response) -> None:
        said = answer.result if isinstance(answer.result, str) and answer.result else answer.status
        if answer.status == RUN_HAS_RESULT and said.lstrip("-").isdigit():
            said = "measured"
        elif answer.status != RUN_HAS_RESULT:
            said = answer.status
        self.by_check.setdefault(check, Counter())[said] += 1
        self.to_look_at += needs_a_look(answer)


@dataclass(frozen=True, slots=True)
class Checker:
    """What a table is checked with: ``chosen`` GUIDs and codes, today, limits, and the table of flags."""

    chosen: tuple[str, ...]
    parameters: Parameters
    limits: Limits
    flags: FlagTable

    def answers(self, row: Row) -> Iterator[tuple[Response, dict[str, Any]]]:
        """For each check its answer, and the line of JSON as values."""
        record = row.record
        about = {"record": row.number, "line": row.line, "occurrenceID": record.get(OCCURRENCE_ID) or None}
        parameters = self.parameters
        if record.get(AUTHORITY):
            parameters = replace(parameters, source_authority=record[AUTHORITY])
        own: dict[str, tuple[Response, str]] | None = None
        for check in self.chosen:
            if test := CLAIMED.get(check):
                answer = run_test(check, record, parameters)
                told: dict[str, Any] = {
                    "check": test.label,
                    "standard": STANDARD,
                    "test": _TERM_ADDRESS + check,
                    "guid": check,
                    "comment": comment(test.label, record, answer),
                }
            else:
                if own is None:
                    own = own_answers(record, self.parameters.today, self.limits, self.flags)
                answer, said = own[check]
                told = {"check": check, "standard": None, "test": None, "guid": None, "comment": said}
            result: Any = answer.result if isinstance(answer.result, str) else dict(answer.result)
            yield answer, {**about, **told, "status": answer.status, "result": result or None}


def chosen_checks(asked: Collection[str]) -> tuple[str, ...]:
    """GUIDs and codes of the checks asked for by label, GUID or code; all where none is asked for. Raises UnknownCheck."""
    everything = {test.label: guid for guid, test in CLAIMED.items()} | {code: code for code in OWN_CHECKS}
    if not asked:
        return tuple(everything.values())
    by_name = {name.casefold(): key for name, key in everything.items()} | {
        key: key for key in everything.values()
    }
    chosen = []
    for name in asked:
        key = by_name.get(name.casefold())
        if key is None:
            raise UnknownCheck(
                f"There is no check “{name}”. Nothing was checked. Name one by its label or identifier; "
                "--list prints all of them."
            )
        chosen.append(key)
    return tuple(dict.fromkeys(chosen))


def facts_of(record: Record, today: date) -> RecordFacts:
    """What our own checks are told of a record. An interval counts by its first day."""
    event, named = span_of(record, EVENT_DATE), span_of(record, IDENTIFIED)
    return RecordFacts(
        today=today,
        found_on=event.first if event else None,
        named_on=named.last if named else None,
        latitude=number(record, LATITUDE),
        longitude=number(record, LONGITUDE),
        uncertainty_m=number(record, UNCERTAINTY),
        datum=record.get("dwc:geodeticDatum", ""),
        position_source="typed",
    )


def own_answers(
    record: Record, today: date, limits: Limits, table: FlagTable
) -> dict[str, tuple[Response, str]]:
    """The answers of our own checks by code, each with its sentence."""
    facts = facts_of(record, today)
    raised = {
        flag.code: flag.sentence
        for flags in (place_flags, date_flags, name_day_flags)
        for flag in flags(facts, limits, table)
    }
    answers = {}
    for code, terms in OWN_CHECKS.items():
        missing = [term for term in terms if not _is_usable(term, facts)]
        if missing:
            answer, said = Response(INTERNAL_PREREQUISITES_NOT_MET), _LACKS + ", ".join(missing) + "."
        elif code in raised:
            answer, said = Response(RUN_HAS_RESULT, POTENTIAL_ISSUE), raised[code]
        else:
            answer, said = Response(RUN_HAS_RESULT, NOT_ISSUE), "No issue."
        answers[code] = answer, said
    return answers


def _is_usable(term: str, facts: RecordFacts) -> bool:
    if term in (LATITUDE, LONGITUDE):
        latitude, longitude = facts.latitude, facts.longitude
        return (
            latitude is not None
            and longitude is not None
            and is_on_earth(latitude=latitude, longitude=longitude)
        )
    value = {UNCERTAINTY: facts.uncertainty_m, EVENT_DATE: facts.found_on, IDENTIFIED: facts.named_on}[term]
    return value is not None


def needs_a_look(answer: Response) -> bool:
    """Whether the answer speaks against the record, or proposes another value."""
    return answer.result in _SPEAKS_AGAINST or answer.status in (AMENDED, FILLED_IN)
