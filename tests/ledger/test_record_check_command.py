import io
import json
import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

ROOT = Path(__file__).resolve().parents[2]
YEAR = "VALIDATION_YEAR_INRANGE"


def run(path, *options):
    """The lines that come out, what was said beside them, and the error at the end."""
    out, said, problem = io.StringIO(), io.StringIO(), None
    try:
        call_command("record_check", str(path), "--today", "2026-11-26", *options, stdout=out, stderr=said)
    except CommandError as error:
        problem = error
    return out.getvalue().splitlines(), said.getvalue(), problem


@pytest.fixture
def check(tmp_path):
    """Check a table of that content by the year's test alone, or by what is asked for."""

    def checked(content, *options):
        path = tmp_path / "table.csv"
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        options = options or ("--check", YEAR)
        lines, said, problem = run(path, *options)
        return [json.loads(line) for line in lines], said, problem

    return checked


def test_a_line_names_record_check_test_status_result_and_says_why(check):
    lines, _, problem = check("occurrenceID,year\nfind-1,2024\n")
    assert problem is None
    assert lines == [
        {
            "record": 1,
            "line": 2,
            "occurrenceID": "find-1",
            "check": YEAR,
            "standard": "TDWG BDQ Core",
            "test": "https://rs.tdwg.org/bdqtest/terms/ad0c8855-de69-4843-a80c-a5387d20fbc8",
            "guid": "ad0c8855-de69-4843-a80c-a5387d20fbc8",
            "comment": "Holds. Asked: a whole number from 1582 to this year. dwc:year is “2024”.",
            "status": "RUN_HAS_RESULT",
            "result": "COMPLIANT",
        }
    ]


def test_every_record_gets_every_check(check):
    lines, _, _ = check("year,month\n2024,5\n2023,6\n", "--summary", "--json")
    assert lines[-1]["records"] == 2
    assert all(sum(line["counts"].values()) == 2 for line in lines[:-1])
    assert len(lines) == 47 + 4 + 1


def test_our_own_checks_bear_no_identifier(check):
    lines, _, _ = check("decimalLatitude,decimalLongitude\n40.0,-40.0\n", "--check", "place_at_sea")
    assert (lines[0]["guid"], lines[0]["standard"], lines[0]["result"]) == (None, None, "POTENTIAL_ISSUE")
    assert "25.0 km" in lines[0]["comment"]


@pytest.mark.parametrize(
    ("code", "event", "named", "result"),
    [
        ("date_future", "2026-11-27", "", "POTENTIAL_ISSUE"),
        ("date_future", "2026-11-26", "", "NOT_ISSUE"),
        ("date_future", "last week", "", None),
        ("named_before_found", "2024-05-02", "2024-05-01", "POTENTIAL_ISSUE"),
        ("named_before_found", "2024-05-02", "2024-05", "NOT_ISSUE"),
        ("named_before_found", "2024-05-02", "", None),
    ],
)
def test_our_own_checks_of_dates(check, code, event, named, result):
    lines, _, _ = check(f"eventDate,dateIdentified\n{event},{named}\n", "--check", code)
    assert lines[0]["result"] == result
    assert (lines[0]["status"] == "INTERNAL_PREREQUISITES_NOT_MET") == (result is None)


@pytest.mark.parametrize(
    "header", ["year", "dwc:year", "YEAR", " Year ", "http://rs.tdwg.org/dwc/terms/year"]
)
def test_a_column_is_known_by_name_prefix_address_and_any_capitals(check, header):
    assert check(f"{header},note\n2024,\n")[0][0]["result"] == "COMPLIANT"


@pytest.mark.parametrize("sign", [",", ";", "\t", "|"])
def test_the_delimiter_is_found(check, sign):
    lines, _, _ = check(f"month{sign}year{sign}day\n5{sign}2024{sign}1\n")
    assert lines[0]["result"] == "COMPLIANT"


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_line_ends_and_a_byte_order_mark_change_nothing(check, end, mark):
    lines, _, problem = check(f"{mark}year,day{end}2024,1{end}2025,2{end}")
    assert problem is None and [line["line"] for line in lines] == [2, 3]


def test_utf_16_is_read_by_its_mark(check):
    assert check("year,locality\n2024,Łąka\n".encode("utf-16"))[0][0]["result"] == "COMPLIANT"


