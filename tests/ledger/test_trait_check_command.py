import io
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from ledger.taxa import queries

ROOT = Path(__file__).resolve().parents[2]
VERSICOLOR = {
    "taxon": "Trametes versicolor",
    "state": "fresh",
    "readings": {
        "cap_width": {"values": [58], "unit": "mm", "resolution": 1},
        "underside": {"states": ["pores"]},
    },
}


@pytest.fixture(autouse=True)
def without_database(monkeypatch, whole_reference):
    """Most of these tests ask about lines, not about where the reference is from."""
    monkeypatch.setattr("ledger.management.commands.trait_check.current_reference", lambda: whole_reference)


def run(tmp_path, content: bytes | str) -> tuple[list[dict], CommandError | None]:
    """What comes out for a file with that content, as parsed lines, and the error at the end."""
    path = tmp_path / "specimens.jsonl"
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    out, problem = io.StringIO(), None
    try:
        call_command("trait_check", str(path), stdout=out, stderr=io.StringIO())
    except CommandError as error:
        problem = error
    return [json.loads(line) for line in out.getvalue().splitlines()], problem


def line(**changes) -> str:
    return json.dumps(VERSICOLOR | changes)


def test_one_specimen_gives_one_line_with_the_whole_check(tmp_path):
    found, problem = run(tmp_path, line(id=7))
    assert problem is None and len(found) == 1
    one = found[0]
    assert (one["id"], one["taxon"]) == (7, "Trametes versicolor")
    assert one["standing"] in ("fits", "open", "doubtful", "ruled out")
    underside = next(trait for trait in one["traits"] if trait["trait"] == "underside")
    assert underside["outcome"] == "within" and underside["documented"][0]["source"]
    assert {"trait", "gain_bits", "effort", "answers"} <= one["next_look"][0].keys()


def test_look_alikes_hold_every_other_taxon_the_best_first(tmp_path, whole_reference):
    found = run(tmp_path, line())[0][0]["look_alikes"]
    assert {one["taxon"] for one in found} == whole_reference.taxa.keys() - {"Trametes versicolor"}
    weights = [one["weight_db"] for one in found]
    assert weights == sorted(weights, reverse=True)


def test_without_a_taxon_every_taxon_is_ranked(tmp_path, whole_reference):
    found = run(tmp_path, line(taxon=None))[0][0]
    assert found["taxon"] is None and len(found["look_alikes"]) == len(whole_reference.taxa)


def test_a_specimen_written_over_several_lines_is_one(tmp_path):
    found, problem = run(tmp_path, json.dumps(VERSICOLOR, indent=2))
    assert problem is None and len(found) == 1


def test_a_bad_line_says_where_and_why_and_the_run_goes_on(tmp_path):
    found, problem = run(tmp_path, "\n".join([line(id="a"), "nonsense", line(id="c")]))
    assert [one.get("id") for one in found] == ["a", None, "c"]
    assert found[1]["error"]["line"] == 2 and "not JSON" in found[1]["error"]["reason"]
    assert problem is not None and problem.returncode == 1 and "1 of 3 lines" in str(problem)


def test_a_line_wrong_in_its_readings_keeps_its_id(tmp_path):
    found, _ = run(tmp_path, line(id=12, readings={"bogus": {"values": [1]}}))
    assert found[0]["id"] == 12 and "bogus" in found[0]["error"]["reason"]


@pytest.mark.parametrize(
    "bad",
    [
        b"",
        b"[1, 2]",
        b"null",
        b'{"readings": 3}',
        b"\xff\xfe{}",
        b'{"id": 1e999, "readings": {}}',
        b'{"readings": {"cap_width": {"values": [NaN]}}}',
        b'{"readings": {"cap_width": {"values": [-3]}}}',
        b'{"readings": {"cap_width": {"values": [3], "unit": "furlong"}}}',
        b'{"id": 1, "id": 2}',
        b"[" * 100_000,
        b'{"id": ' + b"9" * 5_000 + b"}",
    ],
)
def test_nothing_on_a_line_ends_the_run(tmp_path, bad):
    good = line(id="after").encode()
    found, problem = run(tmp_path, b"\n".join([good, bad, good]))
    assert len(found) == 3 and found[1]["error"]["line"] == 2 and found[2]["id"] == "after"
    assert problem is not None and problem.returncode == 1


