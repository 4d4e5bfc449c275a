"""`manage.py record_check` over the published validation data of TDWG BDQ Core, as anybody would run it.

Both files are given to the command as they are: their rows are tables of Darwin Core with a column for the one
parameter. Of each row, the answer of the test it is for is held against the answer expected; `BDQ_DATA` names a folder
with the published files whole, in place of ours, which leave out two rows (see data/README.md).
"""

import csv
import json
import os
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest

from ledger.record.bdq import CLAIMED
from ledger.record.bdq_words import WORDS
from tests.outside.test_bdq import CHOSEN, KNOWN_EXCEPTIONS, OFFLINE

ROOT = Path(__file__).resolve().parents[2]
DATA = Path(os.environ.get("BDQ_DATA", Path(__file__).parent / "data"))
FILES = ("bdq_core_test_validation_data.csv", "bdq_core_test_validation_data_nonprinting_chars.csv")
DAY = "2026-11-25"


def _answers(name):
    """The command's lines for a file, by row and GUID."""
    done = subprocess.run(
        [sys.executable, "manage.py", "record_check", str(DATA / name), "--today", DAY],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=300,
    )
    assert done.returncode == 0, done.stderr
    lines = [json.loads(line) for line in done.stdout.splitlines()]
    return {(line["record"], line["guid"]): line for line in lines if line["guid"]}


def _rows(name):
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return [
            (number, row)
            for number, row in enumerate(csv.DictReader(file), start=1)
            if row["GUID"] in CLAIMED
        ]


def _expected(row):
    result = row["Response.result"]
    return row["Response.status"], json.loads(result) if result.startswith("{") else result or None


@pytest.fixture(scope="module")
def judged():
    """For each row of a claimed test: its test, its dataID, its verdict."""
    told = []
    for name in FILES:
        answers = _answers(name)
        for number, row in _rows(name):
            answer = answers[number, row["GUID"]]
            agrees = (answer["status"], answer["result"]) == _expected(row)
            is_known = row["dataID"] in KNOWN_EXCEPTIONS
            told.append(
                (
                    row["GUID"],
                    row["dataID"],
                    "agree" if agrees else "known exception" if is_known else "differ",
                )
            )
    return told


def test_no_row_of_a_claimed_test_differs_and_the_figures_are_told(judged, capsys):
    counts = Counter(verdict for _, _, verdict in judged)
    claimed = len(OFFLINE & CLAIMED.keys())
    exceptions = sorted({data_id for _, data_id, verdict in judged if verdict == "known exception"})
    with capsys.disabled():
        sys.stdout.write(
            f"\nrecord_check over BDQ Core's validation data: {len(CLAIMED)} tests claimed, {claimed} of the {len(OFFLINE)} "
            f"offline ones; {len(judged)} rows: {counts['agree']} agree, {counts['known exception']} known exceptions, "
            f"{counts['differ']} differ.\n"
        )
        for data_id in exceptions:
            sys.stdout.write(f"  known exception, dataID {data_id}: {KNOWN_EXCEPTIONS[data_id]}\n")
    assert [one for one in judged if one[2] == "differ"] == []


def test_at_least_forty_of_the_offline_tests_are_claimed_and_each_has_its_rows(judged):
    assert len(OFFLINE & CLAIMED.keys()) >= 40
    rows = Counter(guid for guid, _, _ in judged)
    published = {row["guid"]: int(row["rows_in_validation_data"]) for row in CHOSEN}
    few = {guid: (rows[guid], published[guid]) for guid in CLAIMED if rows[guid] < published[guid] - 1}
    assert few == {}


def test_every_known_exception_is_still_one_and_has_its_reason(judged):
    met = {data_id for _, data_id, verdict in judged if verdict == "known exception"}
    assert met == set(KNOWN_EXCEPTIONS)
    assert all(len(reason) > 20 for reason in KNOWN_EXCEPTIONS.values())


def test_the_terms_that_a_test_is_said_to_read_are_those_of_the_published_descriptors():
    """`bdq_core_test_terms.csv`: GUID and terms, taken out of the descriptors of the same commit."""
    with (Path(__file__).parent / "data" / "bdq_core_test_terms.csv").open(
        encoding="utf-8", newline=""
    ) as file:
        published = {row["guid"]: set(row["terms"].split()) for row in csv.DictReader(file)}
    assert {guid: set(WORDS[test.label].terms) for guid, test in CLAIMED.items()} == published
