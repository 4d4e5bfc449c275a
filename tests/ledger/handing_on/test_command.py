"""manage.py export, and the page's way to a file."""

import csv
import hashlib
import io
import json
import subprocess
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.test import Client

from ledger.exchange.formulas import unguarded
from ledger.handing_on.choices import KINDS
from ledger.handing_on.models import AgreedName, Handing
from ledger.people.models import Member
from tests.ledger.handing_on.scene import NOTE, Scene, make_scene

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


@pytest.fixture
def scene(collector: Member, curator: Member) -> Scene:
    return make_scene(collector, curator)


@pytest.mark.parametrize("kind", KINDS)
def test_the_sum_that_is_told_is_that_of_the_file(
    kind: str, scene: Scene, tmp_path: Path, capsys: Any
) -> None:
    out = tmp_path / "out"
    call_command("export", kind, str(out), "--json")
    told = json.loads(capsys.readouterr().out)
    assert told["sha256"] == hashlib.sha256(out.read_bytes()).hexdigest()
    assert told["finds"] == 4


@pytest.mark.parametrize(
    ("asked", "code"),
    [
        (["pigeon", "x"], 2),
        (["csv", "x", "--whole"], 2),
        (["csv", "x", "--foray", "999"], 2),
        (["csv", "x", "--taxon", "no-such"], 2),
        (["csv", "x", "--status-word", "seen"], 2),
        (["csv", "/no/such/folder/x"], 1),
    ],
)
def test_what_cannot_be_done_ends_with_a_sentence_and_its_code(
    asked: list[str], code: int, scene: Scene, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(CommandError) as refused:
        call_command("export", *asked)
    assert refused.value.returncode == code
    assert list(tmp_path.glob("*x*")) == []


def test_a_file_that_is_there_is_not_touched(scene: Scene, tmp_path: Path) -> None:
    out = tmp_path / "x.csv"
    out.write_text("mine")
    with pytest.raises(CommandError, match="there already"):
        call_command("export", "csv", str(out))
    assert out.read_text() == "mine"
    call_command("export", "csv", str(out), "--replace")
    assert out.read_text() != "mine"


def test_no_cell_of_the_flat_table_is_a_formula_and_every_one_comes_back(
    scene: Scene, tmp_path: Path
) -> None:
    out = tmp_path / "x.csv"
    call_command("export", "csv", str(out), "--notes")
    rows = list(csv.DictReader(io.StringIO(out.read_bytes().decode(), newline="")))
    cells = [cell for row in rows for cell in row.values() if cell]
    numbers = {"-2.34567", "-3.5", "-2.55"}
    assert [cell for cell in cells if cell[0] in "=+-@\t\r\n" and cell not in numbers] == []
    assert NOTE in [unguarded(row["occurrenceRemarks"]) for row in rows]


def test_a_coarsened_place_is_an_area_on_the_map(scene: Scene, tmp_path: Path) -> None:
    out = tmp_path / "x.geojson"
    call_command("export", "geojson", str(out))
    shapes = {one["id"]: one["geometry"] for one in json.loads(out.read_text())["features"]}
    assert shapes[str(scene.open.pk)] == {"type": "Point", "coordinates": [-2.34567, 51.23456]}
    assert shapes[str(scene.bare.pk)] is None
    area = shapes[str(scene.sensitive.pk)]
    assert area["type"] == "Polygon"
    assert area["coordinates"][0][:3] == [[-2.6, 51.4], [-2.5, 51.4], [-2.5, 51.5]]


def test_the_readable_export_explains_every_column_and_its_sums_hold(scene: Scene, tmp_path: Path) -> None:
    out = tmp_path / "x.zip"
    call_command("export", "readable", str(out), "--photos", "--notes")
    with zipfile.ZipFile(out) as files:
        files.extractall(tmp_path / "all")
    told = {(row["file"], row["column"]) for row in _rows(tmp_path / "all/dictionary.csv")}
    for table in ("finds.csv", "readings.csv", "names.csv", "photos.csv", "relations.csv"):
        header = (tmp_path / "all" / table).read_text().splitlines()[0].split(",")
        assert {(table, column) for column in header} <= told
    done = subprocess.run(
        ["sha256sum", "--check", "--strict", "SHA256SUMS.txt"],
        cwd=tmp_path / "all",
        capture_output=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout
    photos = [row["file"] for row in _rows(tmp_path / "all/photos.csv")]
    assert len(photos) == 3 and all((tmp_path / "all" / file).exists() for file in photos)
    assert (tmp_path / "all/README.txt").read_text().startswith("Records of Hollin Fungus Group")


def _rows(path: Path) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(path.read_bytes().decode(), newline="")))


def test_a_download_is_on_record_when_it_is_whole(
    scene: Scene, curator: Member, browser_of: Callable[[Member], Client]
) -> None:
    client = browser_of(curator)
    address = client.post("/handing-on/", {"kind": "csv", "which": "all", "status_word": "present"}).headers[
        "Location"
    ]
    file: Any = client.get(address + "file/")
    data = b"".join(file.streaming_content)
    row = Handing.objects.get()
    assert row.sha256 == hashlib.sha256(data).hexdigest()
    assert client.get(address + "state.json").json()["finished"] is True


def test_a_download_that_is_broken_off_says_so(
    scene: Scene, curator: Member, browser_of: Callable[[Member], Client]
) -> None:
    client = browser_of(curator)
    address = client.post(
        "/handing-on/", {"kind": "archive", "which": "all", "status_word": "present"}
    ).headers["Location"]
    file: Any = client.get(address + "file/")
    next(file.streaming_content)
    for close in file._resource_closers:
        close()
    told = client.get(address + "state.json").json()
    assert told["broken"] is True and told["finished"] is False
    assert "broken off" in client.get(address).content.decode()


def test_years_the_wrong_way_round_are_refused_and_kept(
    scene: Scene, curator: Member, browser_of: Callable[[Member], Client]
) -> None:
    sent = {"kind": "csv", "which": "all", "status_word": "present", "year_from": "2026", "year_to": "2020"}
    answer = browser_of(curator).post("/handing-on/", sent)
    assert answer.status_code == 422
    assert "2020 is before 2026" in answer.content.decode()
    assert not Handing.objects.exists()


def test_a_word_that_is_taken_back_ends(
    scene: Scene, curator: Member, browser_of: Callable[[Member], Client]
) -> None:
    client = browser_of(curator)
    client.post("/handing-on/people/", {"name": "Gwen Guest"})
    row = AgreedName.objects.get()
    assert row.ended_at is None
    client.post(f"/handing-on/people/{row.pk}/end/")
    row.refresh_from_db()
    assert row.ended_at is not None