def test_a_cell_may_run_over_lines_and_the_next_line_is_counted_right(check):
    lines, _, _ = check('year,locality\n2024,"a\nb\nc"\n2025,d\n')
    assert [line["line"] for line in lines] == [2, 5]


def test_characters_that_do_not_print_survive_and_are_shown_by_their_code(check):
    lines, _, _ = check("year,day\n\x00\x07,1\n20\x0024,1\n", "--check", "VALIDATION_YEAR_NOTEMPTY")
    assert [line["result"] for line in lines] == ["NOT_COMPLIANT", "COMPLIANT"]
    assert "<U+0000>" in lines[1]["comment"]


def test_bytes_of_another_encoding_are_told_with_their_line_and_the_way_out(check):
    lines, _, problem = check("year,locality\n2024,here\n2024,Caf\xe9\n".encode("latin-1"))
    assert len(lines) == 1 and problem.returncode == 2
    assert "Line 3 is not UTF-8: a byte 0xe9 after “2024,Caf”" in str(problem)
    assert "--encoding cp1252" in str(problem)


def test_the_encoding_can_be_named(check):
    content = "year,locality\n2024,Caf\xe9\n".encode("cp1252")
    assert check(content, "--encoding", "cp1252", "--check", YEAR)[0][0]["result"] == "COMPLIANT"


def test_an_encoding_that_is_none_is_refused(check):
    problem = check("year\n2024\n", "--encoding", "klingon")[2]
    assert problem.returncode == 2 and "klingon" in str(problem)


@pytest.mark.parametrize("row", ["2024", "2024,1,x"])
def test_a_ragged_row_is_told_and_the_others_are_checked(check, row):
    lines, _, problem = check(f"year,day\n{row}\n2025,2\n")
    assert lines[0]["record"] == 1 and lines[0]["line"] == 2
    assert "cells where the header has 2 columns" in lines[0]["error"]
    assert lines[1]["result"] == "COMPLIANT"
    assert problem.returncode == 1 and "1 of 2 rows" in str(problem)


def test_a_table_without_a_known_column_is_refused_with_what_was_seen(check):
    lines, _, problem = check("Fundort,Datum\nhier,heute\n")
    assert lines == [] and problem.returncode == 2
    assert "the first line says “Fundort”, “Datum”" in str(problem) and "eventDate" in str(problem)


def test_two_columns_of_one_term_are_refused(check):
    problem = check("year,dwc:year\n2024,2023\n")[2]
    assert problem.returncode == 2 and "Two columns are dwc:year" in str(problem)


def test_a_quote_that_never_ends_is_told(check):
    lines, _, problem = check('year,note\n2024,fine\n2025,"open\nmore\n')
    assert len(lines) == 1 and problem.returncode == 2
    assert "Line 3" in str(problem) and "a quote is opened and never closed" in str(problem)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "is empty"),
        (b"\n\n", "is empty"),
        (b"\x89PNG\r\n\x1a\n\x00\x00", "not UTF-8"),
        (b"year\x00,day\x00\n1,2\n", "no table of text"),
    ],
)
def test_what_is_no_table_is_refused(check, content, said):
    lines, _, problem = check(content)
    assert lines == [] and problem.returncode == 2 and said in str(problem)


def test_a_header_alone_is_no_error_and_is_said(check):
    lines, said, problem = check("year,day\n")
    assert (lines, problem) == ([], None) and "nothing to check" in said


def test_columns_that_no_check_reads_are_told(check):
    assert "left out: Fundort" in check("year,Fundort\n2024,hier\n")[1]


def test_a_check_that_is_none_is_refused(check):
    problem = check("year\n2024\n", "--check", "VALIDATION_NONE")[2]
    assert problem.returncode == 2 and "--list" in str(problem)


def test_only_what_asks_for_a_look_or_proposes_a_value(check):
    names = (YEAR, "AMENDMENT_EVENTDATE_FROM_YEARMONTHDAY", "VALIDATION_EVENTDATE_NOTEMPTY")
    asked = [word for name in names for word in ("--check", name)]
    lines, _, _ = check("eventDate,year\n,2024\n", "--to-look-at", *asked)
    assert [line["result"] for line in lines] == [{"dwc:eventDate": "2024"}, "NOT_COMPLIANT"]


