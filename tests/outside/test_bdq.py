"""The validation rows of TDWG BDQ Core for every test we claim, one by one.

Source: TDWG Biodiversity Data Quality, BDQ Core validation data, tdwg/bdq commit bdc0930 (2026-07-29), CC BY 4.0;
`bdq_tests_chosen_for_this_project.csv` lists the tests that bear on a find, and whether they run offline. A row gives
the terms of a record and the answer expected, which must be met exactly.
"""

import csv
import json
import sys
from collections import Counter
from datetime import date
from pathlib import Path

import pytest

from ledger.record.bdq import CLAIMED, run_test
from ledger.record.bdq_terms import Parameters, Response

DATA = Path(__file__).parent / "data"

# Rows that contradict the text of their own test, which we follow; by dataID.
KNOWN_EXCEPTIONS = {
    "887": "`x` as an uncertainty: the text makes what is no number between the bounds NOT_COMPLIANT",
    "682": "`X` as a verbatim date: it is not Empty, so the text asks for NOT_AMENDED",
}


def _rows(name):
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


CHOSEN = _rows("bdq_tests_chosen_for_this_project.csv")
OFFLINE = {row["guid"] for row in CHOSEN if row["runnable_offline"].startswith("yes")}
ROWS = [
    row
    for name in ("bdq_core_test_validation_data.csv", "bdq_core_test_validation_data_nonprinting_chars.csv")
    for row in _rows(name)
    if row["GUID"] in CLAIMED
]


def answer(row):
    """Our answer to a row: status and result."""
    record = {term: value for term, value in row.items() if term.startswith(("dc:", "dcterms:", "dwc:"))}
    # The rows were written to be right in any year from 2024 on; the day is fixed so that the test is too.
    parameters = Parameters(today=date(2026, 11, 25), source_authority=row["bdqval:sourceAuthority"])
    return run_test(row["GUID"], record, parameters)


def expected(row):
    result = row["Response.result"]
    return Response(row["Response.status"], json.loads(result) if result.startswith("{") else result)


def verdict(row):
    if answer(row) == expected(row):
        return "agree"
    return "known exception" if row["dataID"] in KNOWN_EXCEPTIONS else "differ"


def report():
    """Counts over all rows of the claimed tests, in one line."""
    counts = Counter(verdict(row) for row in ROWS)
    claimed = len(OFFLINE & CLAIMED.keys())
    return (
        f"BDQ Core: {len(CLAIMED)} tests claimed ({claimed} of the {len(OFFLINE)} offline ones), {len(ROWS)} rows: "
        f"{counts['agree']} agree, {counts['known exception']} known exceptions, {counts['differ']} differ."
    )


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['Label']}-{row['dataID']}")
def test_each_row_gets_the_answer_the_standard_expects(row):
    if row["dataID"] in KNOWN_EXCEPTIONS:
        assert answer(row) != expected(row), "no exception any more: take it off the list"
    else:
        assert answer(row) == expected(row)


def test_no_row_differs_and_the_counts_are_told(capsys):
    told = report()
    with capsys.disabled():
        sys.stdout.write(f"\n{told}\n")
    assert told.endswith(" 0 differ.")


def test_every_claimed_test_has_rows_and_is_one_of_those_chosen():
    assert set(CLAIMED) == {row["GUID"] for row in ROWS}
    assert set(CLAIMED) <= {row["guid"] for row in CHOSEN}


def test_labels_are_those_of_the_standard():
    labels = {row["guid"]: row["label"] for row in CHOSEN}
    assert {guid: test.label for guid, test in CLAIMED.items()} == {guid: labels[guid] for guid in CLAIMED}


def test_the_country_codes_are_those_of_the_time_zone_database():
    """Source: iso3166.tab of the IANA time zone database, public domain."""
    lines = (DATA / "iso3166.tab").read_text("utf-8").splitlines()
    codes = [line.split("\t")[0] for line in lines if line and not line.startswith("#")]
    guid = next(guid for guid, test in CLAIMED.items() if test.label == "VALIDATION_COUNTRYCODE_STANDARD")
    parameters = Parameters(today=date(2026, 11, 25))
    letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
    accepted = {
        one + two
        for one in letters
        for two in letters
        if run_test(guid, {"dwc:countryCode": one + two}, parameters).result == "COMPLIANT"
    }
    assert accepted == {*codes, "XZ", "ZZ"}
