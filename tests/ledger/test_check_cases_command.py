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


def test_what_came_out_otherwise_is_told_in_a_line_a_case_and_a_sum(kept):
    run(kept, "--write")
    cases = json.loads(kept.read_text(encoding="utf-8"))
    was = cases[0]["expected"]
    look = was["next_look"][0]["trait"]
    was["standing"], was["traits"][0]["outcome"], was["next_look"] = "doubtful", "outside", []
    kept.write_text(json.dumps(cases), encoding="utf-8")
    line, total = run(kept, "--write").splitlines()
    assert line == (
        f"pores alone: standing doubtful -> open; underside outside -> within; first look none -> {look}"
    )
    assert total.endswith(
        "1 came out otherwise than before. Changed: standings 1, outcomes 1, first looks 1."
    )


def test_a_change_behind_the_short_is_told_by_where_it_lies(kept):
    run(kept, "--write")
    cases = json.loads(kept.read_text(encoding="utf-8"))
    cases[0]["expected"]["weight_db"] = 99
    kept.write_text(json.dumps(cases), encoding="utf-8")
    line, total = run(kept, "--write").splitlines()
    assert line == "pores alone: the same in short; otherwise in weight_db"
    assert total.endswith("1 came out otherwise than before.")


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