def test_another_authority_is_answered_as_not_available(check):
    asked = ("--check", "VALIDATION_COUNTRYCODE_STANDARD")
    lines, _, _ = check("countryCode\nGB\n", "--source-authority", "somebody's list", *asked)
    assert lines[0]["status"] == "EXTERNAL_PREREQUISITES_NOT_MET"


def test_a_file_that_is_not_there(tmp_path):
    problem = run(tmp_path / "none.csv")[2]
    assert problem.returncode == 2 and "No such file" in str(problem)


def test_the_list_names_every_check_once():
    out = io.StringIO()
    call_command("record_check", "--list", "--json", stdout=out)
    lines = [json.loads(line) for line in out.getvalue().splitlines()]
    assert len({line["check"] for line in lines}) == len(lines) == 51


META = """<archive xmlns="http://rs.tdwg.org/dwc/text/"><core rowType="http://rs.tdwg.org/dwc/terms/Occurrence"
encoding="UTF-8" fieldsTerminatedBy="\\t" linesTerminatedBy="\\n" fieldsEnclosedBy="" ignoreHeaderLines="1">
<files><location>{file}</location></files><id index="0"/>
<field index="0" term="http://rs.tdwg.org/dwc/terms/occurrenceID"/>
<field index="2" term="http://rs.tdwg.org/dwc/terms/year"/>
<field default="present" term="http://rs.tdwg.org/dwc/terms/occurrenceStatus"/></core></archive>"""


def _archive(path, meta=META, file="occurrence.txt", content='id\tx\ty\na-1\t"\t2024\nb-2\t\t1200\nc-3\n'):
    with zipfile.ZipFile(path, "w") as archive:
        if meta:
            archive.writestr("meta.xml", meta.format(file="occurrence.txt"))
        archive.writestr(file, content)
    return path


def test_the_core_of_an_archive_is_read_as_its_meta_xml_says(tmp_path):
    path = _archive(tmp_path / "a.zip")
    lines, _, problem = run(path, "--check", YEAR, "--check", "VALIDATION_OCCURRENCESTATUS_STANDARD")
    told = [json.loads(line) for line in lines]
    assert [(one["occurrenceID"], one["result"]) for one in told[:4]] == [
        ("a-1", "COMPLIANT"),
        ("a-1", "COMPLIANT"),
        ("b-2", "NOT_COMPLIANT"),
        ("b-2", "COMPLIANT"),
    ]
    assert "1 cells" in told[4]["error"] and problem.returncode == 1


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"meta": ""}, "no meta.xml"),
        ({"meta": "<archive"}, "no XML"),
        ({"meta": "<!DOCTYPE a><archive/>"}, "declares entities"),
        ({"meta": "<archive xmlns='http://rs.tdwg.org/dwc/text/'/>"}, "names no core"),
        ({"file": "other.txt"}, "does not hold it"),
    ],
)
def test_a_broken_archive_is_told(tmp_path, changed, said):
    lines, _, problem = run(_archive(tmp_path / "a.zip", **changed))
    assert lines == [] and problem.returncode == 2 and said in str(problem)


def test_a_zip_cut_short_is_told(tmp_path):
    path = _archive(tmp_path / "a.zip")
    path.write_bytes(path.read_bytes()[:-40])
    assert "cannot be opened as one" in str(run(path)[2])


def test_it_streams_from_standard_input_in_constant_memory_and_stops_when_nobody_reads():
    """A table without end: only a command that reads row by row ever answers."""
    program = (
        "import sys\nsys.stdout.write('year,locality\\n')\n"
        "try:\n while True: sys.stdout.write('2024,' + 'x' * 200 + '\\n')\nexcept BrokenPipeError: sys.exit(0)"
    )
    endless = subprocess.Popen(
        [sys.executable, "-c", program], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
    )
    command = subprocess.Popen(
        [sys.executable, "manage.py", "record_check", "-", "--check", YEAR],
        cwd=ROOT,
        stdin=endless.stdout,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
    )
    endless.stdout.close()
    first = [json.loads(command.stdout.readline())["record"] for _ in range(2000)]
    resident_kb = int(
        next(
            line for line in Path(f"/proc/{command.pid}/status").read_text().splitlines() if "VmRSS" in line
        ).split()[1]
    )
    command.stdout.close()
    assert command.wait(timeout=30) == 0
    endless.wait(timeout=30)
    command.stderr.close()
    assert first == list(range(1, 2001)) and resident_kb < 300_000
