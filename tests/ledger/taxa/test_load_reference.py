"""Loading the reference: repeatable, telling, all or nothing."""

import json
import shutil
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from ledger.people.models import Member
from ledger.taxa import actions, queries
from ledger.taxa.models import DocumentedRange, ReferenceStamp, Source, Taxon
from ledger.traits.ranges import DocumentedRange as RangeValue
from ledger.traits.reference_files import read_reference
from tests.factories import FindFactory, name_find

NAMES = ("traits.json", "taxa.csv", "sources.csv", "ranges.csv", "look_alikes.csv")
SMALL_RANGES = 40


@pytest.fixture
def folder(tmp_path: Path, settings: Any) -> Path:
    """A reference of all taxa and sources and a few ranges, which loads in an instant."""
    place = tmp_path / "reference"
    place.mkdir()
    for name in NAMES:
        shutil.copy(Path(settings.FIXTURES) / name, place / name)
    lines = (place / "ranges.csv").read_text().splitlines(keepends=True)
    (place / "ranges.csv").write_text("".join(lines[: SMALL_RANGES + 1]))
    return place


def _append(folder: Path, line: str) -> int:
    with (folder / "ranges.csv").open("a") as file:
        file.write(line + "\n")
    return SMALL_RANGES + 2


def test_the_stored_reference_is_that_of_the_files(db: None, folder: Path) -> None:
    files = read_reference(folder)
    actions.load_reference(files)
    assert set(queries.stored_ranges()) == set(files.ranges)
    assert sorted(queries.stored_taxa(), key=lambda row: row.name) == sorted(
        files.taxa, key=lambda row: row.name
    )
    assert {row.id: row for row in queries.stored_sources()} == {row.id: row for row in files.sources}


def test_a_second_load_changes_nothing(db: None, folder: Path) -> None:
    actions.load_reference(read_reference(folder))
    mark = ReferenceStamp.objects.get().mark
    assert not actions.load_reference(read_reference(folder)).anything_changed
    assert ReferenceStamp.objects.get().mark == mark


def test_a_corrected_figure_is_one_removed_and_one_added(db: None, folder: Path) -> None:
    actions.load_reference(read_reference(folder))
    path = folder / "ranges.csv"
    path.write_text(path.read_text().replace("white with ochre-brown spots", "whitish and spotted", 1))
    tally = actions.load_reference(read_reference(folder)).tallies["ranges"]
    assert (tally.added, tally.removed, tally.same) == (1, 1, SMALL_RANGES - 1)


@pytest.mark.parametrize(
    ("line", "word"),
    [
        ("Trametes versicolor,cap_width,,20,80,,mm,,any,,,,", "source"),
        ("Trametes versicolor,cap_girth,,20,80,,mm,,any,memory,,,", "cap_girth"),
        ("Trametes versicolor,underside,,,,,,bubbles,any,memory,,,", "bubbles"),
        ("Trametes versicolor,cap_width,,20,80,,furlong,,any,memory,,,", "furlong"),
    ],
)
def test_a_bad_row_is_named_by_file_and_line_and_nothing_is_loaded(
    db: None, folder: Path, line: str, word: str
) -> None:
    number = _append(folder, line)
    with pytest.raises(CommandError, match=rf"ranges\.csv, line {number}:.*{word}"):
        call_command("load_reference", folder=folder)
    assert not Taxon.objects.exists()
    assert not Source.objects.exists()


def test_the_club_s_own_range_survives_a_load(db: None, folder: Path, curator: Member) -> None:
    files = read_reference(folder)
    actions.load_reference(files)
    value = RangeValue(taxon="Trametes versicolor", trait="cap_width", high=80, unit="mm", binding=True)
    actions.enter_range(value, by=curator, now=FindFactory.build().logged_at)
    assert not actions.load_reference(files).anything_changed
    assert DocumentedRange.objects.filter(binding=True).count() == 1


def test_an_ended_club_range_judges_nothing_and_stays_on_record(
    db: None, folder: Path, curator: Member
) -> None:
    actions.load_reference(read_reference(folder))
    value = RangeValue(taxon="Trametes versicolor", trait="cap_width", high=80, unit="mm", binding=True)
    now = FindFactory.build().logged_at
    row = actions.enter_range(value, by=curator, now=now)
    actions.end_range(row, reason="Measured anew on forty caps.", by=curator, now=now)
    assert not [row for row in queries.stored_ranges() if row.binding]
    assert DocumentedRange.objects.filter(pk=row.pk).exists()


def test_a_taxon_gone_from_the_files_stays_where_a_find_names_it(db: None, folder: Path) -> None:
    actions.load_reference(read_reference(folder))
    old = Taxon.objects.create(name="Boletus ligni", slug="boletus-ligni")
    Taxon.objects.create(name="Boletus nullius", slug="boletus-nullius")
    name_find(FindFactory(), old)
    tally = actions.load_reference(read_reference(folder)).tallies["taxa"]
    assert tally.kept == ("Boletus ligni",)
    assert tally.removed == 1


@pytest.mark.parametrize(
    ("old", "new", "word"),
    [
        ('"cost": 1', '"cost": NaN', "cost"),
        ('"cost": 1', '"cost": "abc"', "cost"),
        ('"resolution": 0.5', '"resolution": "abc"', "resolution"),
        ('"order": 2,', '"order": 1,', "order"),
    ],
)
def test_a_vocabulary_that_could_not_be_used_is_refused(
    db: None, folder: Path, old: str, new: str, word: str
) -> None:
    path = folder / "traits.json"
    text = path.read_text()
    assert old in text
    path.write_text(text.replace(old, new, 1))
    with pytest.raises(CommandError, match=word):
        call_command("load_reference", folder=folder)


def test_taxa_that_differ_by_capitals_only_are_refused_by_line(db: None, folder: Path) -> None:
    with (folder / "taxa.csv").open("a") as file:
        file.write("Trametes Versicolor,,,,,,\n")
    with pytest.raises(CommandError, match=r"taxa\.csv, line 110:.*capitals"):
        call_command("load_reference", folder=folder)


def test_a_trait_that_a_club_range_still_names_is_not_taken_away(
    db: None, folder: Path, curator: Member
) -> None:
    actions.load_reference(read_reference(folder))
    value = RangeValue(taxon="Trametes versicolor", trait="koh_reaction", states=frozenset({"black"}))
    actions.enter_range(value, by=curator, now=FindFactory.build().logged_at)
    path = folder / "traits.json"
    table = json.loads(path.read_text())
    table["traits"] = [row for row in table["traits"] if row["code"] != "koh_reaction"]
    path.write_text(json.dumps(table))
    with pytest.raises(CommandError, match="Trametes versicolor: koh_reaction"):
        call_command("load_reference", folder=folder)
