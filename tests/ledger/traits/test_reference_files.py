import csv
import shutil

import pytest

from ledger.traits.reference_files import ReferenceFileError, read_reference
from tests.ledger.traits.making import FIXTURES

FILES = ("traits.json", "taxa.csv", "sources.csv", "ranges.csv", "look_alikes.csv")


@pytest.fixture
def folder(tmp_path):
    for name in FILES:
        shutil.copy(FIXTURES / name, tmp_path / name)
    return tmp_path


def _add(folder, name, *cells):
    """Add one line and return its number."""
    path = folder / name
    with path.open("a", encoding="utf-8", newline="") as file:
        csv.writer(file, lineterminator="\n").writerow(cells)
    return len(path.read_text(encoding="utf-8").splitlines())


def _range(**cells):
    row = {
        **dict.fromkeys(
            ("low_extreme", "low", "high", "high_extreme", "states", "note", "doubtful", "binding"), ""
        ),
        "taxon": "Trametes versicolor",
        "trait": "cap_width",
        "unit": "mm",
        "condition": "any",
        "source_id": "schmidt2006",
        "low": "20",
        "high": "80",
        **cells,
    }
    order = (
        "taxon trait low_extreme low high high_extreme unit states condition source_id note doubtful binding"
    )
    return [row[name] for name in order.split()]


def test_the_whole_reference_is_read():
    read = read_reference(FIXTURES)
    # 108 taxa, 5,096 rows and 71 pairs came from the sources; what is added later comes on top.
    assert len(read.taxa) >= 108
    assert len(read.look_alikes) >= 71
    assert sum(row.source_id != "common-practice" for row in read.ranges) >= 5096


def test_doubts_are_taken_over_as_doubtful_rows():
    rows = [row for row in read_reference(FIXTURES).ranges if row.doubtful]
    assert {(row.taxon, row.trait) for row in rows} >= {
        ("Fomes fomentarius", "spore_length"),
        ("Heterobasidion annosum", "spore_width"),
        ("Grifola frondosa", "cap_width"),
        ("Tyromyces chioneus", "pores_per_mm"),
    }
    assert all("doubted: " in row.note for row in rows)


def test_two_printings_of_one_book_are_one_voice():
    voices = {source.id: source.voice for source in read_reference(FIXTURES).sources}
    assert voices["westcott-handbook-332"] == voices["westcott-handbook"] == "westcott-handbook"


def test_a_house_rule_stands_in_the_reference():
    binding = [row for row in read_reference(FIXTURES).ranges if row.binding]
    assert [(row.trait, row.highest, row.source_id) for row in binding] == [
        ("cap_width", 80, "common-practice")
    ]


@pytest.mark.parametrize(
    ("cells", "reason"),
    [
        ({"source_id": ""}, "has no source"),
        ({"source_id": "nobody"}, "unknown source 'nobody'"),
        ({"trait": "cap_size"}, "unknown trait 'cap_size'"),
        ({"taxon": "Nemo nusquam"}, "unknown taxon 'Nemo nusquam'"),
        ({"unit": "cm"}, "unknown unit 'cm' of cap_width, must be mm"),
        ({"condition": "wet"}, "unknown condition 'wet'"),
        ({"low": "90"}, "low 90 is above high 80"),
        ({"low_extreme": "30"}, "low_extreme 30 is above low 20"),
        ({"low": "-1"}, "below zero"),
        ({"low": "", "high": ""}, "no bound at all"),
        ({"low": "twenty"}, "'twenty' is not a number"),
        ({"high": "nan"}, "'nan' is not a number"),
        ({"states": "zoned"}, "has no states"),
        ({"doubtful": "maybe"}, "doubtful 'maybe'"),
        (
            {"trait": "zonation", "low": "", "high": "", "unit": "", "states": "striped"},
            "unknown state 'striped'",
        ),
        ({"trait": "zonation", "low": "", "high": "", "unit": "", "states": ""}, "at least one state"),
        ({"trait": "zonation", "unit": "", "states": "zoned"}, "neither unit nor bounds"),
        ({"trait": "fruiting_months", "unit": "month", "low": "0", "high": "9"}, "from 1 to 12"),
        ({"trait": "fruiting_months", "unit": "month", "low": "", "high": "9"}, "from 1 to 12"),
        ({"source_id": "wiki-trametes-versicolor"}, "stands twice"),
    ],
)
def test_a_wrong_range_is_refused_with_file_line_and_reason(folder, cells, reason):
    line = _add(folder, "ranges.csv", *_range(**cells))
    with pytest.raises(ReferenceFileError, match=reason) as error:
        read_reference(folder)
    assert (error.value.file, error.value.line) == ("ranges.csv", line)
    assert f"ranges.csv, line {line}: " in str(error.value)


@pytest.mark.parametrize(
    ("name", "cells", "reason"),
    [
        ("taxa.csv", ["Trametes versicolor", "", "", "", "", "", ""], "stands twice"),
        ("taxa.csv", ["", "", "", "", "", "", ""], "has no taxon"),
        ("sources.csv", ["new", "", "", "", "handbook", ""], "has no citation"),
        ("sources.csv", ["schmidt2006", "A book", "", "", "handbook", ""], "stands twice"),
        ("look_alikes.csv", ["Nemo nusquam", "Trametes versicolor", "all", "memory"], "unknown taxon"),
        ("look_alikes.csv", ["Trametes versicolor", "Trametes hirsuta", "hair", ""], "has no source"),
        ("ranges.csv", ["too", "few"], "2 cells instead of 13"),
    ],
)
def test_the_other_files_are_refused_alike(folder, name, cells, reason):
    line = _add(folder, name, *cells)
    with pytest.raises(ReferenceFileError, match=reason) as error:
        read_reference(folder)
    assert (error.value.file, error.value.line) == (name, line)


def test_a_missing_file_and_other_columns_are_refused(folder):
    (folder / "look_alikes.csv").unlink()
    with pytest.raises(ReferenceFileError, match=r"look_alikes.csv, line 1: the file is missing"):
        read_reference(folder)
    (folder / "look_alikes.csv").write_text("a,b\n", encoding="utf-8")
    with pytest.raises(ReferenceFileError, match="columns must be taxon_a"):
        read_reference(folder)


def test_what_is_not_utf8_is_refused_with_its_line(folder):
    with (folder / "taxa.csv").open("ab") as file:
        file.write(b"Fomes \xff,,,,,,\n")
    with pytest.raises(ReferenceFileError, match=r"taxa.csv, line 110: is not UTF-8"):
        read_reference(folder)


def test_broken_json_is_refused_with_its_line(folder):
    (folder / "traits.json").write_text('{"efforts": [],\n "traits": oops}', encoding="utf-8")
    with pytest.raises(ReferenceFileError, match=r"traits.json, line 2: is not JSON"):
        read_reference(folder)
