"""`manage.py calibrate` on a small part of the reference, so that a run takes seconds."""

import csv
import json
import shutil
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from ledger.management.commands import calibrate as command
from ledger.management.commands.calibrate import difference
from ledger.traits import calibration
from ledger.traits.calibration import Run

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
GENERA = ("Trametes", "Stereum", "Ganoderma", "Bjerkandera")


def part_of_reference(folder: Path, genera: tuple[str, ...]) -> Path:
    """The reference cut down to some genera; every file stays whole in its own way."""
    for name in ("traits.json", "sources.csv"):
        shutil.copy(FIXTURES / name, folder / name)
    for name, columns in (
        ("taxa.csv", ("taxon",)),
        ("ranges.csv", ("taxon",)),
        ("look_alikes.csv", ("taxon_a", "taxon_b")),
    ):
        with (FIXTURES / name).open(encoding="utf-8", newline="") as stream:
            reader = csv.DictReader(stream)
            rows = [row for row in reader if all(row[c].split()[0] in genera for c in columns)]
        with (folder / name).open("w", encoding="utf-8", newline="") as stream:
            writer = csv.DictWriter(stream, reader.fieldnames or [])
            writer.writeheader()
            writer.writerows(rows)
    return folder


def calibrate(folder: Path, *options: str) -> tuple[str, str]:
    out, err = StringIO(), StringIO()
    call_command("calibrate", "--folder", str(folder), *options, stdout=out, stderr=err)
    return out.getvalue(), err.getvalue()


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    """One real run, and what it left: folder, standard output, standard error, and the run itself."""
    folder = part_of_reference(tmp_path_factory.mktemp("part"), GENERA)
    runs: list[Run] = []

    def kept(*args: Any, **options: Any) -> Run:
        runs.append(calibration.calibrate(*args, **options))
        return runs[0]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(command, "calibrate", kept)
        out, err = calibrate(folder, "--write")
    return folder, out, err, runs[0]


@pytest.fixture
def no_second_run(written, monkeypatch):
    """The same reference gives the same run; it need not be made again."""
    monkeypatch.setattr(command, "calibrate", lambda reference, progress: written[3])


def test_it_prints_the_report_and_keeps_it_with_the_numbers(written):
    folder, out, *_ = written
    assert (folder / "reports" / "calibration.md").read_text(encoding="utf-8") == out.rstrip("\n") + "\n"
    stored = json.loads((folder / "calibration.json").read_text(encoding="utf-8"))
    assert stored["figures"]["taxa"] > 10 and stored["figures"]["cases"] > 40
    assert f"{stored['figures']['first']:.1%}".replace("%", " %") in out


def test_it_tells_how_far_it_is_and_what_was_missed(written):
    _, out, err, _ = written
    assert "leaving out sources, fold 10 of 10" in err
    assert ("MISSED" in out) == ("Missed: " in err)


def test_the_report_answers_what_the_check_was_asked(written):
    _, out, *_ = written
    for part in (
        "How it was kept honest",
        "mean stated",
        "stands in the way",
        "whole family of sources left out",
    ):
        assert part in out


def test_check_is_content_with_what_was_just_written(written, no_second_run):
    assert "is what comes out" in calibrate(written[0], "--check")[1]


def test_check_names_the_first_number_that_is_stale(written, no_second_run, tmp_path):
    folder = shutil.copytree(written[0], tmp_path / "stale")
    stored = json.loads((folder / "calibration.json").read_text(encoding="utf-8"))
    stored["scale"] *= 1.5
    (folder / "calibration.json").write_text(json.dumps(stored), encoding="utf-8")
    with pytest.raises(CommandError, match=r"stale, first at /scale .*calibrate --write"):
        calibrate(folder, "--check")


def test_without_write_nothing_is_kept(no_second_run, tmp_path):
    folder = part_of_reference(tmp_path, GENERA)
    data = json.loads(calibrate(folder, "--json")[0])
    assert data["figures"]["cases"] > 40 and data["calibration"]["traits"]["underside"]["background"]
    assert not (folder / "calibration.json").exists()


def test_a_reference_that_cannot_be_read_is_named_by_file_and_line(tmp_path):
    folder = part_of_reference(tmp_path, GENERA)
    with (folder / "ranges.csv").open("a", encoding="utf-8") as stream:
        stream.write("Trametes versicolor,cap_width,,,40,,mm,,any,,,,\n")
    with pytest.raises(CommandError, match=r"nothing was calibrated: ranges\.csv, line \d+: has no source"):
        calibrate(folder)


def test_a_reference_with_too_few_descriptions_is_refused_with_their_number(tmp_path):
    folder = part_of_reference(tmp_path, ("Poronidulus",))
    with pytest.raises(CommandError, match="Nothing was calibrated: there are 1 whole descriptions"):
        calibrate(folder)


def test_numbers_that_differ_by_arithmetic_only_are_the_same():
    assert difference({"a": [1.0, None]}, {"a": [1.0000001, None]}) is None
    assert difference({"a": [1.0]}, {"a": [1.01]}) == "/a/0 (1, now 1.01)"
    assert difference({"a": 1}, {"b": 1}) == "/a"
    assert difference({"a": True}, {"a": False}) == "/a"
