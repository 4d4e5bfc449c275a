"""MIDS levels against the published mapping: TDWG MIDS, mapping for biology of 2026-01-12 (tdwg/mids 7ce157c, CC0).

Each row of the file says which Darwin Core term meets which element of which level, and which values count as nothing.
"""

import csv
from pathlib import Path

import pytest

from vouchers.mids.levels import CORE, ELEMENTS, Rows, completeness, is_met

MAPPING = Path(__file__).parent / "data" / "mids_to_dwc_archive_biology_mapping.sssom.tsv"
ROWS = list(csv.DictReader(MAPPING.read_text(encoding="utf-8").splitlines(), delimiter="\t"))
BY_CODE = {element.code: element for element in ELEMENTS}
# The words of the draft's usage notes, which the table of single terms cannot say: these count only together.
TOGETHER = [
    {"dwc:decimalLatitude", "dwc:decimalLongitude"},
    {
        "dwc:decimalLatitude",
        "dwc:decimalLongitude",
        "dwc:geodeticDatum",
        "dwc:coordinateUncertaintyInMeters",
        "dwc:coordinatePrecision",
    },
    {"dwc:footprintWKT", "dwc:footprintSRS"},
]


def code_of(row: dict[str, str]) -> str:
    return row["sssom:subject_id"].removeprefix("mids:")


def values(row: dict[str, str], text: str) -> Rows:
    """A record in which this row's term has a value, with those that count only beside it."""
    element, term, table = BY_CODE[code_of(row)], row["sssom:object_id"], row["sssom:object_category"]
    way = next(one for one in element.ways if term in one.terms and one.table == table)
    return {table: [dict.fromkeys(way.terms, "51.2") | {term: text}]}


def test_the_mapping_has_the_rows_that_are_counted_on():
    assert len(ROWS) == 65


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{code_of(row)}-{row['sssom:object_id']}")
def test_a_term_of_the_mapping_meets_its_element_at_its_level(row: dict[str, str]):
    element = BY_CODE[code_of(row)]
    assert f"mids:MIDS{element.level}" == row["sssom:subject_category"]
    assert is_met(element, values(row, "something"))


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{code_of(row)}-{row['sssom:object_id']}")
def test_what_the_mapping_takes_away_meets_nothing(row: dict[str, str]):
    for nothing in row["semapv:RegexRemoval"].split("|"):
        assert not is_met(BY_CODE[code_of(row)], values(row, nothing)), nothing


def test_no_term_is_counted_that_the_mapping_does_not_name():
    ours = {
        (element.code, term, way.table) for element in ELEMENTS for way in element.ways for term in way.terms
    }
    assert ours == {(code_of(row), row["sssom:object_id"], row["sssom:object_category"]) for row in ROWS}


def test_terms_count_only_together_where_the_draft_says_so():
    together = [set(way.terms) for element in ELEMENTS for way in element.ways if len(way.terms) > 1]
    assert sorted(map(sorted, together)) == sorted(map(sorted, TOGETHER))


def test_no_number_and_no_date_are_answers():
    assert is_met(BY_CODE["CollectingNumber"], {CORE: [{"dwc:recordNumber": "s.n."}]})
    assert is_met(BY_CODE["DateCollected"], {CORE: [{"dwc:verbatimEventDate": "s.d."}]})


@pytest.mark.parametrize(
    ("gone", "level"),
    [
        ("Organization", None),
        ("License", 0),
        ("CollectingNumber", 1),
        ("DateCollected", 1),
        ("IdentifiedByID", 2),
    ],
)
def test_each_level_needs_all_of_the_levels_below(gone: str, level: int | None):
    whole = {
        term: "x" for element in ELEMENTS for way in element.ways if way.table == CORE for term in way.terms
    }
    media = {"ac:Multimedia": [{"dcterms:identifier": "x"}]}
    assert completeness(whole, media).level == 3
    for way in BY_CODE[gone].ways:
        for term in way.terms:
            whole.pop(term, None)
    without = completeness(whole, media)
    assert without.level == level
    assert gone in [element.code for element in without.missing]
