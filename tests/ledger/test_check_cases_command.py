"""The command that keeps the chosen specimens and their results."""

import io
import json

import pytest
from django.core.management import CommandError, call_command

CASE = {
    "says": "pores alone",
    "specimen": {"taxon": "Trametes versicolor", "readings": {"underside": {"states": ["pores"]}}},
}


@pytest.fixture(autouse=True)
def compiled_once(monkeypatch, whole_reference):
    monkeypatch.setattr("ledger.management.commands.check_cases.reference_of_files", lambda: whole_reference)


def run(path, *flags):
    out = io.StringIO()
    call_command("check_cases", "--file", str(path), *flags, stdout=out)
    return out.getvalue()


@pytest.fixture
def kept(tmp_path):
    path = tmp_path / "cases.json"
    path.write_text(json.dumps([CASE]), encoding="utf-8")
    return path


def test_a_case_added_by_hand_gets_its_result(kept):
    assert "1 came out otherwise" in run(kept, "--write")
    assert json.loads(kept.read_text(encoding="utf-8"))[0]["expected"]["standing"] == "open"
    assert "All 1 kept results come out again" in run(kept)


def test_a_stale_result_is_named_and_left_alone(kept):
    before = kept.read_bytes()
    with pytest.raises(CommandError, match="first: pores alone") as told:
        run(kept)
    assert "check_cases --write" in str(told.value) and kept.read_bytes() == before


def test_a_case_that_cannot_be_checked_changes_nothing(kept):
    kept.write_text(json.dumps([CASE, CASE | {"specimen": {"state": "wet"}}]), encoding="utf-8")
    before = kept.read_bytes()
    with pytest.raises(CommandError, match="nothing was changed: pores alone"):
        run(kept, "--write")
    assert kept.read_bytes() == before