def test_a_byte_order_mark_and_windows_line_ends_are_no_fault(tmp_path):
    found, problem = run(tmp_path, b"\xef\xbb\xbf" + f"{line(id=1)}\r\n{line(id=2)}\r\n".encode())
    assert problem is None and [one["id"] for one in found] == [1, 2]


def test_an_id_may_be_any_json_and_comes_back_as_it_was(tmp_path):
    strange = {"a": [1, "ł\ud800", None]}
    assert run(tmp_path, line(id=strange))[0][0]["id"] == strange


def test_an_unknown_taxon_is_no_error(tmp_path):
    found, problem = run(tmp_path, line(taxon="Nomen ignotum"))
    assert problem is None and found[0]["standing"] is None and found[0]["note"]


def test_empty_input_gives_nothing_and_no_error(tmp_path):
    assert run(tmp_path, b"") == ([], None)


def test_a_missing_file_ends_with_2_and_says_what_to_do():
    with pytest.raises(CommandError, match=r"cannot be read: No such file.*Name a file") as problem:
        call_command("trait_check", "nowhere.jsonl", stdout=io.StringIO())
    assert problem.value.returncode == 2


def test_an_unreadable_reference_ends_with_2(monkeypatch):
    def broken():
        raise OSError("the disk is gone")

    monkeypatch.setattr("ledger.management.commands.trait_check.current_reference", broken)
    with pytest.raises(CommandError, match="nothing was checked: the disk is gone") as problem:
        call_command("trait_check", "-", stdout=io.StringIO())
    assert problem.value.returncode == 2


def test_standard_input_is_read(monkeypatch):
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(line(id=3).encode())))
    out = io.StringIO()
    call_command("trait_check", "-", stdout=out)
    assert json.loads(out.getvalue())["id"] == 3


def test_a_ledger_without_reference_falls_back_to_the_files_and_says_so(monkeypatch, db, tmp_path):
    monkeypatch.setattr("ledger.management.commands.trait_check.current_reference", queries.current_reference)
    path = tmp_path / "one.json"
    path.write_text(line(id=5), encoding="utf-8")
    out, err = io.StringIO(), io.StringIO()
    call_command("trait_check", str(path), stdout=out, stderr=err)
    assert json.loads(out.getvalue())["id"] == 5 and "that of fixtures/ serves" in err.getvalue()


def test_a_house_rule_of_the_ledger_is_heeded(monkeypatch, reference, tmp_path):
    # The reference of the ledger holds the club's rule: a cap over 80 mm is taken for something else.
    monkeypatch.setattr("ledger.management.commands.trait_check.current_reference", queries.current_reference)
    wide = line(readings={"cap_width": {"values": [95], "resolution": 1}})
    traits = run(tmp_path, wide)[0][0]["traits"]
    assert next(one for one in traits if one["trait"] == "cap_width")["house_rule"] == "common-practice"


def test_as_a_program_it_needs_no_database_and_survives_a_closed_pipe(tmp_path):
    path = tmp_path / "many.jsonl"
    path.write_text("\n".join([line(id=n) for n in range(60)]), encoding="utf-8")
    environment = os.environ | {"DATABASE_URL": f"sqlite:///{tmp_path / 'none.sqlite3'}", "PYTHONUTF8": "0"}
    started = subprocess.Popen(
        [sys.executable, str(ROOT / "manage.py"), "trait_check", str(path)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=environment,
        cwd=tmp_path,
    )
    assert started.stdout is not None and started.stderr is not None
    assert json.loads(started.stdout.readline())["id"] == 0
    started.stdout.close()
    said = started.stderr.read().decode()
    started.stderr.close()
    assert started.wait(timeout=60) == 0, said
    assert "Traceback" not in said and "BrokenPipe" not in said


def test_help_shows_an_example_and_the_exit_codes(capsys):
    with pytest.raises(SystemExit):
        call_command("trait_check", "--help")
    said = capsys.readouterr().out
    assert "Example" in said and "Exit codes: 0" in said and "underside" in said
